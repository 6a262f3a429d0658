"""A job's finished sheets, from the shop's files and records: everything gathered in one place."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache

from setupsheets.lengths import Length, Notation
from setupsheets.machining.blocks import make_up
from setupsheets.machining.operations import Plan
from setupsheets.machining.planes import CutError
from setupsheets.machining.proof import Proof, prove_plan
from setupsheets.machining.stops import stop_limits, tape_marks
from setupsheets.machining.support import supports
from setupsheets.records.standing import SetUpStanding, standings
from setupsheets.sheets.content import build_content
from setupsheets.sheets.content_operations import Findings, Task, tasks_of
from setupsheets.sheets.finished import SheetContent
from setupsheets.sheets.wording import figure_to_set
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import SetBy
from setupsheets.shop.settings import ShopSettings

BY_DISTANCE = frozenset({SetBy.BLOCK, SetBy.RULE, SetBy.GAUGE})
"""Settings made by the distance itself: a stack of blocks can stand in it. A scale cannot."""


def make_sheets(shop: Shop, plan: Plan, today: datetime.date) -> SheetContent:
    """The sheets of a plan as they are on a day, with all that the records and the proof say."""
    known = standings(plan, shop, today)
    tasks = tuple(tasks_of(plan.set_ups))
    notation = shop.settings.notation
    return build_content(
        plan,
        shop.settings,
        known,
        [caution for file in shop.cautions() for caution in file.cautions],
        today,
        Findings(
            proofs=_proved(prove_plan(plan), notation),
            support={t.operation.number: tuple(_support(t, notation)) for t in tasks},
            stops={t.operation.number: tuple(_stops(t, plan, notation)) for t in tasks},
            blocks=dict(_blocks(tasks, known, shop.settings)),
        ),
        shop.timber(plan.job.timber).title,
    )


def _proved(proofs: Iterable[Proof], notation: Notation) -> Mapping[str, tuple[bool, str]]:
    """By set-up, whether all that it takes part in proves, and what to say where it does not."""
    found: dict[str, tuple[bool, str]] = {}
    for proof in proofs:
        for name in proof.set_ups:
            holds, words = found.get(name, (True, ""))
            if not proof.holds:
                words = "; ".join(filter(None, (words, proof.text(notation.show))))
            found[name] = (holds and proof.holds, words)
    return found


def _support(task: Task, notation: Notation) -> Iterator[str]:
    """Bearing on table and fence for every run of the part, and what to add where it is short."""
    if task.stage is None:
        return
    for found in supports((task.stage,), task.set_up.subject):
        edge = "second edge: " if found.edge else ""
        yield f"{edge}{found.text(notation.mark)}"


def _stops(task: Task, plan: Plan, notation: Notation) -> Iterator[str]:
    """The tape marks of a cut that is lowered on, between the joints of its part."""
    part = task.set_up.subject.part
    if not task.operation.asks.lowered_on or part is None:
        return
    first, last = stop_limits(part, plan.joinery.mortises)
    try:
        yield tape_marks(task.operation, part.overall, first, last).text(notation.mark)
    except (CutError, ValueError) as fault:
        yield f"no tape marks: {fault}"


def _blocks(
    tasks: Sequence[Task], known: Mapping[str, SetUpStanding], shop: ShopSettings
) -> Iterator[tuple[tuple[int, str], str]]:
    """Stacks of set-up blocks for the figures that are set by their distance."""

    @cache
    def stack(wanted: Length, closeness: Length) -> str:
        if wanted <= Length.ZERO or wanted > longest:
            return ""
        made = make_up(wanted, shop.blocks, shop.shims, closeness)
        return made.text(shop.notation.write) if made else ""

    longest = sum(shop.blocks, Length.ZERO)
    for task in tasks:
        standing = known.get(task.set_up.name)
        for setting in task.operation.settings:
            if setting.dial.set_by not in BY_DISTANCE:
                continue
            now = standing.settings.get(setting.cause) if standing else None
            figure = figure_to_set(setting, now)
            if words := stack(figure, setting.dial.finest / 8):
                yield (task.operation.number, setting.name), words
