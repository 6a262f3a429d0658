"""Running the program inside the test: the same entry, output and exit code as in a shell."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from setupsheets.__main__ import main


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str


def run(*arguments: str | Path, typed: str = "") -> Ran:
    """Run `setupsheets` with these arguments and what is typed at its prompts, where any table is
    narrow enough to be one."""
    out, err = io.StringIO(), io.StringIO()
    code: object = 0
    with (
        patch.dict(os.environ, {"COLUMNS": "200"}),
        patch.object(sys, "argv", ["setupsheets", *map(str, arguments)]),
        patch.object(sys, "stdin", io.StringIO(typed)),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            main()
        except SystemExit as stop:
            code = stop.code
    return Ran(
        code if isinstance(code, int) else int(code is not None), out.getvalue(), err.getvalue()
    )
