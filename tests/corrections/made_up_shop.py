"""Made-up causes, measurements and instruments for the tests of the corrections, mm."""

from collections.abc import Mapping, Sequence

from setupsheets.corrections.advice import Advice
from setupsheets.corrections.belief import Belief
from setupsheets.corrections.causes import Cause, method_spread
from setupsheets.corrections.observations import (
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.stopping import recommend

RULE = InstrumentModel("rule", sd=0.12, resolution=25.4 / 128)
CALIPER = InstrumentModel("caliper", sd=0.03, resolution=0.02)
EXACT = InstrumentModel("exact", sd=1e-4, misreading_probability=0.0)


def advise(belief: Belief) -> Advice:
    """The moves to make now, whatever is to be done after them."""
    return recommend(belief)[0]


def taken_again(belief: Belief) -> tuple[ReadingOption, ...]:
    """The readings of the last piece, each with the instrument it was taken with."""
    last = belief.read[-1].readings
    found = {ReadingOption(each.measurement, each.instrument, each.pieces): None for each in last}
    return tuple(found)


def setting(name: str, method: str, *, finest: float) -> Cause:
    """A setting made in one of the usual ways, on a machine of which nothing is known."""
    spread = method_spread(method)
    return Cause(name, prior_sd=spread.first, reset_sd=spread.again, finest=finest)


def wood(name: str, *, sd: float = 0.5, scatter: float = 0.1, finest: float = 0.0) -> Cause:
    """A dimension of the blanks, which can only be made smaller."""
    return Cause(
        name,
        "blank",
        prior_sd=sd,
        reset_sd=0.15,
        one_way=True,
        scatter_sd=scatter,
        finest=finest,
    )


def plain(name: str, *, sd: float = 0.4, mean: float = 0.0, reset: float = 0.0) -> Cause:
    """A setting that never slips: what is left is one normal belief."""
    return Cause(
        name,
        prior_mean=mean,
        prior_sd=sd,
        reset_sd=reset,
        blunder_probability=0.0,
        move_blunder_probability=0.0,
        shift_probability=0.0,
    )


def plainly(
    name: str, rows: Mapping[str, float], *, tolerance: float = 0.5, scatter: float = 0.0
) -> MeasurementModel:
    """A measurement that never strays."""
    return MeasurementModel(name, -tolerance, tolerance, rows, scatter, stray_probability=0.0)


def steady(sd: float, resolution: float = 0.0) -> InstrumentModel:
    """An instrument that is never misread."""
    return InstrumentModel("steady", sd, resolution, misreading_probability=0.0)


def bar_causes() -> tuple[Cause, ...]:
    """Seven causes of a glazed bar: three end stops, two cheeks, a fence and the blanks."""
    return (
        setting("face stop", "stop", finest=0.1),
        setting("back stop", "stop", finest=0.1),
        setting("tenon stop", "stop", finest=0.1),
        setting("upper cheek", "gauge", finest=0.05),
        setting("lower cheek", "gauge", finest=0.05),
        setting("fence", "scale", finest=0.1),
        wood("blank length", finest=0.1),
    )


def bar_measurements() -> tuple[MeasurementModel, ...]:
    """Six measurements of a glazed bar; both ends are cut against one stop, so a stop counts -2."""
    return (
        _measured("face", 0.5, {"face stop": -2, "blank length": 1}, 0.08),
        _measured("back", 0.5, {"back stop": -2, "blank length": 1}, 0.08),
        _measured("tenons", 0.8, {"tenon stop": -2, "blank length": 1}, 0.08),
        _measured("thickness", 0.15, {"upper cheek": 1, "lower cheek": 1}, 0.03),
        _measured("position", 0.2, {"upper cheek": -1}, 0.03),
        _measured("width", 0.3, {"fence": 1}, 0.05),
    )


def _measured(
    name: str, tolerance: float, rows: Mapping[str, float], sd: float
) -> MeasurementModel:
    return MeasurementModel(name, -tolerance, tolerance, rows, sd)


def bar_piece(values: Sequence[float], moves: Mapping[str, float] | None = None) -> TestPiece:
    """A test piece of a bar: three lengths by rule, three more by caliper."""
    tools = (RULE, RULE, RULE, CALIPER, CALIPER, CALIPER)
    read = zip(bar_measurements(), values, tools, strict=True)
    return TestPiece(tuple(Reading(m.name, value, tool) for m, value, tool in read), moves or {})
