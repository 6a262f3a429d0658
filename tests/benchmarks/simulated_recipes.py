"""Recipes for the simulated shop: invented, with the trade's usual sizes of error, mm.

Every recipe names, for each measurement, the setting that a maker would reach for first: the
"reading next to it" of the everyday rule.
"""

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.causes import METHOD_SPREAD, Cause
from setupsheets.corrections.observations import InstrumentModel, MeasurementModel

SIXTY_FOURTH = 25.4 / 64

RULE = InstrumentModel("rule", sd=0.2, resolution=SIXTY_FOURTH / 2, misreading_probability=0.005)
CALIPER = InstrumentModel("caliper", sd=0.05, resolution=0.02, misreading_probability=0.005)


class Recipe(Struct, frozen=True):
    """Causes, measurements, what each is read with, and the setting next to each."""

    name: str
    causes: tuple[Cause, ...]
    measurements: tuple[MeasurementModel, ...]
    instruments: Mapping[str, InstrumentModel]
    neighbour: Mapping[str, str]


def _stop(name: str, sd: float = 0.4, reset: float = 0.04, finest: float = 0.05) -> Cause:
    return Cause(name, prior_sd=sd, reset_sd=reset, finest=finest)


def _height(name: str) -> Cause:
    return Cause(name, prior_sd=0.2, reset_sd=0.03, finest=0.05)


def _blank(name: str, scatter: float = 0.06) -> Cause:
    return Cause(name, "blank", prior_sd=0.5, reset_sd=0.1, one_way=True, scatter_sd=scatter)


def _measured(
    name: str, tolerance: float, scatter: float, rows: Mapping[str, float]
) -> MeasurementModel:
    return MeasurementModel(name, -tolerance, tolerance, rows, scatter)


def bar() -> Recipe:
    """The glazed bar: seven causes and six readings on four machines."""
    return Recipe(
        name="bar",
        causes=(
            _stop("face stop"),
            _stop("back stop"),
            _stop("tenon stop"),
            _height("upper cheek"),
            _height("lower cheek"),
            Cause("fence", prior_sd=0.3, reset_sd=0.04, finest=0.05),
            _blank("blank length"),
        ),
        measurements=(
            _measured("face length", 0.35, 0.05, {"face stop": -2, "blank length": 1}),
            _measured("back length", 0.35, 0.05, {"back stop": -2, "blank length": 1}),
            _measured("over tenons", 0.35, 0.05, {"tenon stop": -2, "blank length": 1}),
            _measured("tenon thickness", 0.12, 0.02, {"upper cheek": 1, "lower cheek": 1}),
            _measured("tenon position", 0.12, 0.02, {"upper cheek": -1}),
            _measured("width", 0.25, 0.06, {"fence": 1}),
        ),
        instruments={
            "face length": RULE,
            "back length": RULE,
            "over tenons": RULE,
            "tenon thickness": CALIPER,
            "tenon position": CALIPER,
            "width": CALIPER,
        },
        neighbour={
            "face length": "face stop",
            "back length": "back stop",
            "over tenons": "tenon stop",
            "tenon thickness": "lower cheek",
            "tenon position": "upper cheek",
            "width": "fence",
        },
    )


def sticking() -> Recipe:
    """A stile's edge: moulding, rebate and the tongue between, out of one thickness."""
    return Recipe(
        name="sticking",
        causes=(
            _stop("moulding fence", 0.3),
            _height("moulding height"),
            _stop("rebate fence", 0.3),
            _height("rebate height"),
            Cause(
                "stock thickness",
                "blank",
                prior_sd=0.2,
                reset_sd=0.06,
                finest=0.05,
                one_way=True,
                scatter_sd=0.05,
            ),
        ),
        measurements=(
            _measured("moulding width", 0.25, 0.06, {"moulding fence": 1}),
            _measured("moulding depth", 0.2, 0.04, {"moulding height": 1}),
            _measured("rebate width", 0.25, 0.06, {"rebate fence": 1}),
            _measured("rebate depth", 0.25, 0.04, {"rebate height": 1}),
            _measured(
                "tongue",
                0.2,
                0.04,
                {"stock thickness": 1, "moulding height": -1, "rebate height": -1},
            ),
        ),
        instruments={
            "moulding width": CALIPER,
            "moulding depth": CALIPER,
            "rebate width": CALIPER,
            "rebate depth": CALIPER,
            "tongue": CALIPER,
        },
        neighbour={
            "moulding width": "moulding fence",
            "moulding depth": "moulding height",
            "rebate width": "rebate fence",
            "rebate depth": "rebate height",
            "tongue": "rebate height",
        },
    )


