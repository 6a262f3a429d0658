"""A job's finished sheets, from the shop's files and records: everything gathered in one place."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.leaf import Whole, whole
from setupsheets.joinery.members.parts import Joinery
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.plan import Plan, joinery_of, plan_joinery
from setupsheets.machining.tasks import Task
from setupsheets.records.current import SetUpState, set_up_states
from setupsheets.records.folder import ShopRecords
from setupsheets.sheets.content import gathering
from setupsheets.sheets.content.findings import Findings
from setupsheets.sheets.content.finished import SheetContent
from setupsheets.sheets.content.finished_parts import PartsSheet
from setupsheets.sheets.content.parts_sheet import parts_sheet
from setupsheets.sheets.content.sheets import build_content
from setupsheets.shop.finding import Shop
from setupsheets.shop.jobs import Job
from setupsheets.wording.joinery_faults import design_faults_worded
from setupsheets.wording.proofs import worst_reading


def make_sheets(shop: Shop, plan: Plan, today: datetime.date) -> SheetContent:
    """The sheets of a plan as they are on a day, with all that the records and the proof say."""
    known = set_up_states(plan, ShopRecords(shop), today)
    timber = shop.timber(plan.job.timber)
    tests = gathering.test_pieces(plan.set_ups, known)
    return build_content(
        plan,
        shop.settings,
        known,
        [caution for file in shop.cautions() for caution in file.cautions],
        today,
        whole_of(plan.joinery, shop, tests),
        _findings(plan, shop, known, timber.hard),
        timber.title,
    )


def whole_of(joinery: Joinery, shop: Shop, tests: Mapping[str, int]) -> Whole:
    """All that surrounds a job's joinery; ``tests`` are test pieces to get out, by part."""
    timber, settings = shop.timber(joinery.layout.job.timber), shop.settings
    with design_faults_worded(settings.notation):
        return whole(joinery, timber, settings.finest_mark, tests, settings.tolerances)


def make_parts(shop: Shop, job: Job, today: datetime.date) -> tuple[Whole, PartsSheet]:
    """The parts of a job alone, with the test pieces that its set-ups need.

    A job whose set-ups cannot be worked out yet, for want of a machine or a cutter, has its parts
    all the same; its test pieces are not counted.
    """
    with design_faults_worded(shop.settings.notation):
        joinery = joinery_of(job, shop)
    try:
        plan = plan_joinery(joinery, shop)
        known = set_up_states(plan, ShopRecords(shop), today)
        tests = gathering.test_pieces(plan.set_ups, known)
    except DataFaults:
        tests = {}
    found = whole_of(joinery, shop, tests)
    return found, parts_sheet(job, found, shop.settings.notation)


def _findings(plan: Plan, shop: Shop, known: Mapping[str, SetUpState], hard: bool) -> Findings:
    """All that can be worked out about a plan, operation by operation."""
    tasks: Sequence[Task] = plan.tasks
    notation, proofs = shop.settings.notation, prove_plan(plan)
    numbered = {task.operation.number: task for task in tasks}
    stands = {number: gathering.stands(task) for number, task in numbered.items()}
    stops = ((n, gathering.stopped(task, notation)) for n, task in numbered.items())
    fits = ((n, gathering.fit_of(task, notation)) for n, task in numbered.items())
    return Findings(
        proofs=gathering.proved(proofs, notation),
        unproved=tuple(gathering.unproved(proofs, notation)),
        worst=worst_reading(proofs, notation),
        support={n: tuple(gathering.support_words(s, notation)) for n, s in stands.items()},
        stands=stands,
        stops={n: found for n, found in stops if found is not None},
        speeds={n: gathering.speed_words(task) for n, task in numbered.items()},
        passes={
            n: gathering.pass_words(task, hard, known.get(task.set_up.name), notation)
            for n, task in numbered.items()
        },
        reach={n: tuple(gathering.reach_words(task, notation)) for n, task in numbered.items()},
        centres={
            n: tuple(gathering.centre_words(task, plan, notation)) for n, task in numbered.items()
        },
        fits={n: found for n, found in fits if found is not None},
        only=gathering.edges_only(plan),
        stacks={n: gathering.stack_words(task, notation) for n, task in numbered.items()},
        blocks=dict(gathering.blocks(tasks, known, shop.settings)),
    )
