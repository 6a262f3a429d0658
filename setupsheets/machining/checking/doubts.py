"""What to look at in a job that can be worked to: figures that are more likely a slip, and what is
made otherwise than the shop does by itself. Told, never refused."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum, auto

from msgspec import Struct

from setupsheets.files.faults import Marks, Step
from setupsheets.lengths import Length, Unit
from setupsheets.machining.plan import Plan
from setupsheets.shop.settings import ShopSettings

SMALLEST, LARGEST = Length.millimetres(150), Length.millimetres(4000)
"""What a leaf or an opening measures is hardly less or more: common practice, no source."""


class DoubtKind(StrEnum):
    """What is doubtful. The facts of a kind are the fields of its sentence in `wording`."""

    SIZE_UNLIKELY = auto()
    OTHER_UNIT_MEANT = auto()
    FINER_THAN_ITS_INSTRUMENT = auto()
    MADE_OTHERWISE = auto()


class Doubt(Struct, frozen=True):
    """One doubtful figure: its facts by name, and the field of the job (``marks``) that it is."""

    kind: DoubtKind
    facts: Mapping[str, object]
    marks: Marks
    place: tuple[Step, ...] = ()


def doubts(plan: Plan, shop: ShopSettings) -> Iterator[Doubt]:
    """Sizes that no leaf has, and tolerances finer than what they are measured with can read."""
    for key, sized in (("leaf", plan.job.leaf), ("opening", plan.job.opening)):
        if sized is not None:
            yield from _size(sized.width, shop.unit, plan.job.marks, key, "width")
            yield from _size(sized.height, shop.unit, plan.job.marks, key, "height")
    yield from made_otherwise(plan)
    seen = set()
    for made in plan.set_ups:
        for item in made.measurements:
            instrument = shop.instruments.get(item.instrument)
            known = made.recipe.name, item.name
            if instrument is None or known in seen:
                continue
            seen.add(known)
            if item.under + item.over < instrument.resolution:
                facts = {
                    "recipe": made.recipe.name,
                    "measure": item.title,
                    "under": item.under,
                    "over": item.over,
                    "instrument": instrument.title,
                    "finest": instrument.resolution,
                }
                yield Doubt(DoubtKind.FINER_THAN_ITS_INSTRUMENT, facts, plan.job.marks)


def made_otherwise(plan: Plan) -> Iterator[Doubt]:
    """What is made by another recipe than the shop's first choice, for want of a machine."""
    for other in plan.others:
        facts = {"other": other, "lacks": other.lacks}
        yield Doubt(DoubtKind.MADE_OTHERWISE, facts, plan.job.marks)


def _size(size: Length, unit: Unit, marks: Marks, *place: Step) -> Iterator[Doubt]:
    if SMALLEST <= size <= LARGEST:
        return
    inch, millimetre = Length.inches(1), Length.millimetres(1)
    here, other = (inch, millimetre) if unit is Unit.IN else (millimetre, inch)
    meant = size / here * other
    likely = SMALLEST <= meant <= LARGEST
    kind = DoubtKind.OTHER_UNIT_MEANT if likely else DoubtKind.SIZE_UNLIKELY
    yield Doubt(kind, {"size": size, "meant": meant, "place": place[0]}, marks, place)
