"""Names and numbers in a row: listed, counted, drawn together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence


def in_a_row(items: Sequence[str]) -> str:
    """`a, b, c`; `a, b; c` where items have commas of their own."""
    return _mark(items).join(items)


def _mark(items: Sequence[str]) -> str:
    return "; " if any(", " in each for each in items) else ", "


def counted(counts: Mapping[str, int]) -> str:
    """`8 × cross bar, 2 × top rail`."""
    return in_a_row([f"{count} × {name}" for name, count in counts.items()])


def listed(names: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`; `a, b; and c` where names have commas of their own."""
    return _ended(list(names), "and")


def _ended(items: Sequence[str], word: str) -> str:
    if len(items) < 2:
        return "".join(items)
    mark = _mark(items)
    last = " " if mark == ", " else mark
    return f"{mark.join(items[:-1])}{last}{word} {items[-1]}"


def runs_of(values: Iterable[int]) -> str:
    """Numbers with runs drawn together: `7`, `7–8`, `3, 5–6`."""
    runs: list[list[int]] = []
    for value in sorted(values):
        if runs and value == runs[-1][-1] + 1:
            runs[-1].append(value)
        else:
            runs.append([value])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)


def numbers(values: Iterable[int]) -> str:
    """Operation numbers in words: `operation 7`, `operations 7–8`, `operations 3, 5–6`."""
    items = list(values)
    return f"{'operation' if len(items) == 1 else 'operations'} {runs_of(items)}"


def either(names: Iterable[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    return _ended(list(names), "or")


def many(count: int, thing: str) -> str:
    """`1 change`, `3 changes`."""
    return f"{count} {thing}{'s' * (count != 1)}"


def capital(words: str) -> str:
    """The words with a capital at their head."""
    return f"{words[:1].upper()}{words[1:]}"


def lowered(words: str) -> str:
    """The words as they stand within a sentence."""
    return f"{words[:1].lower()}{words[1:]}"


def one_line(words: str) -> str:
    """What a user wrote over several lines, in one."""
    return " ".join(words.split())
