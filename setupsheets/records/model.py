"""A record as the corrections see it: causes, measurements and pieces, as plain numbers in mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from setupsheets.corrections.causes import Cause, blank
from setupsheets.corrections.observations import (
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.files.faults import DataFaults, Marks, unknown
from setupsheets.lengths import Length
from setupsheets.records.memory import KnownOffset, Memory, spread_of
from setupsheets.records.record import (
    Record,
    RecordedMeasure,
    RecordedPiece,
    RecordedReading,
    RecordedSetting,
)
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import MachineSetting

BLANKS: tuple[Cause, ...] = (
    replace(blank("blank.length", "blanks: length", spread=0.5, scatter=0.1), one_way=False),
    replace(blank("blank.width", "blanks: width", spread=0.3, scatter=0.1), one_way=False),
    replace(blank("blank.thickness", "blanks: thickness", spread=0.2, scatter=0.05), one_way=False),
)
"""The blank's dimensions as causes: cut to a stop, ripped and planed, planed. Spreads in mm, common
practice, no source. The blanks of the next test piece may be larger as well as smaller."""

LENGTH = "blank.length"

PIECE_SCATTER = 0.03
"""How much a measure differs from piece to piece, mm, whatever the settings: how the work was held,
wood that springs. Common practice, no source."""


def millimetres(length: Length) -> float:
    """A length as the corrections take it."""
    return float(length.mm)


def cause_title(cause: str) -> str:
    """What a cause is called: `back shoulder: stop` for `back_shoulder.stop`."""
    blanks = {each.name: each.title for each in BLANKS}
    return blanks.get(cause) or cause.replace("_", " ").replace(".", ": ")


def dial_of(setting: RecordedSetting, shop: Shop) -> MachineSetting | None:
    """The machine's setting as its file has it today; None where it is gone."""
    return shop.machine(setting.machine).settings.get(setting.setting)


def causes_of(record: Record, shop: Shop, memory: Memory | None = None) -> tuple[Cause, ...]:
    """Every cause that a reading of the record can be traced to, as its machine is known."""
    used = {cause for measure in record.measures for cause in measure.moved_by}
    settings = [
        _setting_cause(
            setting,
            dial_of(setting, shop),
            memory.of(setting.machine, setting.setting) if memory else None,
        )
        for setting in record.settings
        if setting.cause in used
    ]
    mark = millimetres(shop.settings.finest_mark)
    blanks = [replace(cause, finest=mark) for cause in BLANKS if cause.name in used]
    return (*settings, *blanks)


def _setting_cause(
    setting: RecordedSetting, dial: MachineSetting | None, known: KnownOffset | None
) -> Cause:
    spread = spread_of(dial)
    offset = millimetres(known.offset) if known else 0.0
    return Cause(
        name=setting.cause,
        title=cause_title(setting.cause),
        prior_mean=millimetres(setting.dialled - setting.aim) + offset,
        prior_sd=millimetres(known.give_or_take) if known else spread.first,
        reset_sd=spread.again,
        finest=millimetres(dial.finest) if dial else 0.0,
        more=dial.more if dial else "further",
        less=dial.less if dial else "back",
    )


def measurements_of(record: Record) -> tuple[MeasurementModel, ...]:
    """What was to be measured: targets are nil, readings are deviations from them."""
    return tuple(
        MeasurementModel(
            name=measure.name,
            title=measure.title.split(",")[0],  # "Back" of "Back, shoulder to shoulder"
            low=-millimetres(measure.under),
            high=millimetres(measure.over),
            sensitivities={cause: float(value) for cause, value in measure.moved_by.items()},
            scatter_sd=PIECE_SCATTER,
        )
        for measure in record.measures
    )


def pieces_of(record: Record, shop: Shop) -> tuple[TestPiece, ...]:
    """The test pieces in order, each with the moves made before it; what was moved after the last
    one stands as a piece without readings. Raises DataFaults for a reading of something unknown."""
    measures = {measure.name: measure for measure in record.measures}
    read = [
        tuple(_reading(item, piece, measures, shop) for item in piece.readings)
        for piece in record.pieces
    ]
    moves = [_amounts(piece.moved) for piece in record.pieces]
    pieces = [
        TestPiece(readings, before) for readings, before in zip(read, [{}, *moves], strict=False)
    ]
    return (*pieces, TestPiece((), moves[-1])) if moves and moves[-1] else tuple(pieces)


def _amounts(moved: Mapping[str, Length]) -> dict[str, float]:
    return {cause: millimetres(amount) for cause, amount in moved.items()}


def _reading(
    reading: RecordedReading,
    piece: RecordedPiece,
    measures: Mapping[str, RecordedMeasure],
    shop: Shop,
) -> Reading:
    if reading.of not in measures:
        message = unknown("measure", reading.of, measures)
        raise DataFaults([reading.marks.fault(message, "of")])
    instrument = instrument_named(reading.by, shop, reading.marks)
    if reading.fit is not None:
        return Reading(reading.of, reading.fit, instrument, reading.pieces)
    assert reading.found is not None, "a reading is a length or a fit"
    deviation = reading.found - target_of(measures[reading.of], piece)
    return Reading(reading.of, millimetres(deviation), instrument, reading.pieces)


def target_of(measure: RecordedMeasure, piece: RecordedPiece) -> Length:
    """What a measure should be on a piece whose blank was meant to be longer than the part's."""
    return measure.target + measure.moved_by.get(LENGTH, 0) * piece.longer


def instrument_named(name: str, shop: Shop, marks: Marks) -> InstrumentModel:
    """An instrument as shop.yaml has it; ``marks`` place the fault, DataFaults, if it has none."""
    known = shop.settings.instruments
    if name not in known:
        raise DataFaults([marks.fault(unknown("instrument", name, known), "by")])
    return InstrumentModel(
        name, millimetres(known[name].spread), millimetres(known[name].resolution)
    )


def options_of(record: Record, shop: Shop) -> tuple[ReadingOption, ...]:
    """Every reading that can still be taken from a piece, each with its usual instrument."""
    return tuple(
        ReadingOption(measure.name, instrument_named(measure.by, shop, record.marks))
        for measure in record.measures
    )
