"""How a part stands under a cut, in words, and why one operation goes ahead of another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from setupsheets.lengths import Length, Notation
from setupsheets.machining.support.operation_order import BestOrder, Order, Reason
from setupsheets.machining.support.runs import Cure, Remedy, Support, fence_reach
from setupsheets.machining.support.wood_left import Spoils
from setupsheets.shop.machines import SettingName
from setupsheets.wording.lists import listed

CURES: Mapping[Cure, str] = {
    Cure.FILLER_STRIP: "filler strip {width} wide and {height} high",
    Cure.TONGUE: "tongue left on to the last, at least {width} wide",
    Cure.TALLER_FENCE: "taller fence, at least {height} high",
    Cure.HOLD_DOWN: "hold-down on the fence, pressing no further than {width} from it",
}


SPOILS: Mapping[Spoils, str] = {
    Spoils.SOLID_WOOD: "goes into solid wood, where its cutter is made for the moulding alone",
    Spoils.MOULDED_EDGE: "breaks out of an edge that is moulded already",
}
"""What an operation does that stands in the wrong place."""


SLIVER = 3.0
"""In mm: what no part is held level by. Common practice, no source."""


def order_notice(found: BestOrder) -> str:
    """What is wrong with a recipe's own order, and which one is better; empty where none is and
    nothing is spoilt."""
    worst = found.given.worst
    wrong = f"{worst.operation.name} {SPOILS[worst.spoils]}" if worst.spoils else ""
    if not found.better:
        return f"in this order {wrong}, and `after` allows no other" if wrong else ""
    why = wrong or f"the part stands better under {worst.operation.name}"
    where = "in this order" if wrong else "in another order"
    return f"{where} {why}: put them {', '.join(found.best.names)} (`setupsheets order` says why)"


def cure_words(remedy: Remedy, notation: Notation) -> str:
    """What to add, with its size: `filler strip 3/8 in wide and 1/2 in high`."""
    width, height = (
        notation.mark(Length.from_float(size)) for size in (remedy.width, remedy.height)
    )
    return CURES[remedy.cure].format(width=width, height=height)


def cures_words(support: Support, notation: Notation) -> str:
    """What gives an unsteady part something to stand on, each cure once."""
    cures = dict.fromkeys(cure_words(remedy, notation) for remedy in support.remedies)
    return f"add {' or '.join(cures)}" if cures else "try another order"


def too_low_words(support: Support, notation: Notation) -> str:
    """How high fence and stop reach, where what should run against them begins, and how high one
    has to be to take the lower half of it."""
    reach = fence_reach(support.operation)
    assert support.passes_over is not None and reach is not None
    low, high = support.passes_over
    now, begins, needed = (
        notation.mark(Length.from_float(at)) for at in (reach, low, (low + high) / 2)
    )
    return (
        f"fence and stop reach no higher than {now}, and what earlier cuts have left begins"
        f" {begins} above the table: one at least {needed} high"
    )


def support_words(support: Support, notation: Notation) -> str:
    """Bearing before and after the cutter, and what to add where it is short."""
    said = "; after the cut ".join(
        f"{notation.mark(Length.from_float(at.on_table))} on the table,"
        f" {notation.mark(Length.from_float(at.on_fence))} on the {_runs_against(support)}"
        for at in (support.before, support.after)
    )
    said = f"bears {said}"
    if support.passes_over:
        return f"{said}: {too_low_words(support, notation)}"
    if support.unguided:
        return f"{said}: nothing is left to run against; try another order"
    if support.steady:
        return said
    said += f": unsteady; {cures_words(support, notation)}"
    if support.unsaid:
        said += f". What {listed(support.unsaid)} does is not said: give it its kind in the recipe"
    return said


def steady_words(supports: Iterable[Support], notation: Notation) -> str:
    """The least that parts bear on table and fence in all their runs that stand steady; empty where
    none does. What lies over the table's opening at the cutter stands before and behind it."""
    steady = [each for each in supports if each.steady and not each.unguided]
    found = [at for each in steady for at in (each.before, each.after)]
    if not found:
        return ""
    least, on_fence = min(found, key=lambda at: at.on_table), min(at.on_fence for at in found)
    table, fence = (notation.mark(Length.from_float(size)) for size in (least.on_table, on_fence))
    against = f"{fence} on the {_runs_against(steady[0])}"
    if least.on_table < SLIVER and least.table != least.beside:
        return (
            "steady: bears on the table before and behind its opening, on next to nothing beside"
            f" the cutter, and at the least {against}"
        )
    return f"steady: bears at the least {table} on the table and {against}"


def _runs_against(support: Support) -> str:
    return "fence" if support.operation.aim(SettingName.STOP) is None else "stop"


def reason_words(reason: Reason, best: Order, notation: Notation) -> str:
    """Why two operations stand in the best order as they do."""
    said = f"{reason.first} before {reason.second}"
    if reason.otherwise is None:
        return f"{said}: the recipe says so"
    worse = reason.otherwise.worst
    if worse.spoils is not None and best.worst.spoils is None:
        return f"{said}: the other way round {worse.operation.name} {SPOILS[worse.spoils]}"
    if worse.margin >= best.worst.margin - 1e-6:
        return f"{said}: either way stands as well"
    how = "tips by" if worse.margin < 0 else "stands with only"
    by = notation.mark(Length.from_float(abs(worse.margin)))
    return f"{said}: the other way round {worse.operation.name} {how} {by}"
