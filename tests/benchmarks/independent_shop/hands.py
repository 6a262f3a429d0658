"""Ways of working at a set-up: the everyday rule, one who sees true sizes, and the program."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.records.answer import Answer
from setupsheets.records.entry import Entry
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.record import RecordedReading
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.answers import advice_lines, next_words
from tests.benchmarks.independent_shop.bench import Bench

MOST = 30
NEIGHBOURS: Mapping[str, Mapping[str, str]] = {
    "cope-crosscut-saw": {
        "overall": "blank.length",
        "back_length": "back_cheek.stop",
        "face_to_tenon": "face_cheek.height",
        "tenon_thickness": "back_cheek.height",
        "face_length": "cope.fence",
        "cope_depth": "cope.height",
    },
    "cope-router-table": {
        "overall": "blank.length",
        "back_length": "back_cheek.fence",
        "face_to_tenon": "face_cheek.height",
        "tenon_thickness": "back_cheek.height",
        "face_length": "cope.fence",
        "cope_depth": "cope.height",
    },
    "bar-grooved": {
        "tongue_width": "groove.fence",
        "groove_floor": "groove.height",
        "face_flat": "sticking.fence",
        "sticking_depth": "sticking.height",
        "rebate_floor": "strip.fence",
    },
    "sticking-router-table": {
        "sticking_width": "sticking.fence",
        "sticking_depth": "sticking.height",
    },
    "mortise-chisel": {"near_wall": "chop.fence", "mortise_depth": "chop.depth"},
}
"""Which setting a maker turns to for a reading: common practice, no source."""

INSTRUMENTS = {
    "in": {"rule": (25.4 / 128, 25.4 / 64), "caliper": (0.0254, 0.0254)},
    "mm": {"rule": (0.2, 0.5), "caliper": (0.02, 0.02)},
}


@dataclass
class Outcome:
    """How a set-up went. `said` is the share of right parts that was promised, `good` the truth."""

    pieces: int = 0
    cut: bool = False
    out_of_reach: bool = False
    idle: int = 0
    readings: int = 0
    said: float = 0.0
    good: float = 0.0
    worse_blanks: bool = False
    blundered: bool = False
    expected: int = 0
    seconds: float = 0.0
    why: str = ""


def read(
    bench: Bench, true: float, measure: str, instruments: Mapping[str, tuple[float, float]]
) -> float:
    """Read one measure of a piece, mm."""
    limit = bench.drawing.limits.get(measure)
    by = limit.by if limit else "caliper"
    spread, resolution = instruments[by]
    return bench.luck.read(true, spread, resolution, caliper=by == "caliper")


def everyday(bench: Bench, instruments: Mapping[str, tuple[float, float]]) -> Outcome:
    """Move each setting by the whole error of the reading next to it; go when a piece is right."""
    drawing, out = bench.drawing, Outcome(blundered=bench.blundered)
    near = NEIGHBOURS[drawing.recipe]
    for out.pieces in range(1, 21):
        found = {
            m: read(bench, v, m, instruments)
            for m, v in bench.piece().items()
            if m in drawing.limits
        }
        limits = drawing.limits
        wrong = [
            m for m, v in found.items() if not limits[m].low - 1e-6 <= v <= limits[m].high + 1e-6
        ]
        out.cut = not [m for m in wrong if m in near]
        if out.cut:
            break
        for measure, cause in near.items():
            whole = (limits[measure].target - found[measure]) / bench.slope(measure, cause)
            mark = drawing.marks.get(cause, 0.4)
            if steps := round(whole / mark):
                bench.move(cause, steps * mark)
    out.good, out.said = bench.good(), 1.0
    out.worse_blanks = bench.worse_blanks
    return out


def sees(bench: Bench, step: float | None, *, fine: bool, enough: float = 0.9) -> Outcome:
    """One who sees true sizes and re-sets no better: what is out is set again, to marks or `step`.

    `fine`: small moves are made with shims, and land as those do.
    """
    drawing, out = bench.drawing, Outcome(blundered=bench.blundered)
    near = NEIGHBOURS[drawing.recipe]
    for out.pieces in range(1, MOST + 1):
        bench.piece()
        out.good = bench.good()
        out.cut = out.good >= enough
        if out.cut:
            break
        order = sorted(near, key=lambda m: -abs(_share(bench, m)))
        worst = abs(_share(bench, order[0]))
        for measure in near:
            if abs(_share(bench, measure)) < min(0.6, worst - 1e-9):
                continue
            cause = near[measure]
            if cause.startswith("blank"):
                bench.move(cause, -bench.error[cause])
                continue
            if abs(bench.slope(measure, cause, as_it_stands=True)) < 0.3:
                cause = "cope.height"  # the cope has cut into the cheek
            slope = bench.slope(measure, cause, as_it_stands=True)
            whole = -bench.off()[measure] / (slope or bench.slope(measure, near[measure]))
            mark = step or drawing.marks[cause]
            bench.move(cause, round(whole / mark) * mark, fine=fine and abs(whole) < 1.0)
    out.worse_blanks = bench.worse_blanks
    return out


def _share(bench: Bench, measure: str) -> float:
    """Give how far a measure is off the middle of its limits, as a share of their half width."""
    limit = bench.drawing.limits[measure]
    return bench.off()[measure] / ((limit.high - limit.low) / 2)


def _length(mm: float, unit: str) -> Length:
    """Give what is typed: to a thousandth of an inch or a hundredth of a millimetre."""
    if unit == "in":
        return Length.inches(Fraction(round(mm / 25.4 * 6400), 6400))
    return Length.millimetres(Fraction(round(mm * 100), 100))


def with_program(
    record: OpenSetUp,
    bench: Bench,
    instruments: Mapping[str, tuple[float, float]],
    *,
    today: datetime.date,
    disk: bool,
    looks: bool = False,
) -> tuple[Outcome, OpenSetUp]:
    """Do as the program says, measuring again when asked, until it says to cut or to stop.

    A dial that he is told to look at he reads, and says what it had been set to, be it as told; one
    who `looks`
    does so too of what he is to move far.
    """
    unit, out = bench.luck.unit, Outcome(blundered=bench.blundered)
    by = {m.name: m.by for m in record.record.measures}

    def typed(true: Mapping[str, float], names: list[str]) -> tuple[RecordedReading, ...]:
        out.readings += len(names)
        return tuple(
            RecordedReading(
                of=m,
                found=_length(read(bench, true[m], m, instruments), unit),
                by=by.get(m, "caliper"),
            )
            for m in names
        )

    while out.pieces < MOST:
        true = bench.piece()
        out.pieces += 1
        record = _kept(record, replace(_entry(record, today), readings=typed(true, list(by))), disk)
        told = record.answer()
        while isinstance(told, Answer) and told.again and not told.beyond:
            more, again = typed(true, list(told.again)), record.last.id
            record = _kept(record, replace(_entry(record, today), readings=more, again=again), disk)
            told = record.answer()
        assert isinstance(told, Answer), "no set-up of this benchmark is a dry fit"
        if told.recommendation.kind == "out of reach" or told.slipped:
            out.out_of_reach = True
            out.why = next_words(told)
            break
        done = replace(_entry(record, today), did=dict(told.moved), by_shims=told.by_shims)
        advice = advice_lines(told, record.notation) if disk else ()
        record = _kept(record, replace(done, advice=advice), disk)
        seen = record.doubted_dials(told) if looks else told.beyond
        wrong = {c: bench.slipped.get(c, 0.0) for c in seen if c in {*bench.slipped, *told.beyond}}
        if wrong:
            figures = {c: record.record.setting(c).dialled + _length(wrong[c], unit) for c in wrong}
            record = _kept(record, replace(_entry(record, today), dialled=figures), disk)
        for cause, amount in told.moved.items():
            bench.move(cause, float(amount.mm), fine=cause in told.by_shims)
        if told.ready:
            out.cut, out.said = True, told.advice.probability
            break
        out.idle += not told.moved
    out.good = bench.good()
    out.worse_blanks = bench.worse_blanks
    return out, record


_BEGUN = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC)


def _entry(record: OpenSetUp, today: datetime.date) -> Entry:
    return record.entry(today, _BEGUN)


def _kept(record: OpenSetUp, entry: Entry, disk: bool) -> OpenSetUp:
    return record.write(entry) if disk else record.with_entry(entry)


def close(record: OpenSetUp, verdict: Verdict) -> OpenSetUp:
    """Close a record on disk with what it teaches."""
    entry = _entry(record, record.record.pieces[-1].date)
    return record.write(
        replace(entry, verdict=verdict, kept="over the bench", after=record.after())
    )
