"""How a part stands under a cut, in words, and why one operation goes ahead of another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from setupsheets.lengths import Length, Notation
from setupsheets.machining.support.operation_order import BestOrder, Order, Reason
from setupsheets.machining.support.runs import Cure, Remedy, Support, fence_reach
from setupsheets.machining.support.wood_left import Spoils
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
        f" {notation.mark(Length.from_float(at.on_fence))} on the fence"
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
    none does."""
    found = [
        at
        for each in supports
        if each.steady and not each.unguided
        for at in (each.before, each.after)
    ]
    if not found:
        return ""
    table, fence = (
        notation.mark(Length.from_float(min(sizes)))
        for sizes in ([at.on_table for at in found], [at.on_fence for at in found])
    )
    return f"steady: bears at the least {table} on the table and {fence} on the fence"


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
