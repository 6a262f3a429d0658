"""The program: `setupsheets` and `python -m setupsheets`. The one place that turns faults into
words on stderr and an exit code: 0 done, 1 the data is wrong or a check failed, 2 wrong usage."""

from __future__ import annotations

import gc
import os
import sys


def main() -> None:
    """Run the command line."""
    # A command lives for a second at most: collecting its garbage costs more than it frees.
    gc.set_threshold(100_000, 50, 50)
    from setupsheets.commands.app import app  # noqa: PLC0415
    from setupsheets.files.faults import DataFaults  # noqa: PLC0415

    try:
        app(prog_name="setupsheets")
    except DataFaults as found:
        count = len(found.faults)
        print(*found.faults, sep="\n", file=sys.stderr)
        print(f"{count} fault{'s' if count > 1 else ''}; {found.left}", file=sys.stderr)
        sys.exit(1)
    except BrokenPipeError:
        # The reader of a pipe went away; close quietly, without a second fault at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)


if __name__ == "__main__":
    main()
