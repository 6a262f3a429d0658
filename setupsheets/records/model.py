"""A record as the corrections see it: causes, measurements and pieces, as plain numbers in mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from types import MappingProxyType

from msgspec.structs import replace

from setupsheets.corrections.causes import Cause, MethodSpread, method_spread
from setupsheets.corrections.observations import (
    BlankReading,
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.files.faults import DataFaults, unknown
from setupsheets.lengths import Length, Unit
from setupsheets.machining.setting.block_stacks import make_up
from setupsheets.records.record import (
    BLANK_LENGTH,
    Record,
    RecordedPiece,
    RecordedReading,
    RecordedSetting,
)
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import FineBy, MachineSetting, SetBy
from setupsheets.shop.settings import Instrument

BLANKS: tuple[Cause, ...] = (
    Cause(BLANK_LENGTH, "blank", prior_sd=0.5, reset_sd=0.15, scatter_sd=0.1),
    Cause("blank.width", "blank", prior_sd=0.3, reset_sd=0.15, scatter_sd=0.1),
    Cause("blank.thickness", "blank", prior_sd=0.2, reset_sd=0.15, scatter_sd=0.05),
)
"""The blank's dimensions as causes: cut to a stop, ripped and planed, planed; reset_sd is what a
trimming cut adds. Spreads in mm, common practice, no source. The blanks of the next test piece may
be larger as well as smaller."""

LEFT_BY_CUTTER = 0.1
"""How far off its size a cutter cuts that no setting moves, mm: a chisel not quite square to its
fence, a blade that wavers. Common practice, no source."""

PIECE_SCATTER = 0.03
"""How much a measure differs from piece to piece, mm, whatever the settings: how the work was held,
wood that springs; shop.yaml may say another. Common practice, no source."""


WHOLE_FRACTIONS: Mapping[Unit, tuple[float, ...]] = MappingProxyType(
    {
        Unit.IN: tuple(25.4 / part for part in (1, 2, 4, 8, 16)),
        Unit.MM: (100.0, 10.0, 5.0, 2.0, 1.0),
    }
)
"""By how much an eye most often slips, reading or setting, mm: whole fractions of an inch, whole
millimetres. Common practice, no source."""

SET_WRONG_ALL_THE_SAME = 0.002
"""Chance that a dial that was looked at, and found as said, is far out: its scale has slipped, or
the figure is on the wrong side of the blade. Common practice, no source."""

PAPER = Length.millimetres(Fraction(1, 10))
"""A strip of paper: common practice, no source."""


def millimetres(length: Length) -> float:
    """A length as the corrections take it."""
    return float(length.mm)


def dial_of(setting: RecordedSetting, shop: Shop) -> MachineSetting | None:
    """The machine's setting as its file has it today, as the record has kept it where either is
    gone; None where it has not: records of version 1 kept none."""
    if not shop.has("machine", setting.machine):
        return setting.dial
    return shop.machine(setting.machine).settings.get(setting.setting, setting.dial)


def spread_of(dial: MachineSetting | None) -> MethodSpread:
    """How closely a dial is set, mm: as the machine's file says, else as is usual for its kind."""
    usual = method_spread(dial.set_by if dial else SetBy.RULE)
    first = dial.spread if dial else None
    again = dial.resetting if dial else None
    return MethodSpread(
        first=usual.first if first is None else millimetres(first),
        again=usual.again if again is None else millimetres(again),
        fine=usual.fine,
    )


def causes_of(record: Record, shop: Shop) -> tuple[Cause, ...]:
    """Every cause that a reading of the record can be traced to, its settings' spread as they are
    set, whatever earlier set-ups have shown; of a measure that no setting moves, how its cutter
    cuts, by the measure's own name."""
    used = {cause for measure in record.measures for cause in measure.moved_by}
    mark = millimetres(shop.settings.finest_mark)
    return (
        *(
            _setting_cause(setting, dial_of(setting, shop), shop)
            for setting in record.settings
            if setting.cause in used
        ),
        *(replace(cause, finest=mark) for cause in BLANKS if cause.name in used),
        *(
            Cause(measure.name, prior_sd=LEFT_BY_CUTTER, blunder_probability=0.0, movable=False)
            for measure in record.measures
            if not measure.moved_by
        ),
    )


def finest_shim(shop: Shop) -> Length:
    """The thinnest thing that a setting can be moved by: a shim, else a strip of paper."""
    return min(shop.settings.shims, default=PAPER)


def shims_for(amount: float, shop: Shop) -> tuple[Length, ...]:
    """The fewest shims, or strips of paper, that come nearest to a move (mm) of either sign."""
    wanted = abs(Length.from_float(amount))
    shims = shop.settings.shims or (PAPER, PAPER)
    for widths in range(1, len(shims) + 2):
        if stack := make_up(wanted, (), shims, widths * finest_shim(shop) / 2):
            return stack.shims
    return (finest_shim(shop),)


FINE_STEP: Mapping[Unit, Length] = MappingProxyType(
    {Unit.IN: Length(".001 in"), Unit.MM: Length("0.02 mm")}
)
"""The finest move against a dial gauge or by a thread, where the machine's file does not say:
common practice, no source."""

FINE_REACH = 5.0
"""How far a setting is moved against a gauge or by its thread, mm: common practice, no source."""


def fine_step_of(dial: MachineSetting | None, shop: Shop) -> Length:
    """The finest move of a dial that is made otherwise than by its marks."""
    if dial is None or dial.fine_by is FineBy.SHIMS:
        return finest_shim(shop)
    return dial.fine_step or FINE_STEP[shop.settings.unit]


