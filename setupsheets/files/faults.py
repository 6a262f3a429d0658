"""Faults of files as values, each with its place, and the words they share.

A fault never decides anything: functions collect them, and whoever stands at the edge of the
program prints them all and chooses the exit code.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import NamedTuple, Self

from msgspec import Struct

_NO_FILE = Path("(not from a file)")

Step = str | int
"""One step into a document: a key of a mapping, or an index from 0 of a list."""


class Position(Struct, frozen=True, order=True):
    """A place in a file: `line` and `column` count from 1, both 0 where all of it is meant."""

    path: Path
    line: int
    column: int

    def __str__(self) -> str:
        """Nothing is printed for a place that is none: no line of what has no lines, and no file of
        what was made in code."""
        if self.path == _NO_FILE:
            return ""
        return f"{self.path}:{self.line}:{self.column}" if self.line else str(self.path)


class Fault(Struct, frozen=True, order=True):
    """What is wrong at one place; `field` is the dotted path to it, "" for the file as a whole."""

    mark: Position
    field: str
    message: str

    def __str__(self) -> str:
        """The one place that decides how a fault is printed: `path:line:column: field: message`."""
        return ": ".join(part for part in (str(self.mark), self.field, self.message) if part)


NOTHING = "nothing was written"
"""What is on the disk after a fault, as a rule."""


class DataFaults(Exception):
    """One or more faults in files, sorted by place; ``left`` says what is on the disk after them,
    and nothing else may be said of that."""

    def __init__(self, faults: Iterable[Fault], left: str = NOTHING) -> None:
        self.faults = tuple(sorted(set(faults)))
        self.left = left
        super().__init__(self.faults)

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


def whole_file(path: Path, message: str) -> Fault:
    """A fault of the file itself, or of a folder: it has no line."""
    return Fault(Position(path, 0, 0), "", message)


def stop_on(faults: Iterable[Fault]) -> None:
    """Raise DataFaults if there is any fault."""
    if found := tuple(faults):
        raise DataFaults(found)


def field_name(steps: Iterable[Step]) -> str:
    """The dotted path as people count: `("pieces", 0, "width")` is `pieces.1.width`."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in steps)


# ----------------------------------------------------------------------------- places of a document


class Place(NamedTuple):
    """Where a value and its key start; both are one place for a list's item and for the whole."""

    line: int
    column: int
    key_line: int
    key_column: int


class Marks(Struct, frozen=True, eq=False):
    """The places of everything in one document, seen from the value at `prefix`.

    All are equal: where a thing is written makes no difference to what it is.
    """

    path: Path
    places: Mapping[tuple[Step, ...], Place]
    prefix: tuple[Step, ...] = ()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Marks)

    def __hash__(self) -> int:
        return 0

    def __repr__(self) -> str:
        return "Marks(...)"

    def under(self, *steps: Step) -> Self:
        """The same places, seen from the value at `steps`."""
        return type(self)(self.path, self.places, (*self.prefix, *steps))

    def mark(self, *steps: Step) -> Position:
        """Where the value at `steps` starts, or else its nearest parent in the file."""
        place = self._nearest(steps)
        return Position(self.path, place.line, place.column)

    def key(self, *steps: Step) -> Position:
        """Where the key of the value at `steps` starts, or else that of its nearest parent."""
        place = self._nearest(steps)
        return Position(self.path, place.key_line, place.key_column)

    def fault(self, message: str, *steps: Step) -> Fault:
        """A fault of the value at `steps`."""
        return Fault(self.mark(*steps), field_name((*self.prefix, *steps)), message)

    def key_fault(self, message: str, *steps: Step) -> Fault:
        """A fault of the key at `steps`."""
        return Fault(self.key(*steps), field_name((*self.prefix, *steps)), message)

    def _nearest(self, steps: tuple[Step, ...]) -> Place:
        full = (*self.prefix, *steps)
        for length in range(len(full), -1, -1):
            if place := self.places.get(full[:length]):
                return place
        return Place(1, 1, 1, 1)


NOWHERE = Marks(_NO_FILE, {})
"""The marks of an object that was made in code."""


# ----------------------------------------------------------------------------------- shared wording


def nearest(word: str, known: Collection[str]) -> str | None:
    """The known word that `word` was most likely meant to be, if any is near enough."""
    import difflib  # noqa: PLC0415  (only where there is a fault)

    exact = {each.casefold(): each for each in known}
    close = difflib.get_close_matches(word.casefold(), exact, n=1, cutoff=0.6)
    return exact[close[0]] if close else None


def unknown(what: str, word: str, known: Collection[str]) -> str:
    """`unknown key 'widht'; did you mean 'width'?`, or the known words where none is near."""
    meant = nearest(word, known)
    if meant is not None:
        return f"unknown {what} {word!r}; did you mean {meant!r}?"
    if not known:
        return f"unknown {what} {word!r}"
    return f"unknown {what} {word!r}; known are {listed(known)}"


def extra_needed(what: str, extra: str) -> str:
    """That something needs a library that is an extra of the program, and how it is installed."""
    return f"{what} needs the extra `{extra}`: pip install '.[{extra}]' in the program's folder"


def listed(words: Iterable[str], most: int = 12) -> str:
    """`in, mm`; a long list is cut short and says how many more there are."""
    every = list(words)
    more = f" and {len(every) - most} more" if len(every) > most else ""
    return ", ".join(every[:most]) + more


def shown(value: object) -> str:
    """A value as a message shows it: text in quotes and cut short, collections by what they are."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return f"keys and values ({', '.join(map(str, value))})" if value else "empty braces"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}" if value else "an empty list"
    text = str(value)
    cut = text if len(text) <= 60 else text[:57] + "..."
    return repr(cut) if isinstance(value, str) else cut
