"""The program: `setupsheets` and `python -m setupsheets`. The one place that turns faults into
words on stderr and an exit code: 0 done, 1 the data is wrong or a check failed, 2 wrong usage."""

from __future__ import annotations

import gc
import os
import signal
import sys


def program() -> None:
    """Run the command line as a shell starts it."""
    # Its matrices are small: the threads that numpy would begin cost more than they do.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Ctrl-C ends it as a power cut would: at once, in silence, every file whole.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    from setupsheets.commands.streams import make_safe, output_lost  # noqa: PLC0415

    outlet = make_safe()
    code: object = 0
    try:
        main()
    except SystemExit as stop:
        code = stop.code
    gc.freeze()  # all of it goes at once: it need not be looked through for garbage
    sys.exit(1 if output_lost(outlet) else code)  # type: ignore[arg-type]


def main() -> None:
    """Run the command line."""
    # A command lives for a second at most: collecting its garbage costs more than it frees.
    gc.set_threshold(400_000, 50, 50)
    if (shell := os.environ.get("_SETUPSHEETS_COMPLETE")) is not None:
        from setupsheets.commands.completing import complete  # noqa: PLC0415

        for word in complete(sys.argv[-1], shell):
            print(word)
        return
    from setupsheets.commands.app import app_for  # noqa: PLC0415
    from setupsheets.files.faults import DataFaults  # noqa: PLC0415

    try:
        app_for("".join(sys.argv[1:2]))(prog_name="setupsheets")
    except DataFaults as found:
        count = len(found.faults)
        print(*found.faults, sep="\n", file=sys.stderr)
        print(f"{count} fault{'s' if count > 1 else ''}; {found.left}", file=sys.stderr)
        sys.exit(1)
    except OSError as error:
        # The system itself failed amid reading: no file open to it, a disk gone, a right missing.
        print(f"{error.filename or 'setupsheets'}: {error.strerror or error}", file=sys.stderr)
        sys.exit(1)


if __name__ == "__main__":
    program()