def _setting_cause(setting: RecordedSetting, dial: MachineSetting | None, shop: Shop) -> Cause:
    spread = spread_of(dial)
    usual = Cause(setting.cause).blunder_probability
    return Cause(
        name=setting.cause,
        blunder_probability=SET_WRONG_ALL_THE_SAME if setting.looked_at else usual,
        prior_mean=millimetres(setting.dialled - setting.aim),
        prior_sd=spread.first,
        reset_sd=spread.again,
        finest=millimetres(dial.finest) if dial else 0.0,
        fine_step=millimetres(fine_step_of(dial, shop)),
        fine_reach=FINE_REACH
        if dial and dial.fine_by is not FineBy.SHIMS
        else millimetres(sum(shop.settings.shims, Length.ZERO) or 2 * PAPER),
        fine_sd=spread.fine,
        lowest=-millimetres(setting.aim),
    )


def measurements_of(record: Record, shop: Shop) -> tuple[MeasurementModel, ...]:
    """What was to be measured: targets are nil, readings are deviations from them."""
    said = shop.settings.scatter
    scatter = PIECE_SCATTER if said is None else millimetres(said)
    return tuple(
        MeasurementModel(
            name=measure.name,
            low=-millimetres(measure.under),
            high=millimetres(measure.over),
            missed_low=measure.missed.under.value,
            missed_high=measure.missed.over.value,
            sensitivities={cause: float(value) for cause, value in measure.moved_by.items()}
            or {measure.name: 1.0},
            scatter_sd=scatter,
        )
        for measure in record.measures
    )


def pieces_of(record: Record, shop: Shop) -> tuple[TestPiece, ...]:
    """The test pieces in order, each with the moves made before it; what was moved after the last
    one stands as a piece without readings. What no reading hangs on is left out. Where a piece was
    left for long each dial counts as set again to its figure. Raises DataFaults for a reading of
    something unknown."""
    used = {cause for measure in record.measures for cause in measure.moved_by}
    again = {each.cause: 0.0 for each in record.settings if each.cause in used}
    read = [
        tuple(
            _reading(reading, piece, record, shop)
            for reading in piece.counted
            if reading.of not in record.blanks
        )
        for piece in record.pieces
    ]
    sizes = [tuple(_sizes_read(piece, record, shop)) for piece in record.pieces]
    moves = [
        {cause: millimetres(by) for cause, by in piece.moved.items() if cause in used}
        for piece in record.pieces
    ]
    fine = [frozenset(piece.by_shims) for piece in record.pieces]
    before = zip([{}, *moves], [frozenset[str](), *fine], strict=True)
    left = [again if piece.left else {} for piece in record.pieces]
    pieces = [
        TestPiece(readings, {**anew, **moved}, blanks, by_shims)
        for readings, blanks, anew, (moved, by_shims) in zip(
            read, sizes, left, before, strict=False
        )
    ]
    if not moves or not moves[-1]:
        return tuple(pieces)
    return (*pieces, TestPiece((), moves[-1], fine=fine[-1]))


def _sizes_read(piece: RecordedPiece, record: Record, shop: Shop) -> Iterator[BlankReading]:
    """What was read of the piece's blank."""
    for reading in piece.counted:
        if reading.of in record.blanks and reading.found is not None:
            off = millimetres(reading.found - record.blank_of(reading.of, piece.longer))
            yield BlankReading(reading.of, off, instrument_of(reading.by, record, shop))


def _reading(reading: RecordedReading, piece: RecordedPiece, record: Record, shop: Shop) -> Reading:
    measures = {measure.name: measure for measure in record.measures}
    if reading.of not in measures:
        message = unknown("measure", reading.of, measures)
        raise DataFaults([reading.marks.fault(message, "of")])
    by = reading.by or measures[reading.of].by
    instrument = instrument_of(by, record, shop)
    if reading.fit is not None:
        return Reading(reading.of, reading.fit, instrument, reading.pieces)
    assert reading.found is not None, "a reading is a length or a fit"
    deviation = reading.found - measures[reading.of].target_on(piece)
    return Reading(reading.of, millimetres(deviation), instrument, reading.pieces)


def instrument_of(name: str, record: Record, shop: Shop) -> InstrumentModel:
    """An instrument as shop.yaml has it, as the record has kept it where it is gone from there. One
    that neither knows counts as the coarsest of all: nothing is taken closer than it was read."""
    known = {**record.instruments, **shop.settings.instruments}
    if not known:
        message = "name what lengths are measured with, a rule at least"
        raise DataFaults([shop.settings.marks.fault(message, "instruments")])
    found = known.get(name) or max(known.values(), key=_coarseness)
    return InstrumentModel(
        name,
        millimetres(found.spread),
        millimetres(found.resolution),
        marks=WHOLE_FRACTIONS[shop.settings.unit],
    )


def _coarseness(instrument: Instrument) -> Length:
    return instrument.spread + instrument.resolution


def options_of(record: Record, shop: Shop) -> tuple[ReadingOption, ...]:
    """Every reading that can still be taken from a piece, each with its usual instrument."""
    measured = [
        ReadingOption(measure.name, instrument_of(measure.by, record, shop))
        for measure in record.measures
    ]
    names = [closest_instrument(shop)] if record.blanks else []
    sizes = [
        ReadingOption(cause, instrument_of(name, record, shop), blank=True)
        for name in names
        for cause in record.blanks
    ]
    return (*measured, *sizes)


def closest_instrument(shop: Shop) -> str:
    """What a blank's width and thickness are read with: the closest that the shop has."""
    known = shop.settings.instruments
    return min(known, key=lambda name: _coarseness(known[name]), default="")
