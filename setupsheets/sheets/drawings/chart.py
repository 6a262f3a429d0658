"""Readings piece by piece against their tolerance: one small chart for each thing measured."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from setupsheets.lengths import Length, Notation
from setupsheets.machining.operations import PlannedMeasure
from setupsheets.records.record import ReadingDeviation, Record, RecordedMeasure
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.wording.set_ups import piece_read

_CELL, _PLOT, _LEFT, _TOP, _ROW = 60.0, 20.0, 22.0, 9.0, 42.0
_ALONE = 76.0  # one below the other each has this room, so that a phone's screen shows its letters
_MOST_NUMBERED = 12


class Charted(Struct, frozen=True):
    """One thing measured: its title, its tolerance, and the readings of it in order."""

    title: str
    under: Length
    over: Length
    readings: tuple[ReadingDeviation, ...]


def charted(
    measures: Iterable[PlannedMeasure | RecordedMeasure], readings: Sequence[ReadingDeviation]
) -> list[Charted]:
    """The measures that anything was read of, each with its readings."""
    of = {
        item.name: tuple(each for each in readings if each.measure == item.name)
        for item in measures
    }
    return [
        Charted(item.title, item.under, item.over, of[item.name])
        for item in measures
        if of[item.name]
    ]


def readings_chart(
    name: str,
    title: str,
    items: Sequence[Charted],
    notation: Notation,
    *,
    across: int = 1,
    of: str = "test piece",
) -> svg.Drawing:
    """Charts one below the other, or so many ``across`` on paper; the band is the tolerance, a ring
    a reading outside; each is ``of`` what stands below, in its order."""
    elements: list[str] = []
    cell = _ALONE if across == 1 else _CELL
    for index, item in enumerate(items):
        corner = (index % across * cell, index // across * _ROW)
        elements += _chart(item, corner, cell, notation, of)
    rows = -(-len(items) // across)
    words = " ".join(_in_words(item, notation) for item in items)
    size = (min(len(items), across) * cell, rows * _ROW)
    return svg.finish(name, title, words, size, elements)


def record_chart(record: Record, notation: Notation) -> svg.Drawing | None:
    """The readings of a record; None where it has none."""
    shown = charted(record.measures, record.deviations())
    title = f"{record.set_up}, {record.date.isoformat()}"
    of = piece_read(record)
    return readings_chart("readings", title, shown, notation, of=of) if shown else None


def _chart(
    item: Charted, corner: tuple[float, float], cell: float, notation: Notation, of: str
) -> list[str]:
    left, top = corner[0] + _LEFT, corner[1] + _TOP
    width = cell - _LEFT - 5
    far = max(
        float(length.mm)
        for length in (item.under, item.over, *(abs(each.deviation) for each in item.readings))
    )
    unit = _PLOT / 2 / (far * 1.15 or 1.0)
    middle = top + _PLOT / 2

    def level(deviation: Length) -> float:
        return middle - float(deviation.mm) * unit

    def place(piece: int) -> float:
        return left + width * (piece - 0.5) / pieces

    pieces = max((each.piece for each in item.readings), default=1)
    band_top, band_foot = level(item.over), level(-item.under)
    points = [(place(each.piece), level(each.deviation)) for each in item.readings]
    apart = max(0.0, svg.SMALL - (band_foot - band_top)) / 2  # of a narrow band's two figures
    signed = [(item.over, band_top - apart), (-item.under, band_foot + apart)]
    return [
        svg.text((corner[0] + 1, corner[1] + 5), item.title, svg.SMALL, "start", bold=True),
        svg.rectangle((left, band_top), width, band_foot - band_top, svg.PALE, svg.HAIR),
        svg.line((left, middle), (left + width, middle), svg.THIN),
        svg.line((left, top), (left, top + _PLOT), svg.THIN),
        *(
            svg.text((left - 1, min(max(y, top + 1.5), top + _PLOT) + 1.1), words, svg.SMALL, "end")
            for words, y in ((_signed(length, notation), y) for length, y in signed)
        ),
        svg.polyline(points, svg.THIN, "1 0.8"),
        *(
            svg.dot(point, 1.1, "#000" if each.inside else "#fff", svg.EDGE)
            for point, each in zip(points, item.readings, strict=True)
        ),
        *(
            svg.text((place(piece), top + _PLOT + 4.5), str(piece), svg.SMALL)
            for piece in _numbered(item.readings)
        ),
        svg.text((left + width / 2, top + _PLOT + 9), of, svg.SMALL),
    ]


def _numbered(readings: Sequence[ReadingDeviation]) -> list[int]:
    """The pieces that have their numbers below them: every one, or of many every so-manieth."""
    pieces = sorted({each.piece for each in readings})
    return pieces[:: -(-len(pieces) // _MOST_NUMBERED)]


def _signed(length: Length, notation: Notation) -> str:
    sign = "+" if length > Length.ZERO else "−" if length < Length.ZERO else ""
    return f"{sign}{notation.small(abs(length))}"


def _in_words(item: Charted, notation: Notation) -> str:
    found = ", ".join(
        f"piece {each.piece} {_signed(each.deviation, notation)}"
        f" {'inside' if each.inside else 'OUTSIDE'}"
        for each in item.readings
    )
    return f"{item.title}: {found}."
