"""What can make a part come out wrong: the settings of its machines, and its blanks.

All lengths are floats in millimetres. An error is where the machine really stands minus where it
was meant to stand, in the setting's own direction.
"""

from collections.abc import Mapping
from math import inf, isfinite
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

BLUNDER_SD = 6.0
"""Spread of a blunder (wrong side of the line, a misread fraction), mm: common practice, no
source."""


DRIFT_ODDS = 3.0
DRIFT_SD = 0.3
"""How much likelier than one shift it is that a setting creeps with every piece (a clamp that does
not hold, a stop that is pushed), and the spread of how far, mm a piece: common practice, no
source."""


class MethodSpread(Struct, frozen=True):
    """How closely a way of setting comes to what was aimed at: standard deviations in mm."""

    first: float
    again: float
    fine: float = 0.05


METHOD_SPREAD: Mapping[str, MethodSpread] = MappingProxyType(
    {
        "line": MethodSpread(0.5, 0.4, 0.06),
        "rule": MethodSpread(0.4, 0.25, 0.04),
        "scale": MethodSpread(0.5, 0.15, 0.04),
        "stop": MethodSpread(0.3, 0.1, 0.03),
        "dial": MethodSpread(0.25, 0.05, 0.04),
        "block": MethodSpread(0.1, 0.05, 0.03),
        "gauge": MethodSpread(0.15, 0.08, 0.04),
    }
)
"""Spread by way of setting: against a pencil line, a rule, the machine's scale, a fixed stop, a
dial, a set-up block, a height gauge. `first` is the spread of a setting made afresh, which has the
scale's own error in it; `again` is what a move from a setting already there adds, `fine` what one
adds that is made with shims, against a gauge or by a thread. Common practice, no source: a shop
that has measured its own puts its own in.
"""


def method_spread(method: str) -> MethodSpread:
    """The spread for a way of setting; ValueError names the ways that are known."""
    try:
        return METHOD_SPREAD[method]
    except KeyError:
        known = ", ".join(METHOD_SPREAD)
        raise ValueError(f"way of setting: expected one of {known}; found {method!r}") from None


class Cause(Struct, frozen=True):
    """A setting, or a dimension of the blanks, that readings may be traced back to.

    prior_mean, prior_sd   error to expect before any test piece, mm
    blunder_probability    chance of a blunder at the first setting, blunder_sd its spread, mm
    reset_sd               spread that every later move adds, mm
    finest                 finest move that can be made, mm; 0 where there is no step
    fine_step              finest move by shims, gauge or thread, mm; 0 where there is none
    fine_reach             the furthest that goes, mm
    fine_sd                spread that such a move adds, mm
    movable                False where nothing can be done about it (a cutter's own size)
    one_way                only moves below 0 are possible: wood cannot be put back on
    lowest                 error below which it cannot be: there its figure is nought, mm
    scatter_sd             difference from piece to piece, mm (blanks)
    move_blunder_probability  chance that a later move goes wrong (the wrong way, say)
    shift_probability      chance per piece that it shifts without being touched on purpose
    """

    name: str
    kind: Literal["setting", "blank"] = "setting"
    prior_mean: float = 0.0
    prior_sd: float = 0.4
    # Chances are common practice, no source.
    blunder_probability: float = 0.03
    blunder_sd: float = BLUNDER_SD
    reset_sd: float = 0.1
    finest: float = 0.0
    fine_step: float = 0.0
    fine_reach: float = 0.0
    fine_sd: float = 0.0
    movable: bool = True
    one_way: bool = False
    lowest: float = -inf
    scatter_sd: float = 0.0
    move_blunder_probability: float = 0.01
    shift_probability: float = 0.001

    def __post_init__(self) -> None:
        """Refuse spreads below 0 and chances outside 0 to 1."""
        spreads = ("prior_sd", "blunder_sd", "reset_sd", "finest", "scatter_sd")
        for field in spreads:
            value = getattr(self, field)
            if not (isfinite(value) and value >= 0):
                raise ValueError(f"{self.name}: {field} expected 0 or more; found {value!r}")
        for field in ("blunder_probability", "move_blunder_probability", "shift_probability"):
            value = getattr(self, field)
            if not 0 <= value < 0.5:
                raise ValueError(f"{self.name}: {field} expected 0 up to 0.5; found {value!r}")
