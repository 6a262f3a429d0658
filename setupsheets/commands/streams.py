"""The program's own input and output: nothing that happens to them breaks off what is to be kept.

A reader of a pipe that goes away is met with silence, a disk that is full with one line at the end;
the command itself runs on in either case, and its exit code is its own.
"""

from __future__ import annotations

import codecs
import errno
import io
import os
import sys
from typing import Any, TextIO

OUTPUT_LOST = "The output could not be written: {reason}. What was to be kept is kept all the same."
_PLAIN = "setupsheets-plain"


class Outlet(io.RawIOBase):
    """Bytes on their way out; once they can no longer be written they go nowhere, and ``lost`` says
    why."""

    def __init__(self, raw: Any) -> None:
        super().__init__()
        self._raw = raw
        self.lost: OSError | None = None

    def write(self, data: Any, /) -> int | None:
        """All of it or what the system takes, as files do."""
        if self.lost is None:
            try:
                count: int | None = self._raw.write(data)
            except OSError as error:
                self.lost = error
            else:
                return count
        return len(data)

    def writable(self) -> bool:
        """It is written to, and nothing else."""
        return True

    def fileno(self) -> int:
        """The descriptor that it writes to."""
        return int(self._raw.fileno())

    def isatty(self) -> bool:
        """Whether a person reads it as it comes."""
        return bool(self._raw.isatty())


def make_safe() -> Outlet:
    """Put the standard streams in order before anything is read or written; the outlet of stdout.

    One that is closed is opened on nothing, so that no file of the shop ever gets its number.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # it takes the lowest number that is free
    if sys.stdin is None:
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
    outlet, sys.stdout = _safe(sys.stdout, 1)
    _, sys.stderr = _safe(sys.stderr, 2)
    return outlet


def _plainly(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError)
    meant = error.object[error.start : error.end]
    return "".join("-" if sign == "−" else "?" for sign in meant), error.end


def _safe(stream: TextIO | None, number: int) -> tuple[Outlet, TextIO]:
    """The same stream over an outlet. Where the system names no more than ASCII it is UTF-8, as
    Python itself has it in the C locale (PEP 540); what it cannot write is shown as `?`, a minus as
    a hyphen."""
    codecs.register_error(_PLAIN, _plainly)
    encoding, by_line = "utf-8", False
    if isinstance(stream, io.TextIOWrapper):
        encoding, by_line = stream.encoding, stream.line_buffering
        raw: Any = stream.detach()
        raw = raw.detach() if isinstance(raw, io.BufferedWriter) else raw
    else:
        raw = io.FileIO(number, "w", closefd=False)
    if encoding.lower().replace("-", "") in ("ascii", "usascii", "ansi_x3.41968"):
        encoding = "utf-8"
    outlet = Outlet(raw)
    buffered = io.BufferedWriter(outlet)
    return outlet, io.TextIOWrapper(buffered, encoding, _PLAIN, line_buffering=by_line)


def output_lost(outlet: Outlet) -> bool:
    """Flush what is left; say so in one line if the output went nowhere, unless a reader left."""
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    if outlet.lost is None or outlet.lost.errno == errno.EPIPE:
        return False
    reason = (outlet.lost.strerror or str(outlet.lost)).lower()
    print(OUTPUT_LOST.format(reason=reason), file=sys.stderr, flush=True)
    return True