def rail() -> Recipe:
    """A rail with stub tenons: one stop for both shoulders, one for the tenons' ends."""
    return Recipe(
        name="rail",
        causes=(
            _stop("shoulder stop"),
            _stop("haunch stop", 0.4),
            _height("face cheek"),
            _height("back cheek"),
            _blank("blank length", 0.1),
            Cause("fence", prior_sd=0.3, reset_sd=0.08, finest=0.2),
        ),
        measurements=(
            _measured("shoulder length", 0.5, 0.08, {"shoulder stop": -2, "blank length": 1}),
            _measured("tenon length", 0.5, 0.1, {"shoulder stop": 1}),
            _measured("haunch", 0.5, 0.1, {"haunch stop": 1, "shoulder stop": -1}),
            _measured("tenon thickness", 0.12, 0.03, {"face cheek": 1, "back cheek": 1}),
            _measured("face to tenon", 0.2, 0.03, {"face cheek": -1}),
            _measured("width", 0.4, 0.08, {"fence": 1}),
        ),
        instruments={
            "shoulder length": RULE,
            "tenon length": RULE,
            "haunch": RULE,
            "tenon thickness": CALIPER,
            "face to tenon": CALIPER,
            "width": CALIPER,
        },
        neighbour={
            "shoulder length": "shoulder stop",
            "tenon length": "shoulder stop",
            "haunch": "haunch stop",
            "tenon thickness": "back cheek",
            "face to tenon": "face cheek",
            "width": "fence",
        },
    )


def bar_by_64ths() -> Recipe:
    """The bar where a rule read to whole 64ths meets limits of just over one of its marks.

    A reading one mark off then passes, so the everyday rule is quick to go, and often wrong: the
    hardest shop for the tool's count of test pieces that was met with.
    """
    coarse = replace(RULE, resolution=SIXTY_FOURTH)
    lengths = {"face length", "back length", "over tenons"}
    plain = bar()
    return replace(
        plain,
        name="bar, rule read to whole 64ths",
        causes=tuple(
            replace(c, reset_sd=0.06, finest=0.1) if "stop" in c.name else c for c in plain.causes
        ),
        measurements=tuple(
            replace(m, low=-0.4, high=0.4) if m.name in lengths else m for m in plain.measurements
        ),
        instruments={n: coarse if n in lengths else i for n, i in plain.instruments.items()},
    )


def bar_by_hand() -> Recipe:
    """The bar as the built-in recipes know it: set by rule and gauge, moved by 64ths.

    Dials are as closely set as METHOD_SPREAD says, no finer than a mark, limits are a mark for
    lengths and half a mark for the tenon, and blanks can be made longer as well as shorter.
    """
    plain = bar()
    stop, height = METHOD_SPREAD["rule"], METHOD_SPREAD["gauge"]
    causes = []
    for cause in plain.causes:
        if cause.kind == "blank":
            causes.append(replace(cause, one_way=False, finest=SIXTY_FOURTH))
            continue
        spread = height if "cheek" in cause.name else stop
        causes.append(
            replace(cause, prior_sd=spread.first, reset_sd=spread.again, finest=SIXTY_FOURTH)
        )
    return replace(
        plain,
        name="bar, set by rule and moved by 64ths",
        causes=tuple(causes),
        measurements=tuple(
            replace(m, low=-limit, high=limit, scatter_sd=0.03)
            for m in plain.measurements
            for limit in (SIXTY_FOURTH / 2 if "tenon " in m.name else SIXTY_FOURTH,)
        ),
    )


def varied(
    recipe: Recipe, name: str, *, tolerance: float = 1.0, reading: float = 1.0, reset: float = 1.0
) -> Recipe:
    """A recipe with tolerances, reading errors and re-setting scatter multiplied."""
    return replace(
        recipe,
        name=f"{recipe.name}, {name}",
        causes=tuple(replace(c, reset_sd=c.reset_sd * reset) for c in recipe.causes),
        measurements=tuple(
            replace(m, low=m.low * tolerance, high=m.high * tolerance) for m in recipe.measurements
        ),
        instruments={
            n: replace(i, sd=i.sd * reading, resolution=i.resolution * reading)
            for n, i in recipe.instruments.items()
        },
    )
