"""Running the program inside the test: the same entry, output and exit code as in a shell."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from setupsheets.__main__ import main
from tests.known_values import a_command


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str


class Answers(io.StringIO):
    """A maker who answers by what is asked: Enter, but where a question begins with one of these.
    ``unasked`` are those that were never asked."""

    def __init__(self, said: Mapping[str, str]) -> None:
        super().__init__()
        self.unasked = dict(said)
        self.seen = 0

    def readline(self, size: int = -1, /) -> str:  # type: ignore[override]
        """The answer to the question that stands last on stderr."""
        assert isinstance(sys.stderr, io.StringIO)
        asked = sys.stderr.getvalue()
        question = asked[self.seen :].rstrip().rpartition("\n")[2].strip()
        self.seen = len(asked)
        for begins in self.unasked:
            if question.startswith(begins):
                return f"{self.unasked.pop(begins)}\n"
        return "\n"


class Keyboard(io.StringIO):
    """A terminal's: what is typed, line by line, shows behind the question."""

    def isatty(self) -> bool:
        return True

    def readline(self, size: int = -1, /) -> str:  # type: ignore[override]
        line = super().readline(size)
        sys.stderr.write(line)
        return line


def run(
    *arguments: str | Path,
    typed: str | io.StringIO = "",
    columns: int = 200,
    together: bool = False,
) -> Ran:
    """Run `setupsheets` with these arguments and what is typed at its prompts, where as a rule any
    table is narrow enough to be one. What a terminal shows, or who has both streams ``together``,
    is all of it in `out`."""
    out = io.StringIO()
    err = out if together or isinstance(typed, Keyboard) else io.StringIO()
    code: object = 0
    with (
        patch.dict(os.environ, {"COLUMNS": str(columns)}),
        patch.object(sys, "argv", ["setupsheets", *map(str, arguments)]),
        patch.object(sys, "stdin", io.StringIO(typed) if isinstance(typed, str) else typed),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        a_command(),
    ):
        try:
            main()
        except SystemExit as stop:
            code = stop.code
    return Ran(
        code if isinstance(code, int) else int(code is not None), out.getvalue(), err.getvalue()
    )
