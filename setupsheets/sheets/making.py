"""A job's finished sheets: plan, findings and records in, finished strings and drawings out.

The first module of `sheets` to open. `make_sheets` gathers values, `content` makes finished text
and drawings of them, `pages` lays those out.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from importlib.util import find_spec
from typing import NamedTuple

from msgspec.structs import replace

from setupsheets.files.faults import DataFaults, stop_on
from setupsheets.formulas import FormulaError
from setupsheets.joinery.leaf import Whole, whole
from setupsheets.joinery.members.parts import Joinery
from setupsheets.joinery.stock.cutlist import TestPieces
from setupsheets.lengths import Length
from setupsheets.machining.conditions import condition_faults
from setupsheets.machining.findings import findings_of
from setupsheets.machining.plan import Plan, joinery_of, plan_joinery
from setupsheets.machining.planning.test_pieces import tried
from setupsheets.records.current import set_up_states
from setupsheets.records.folder import Copied
from setupsheets.records.mates import plan_as_made
from setupsheets.records.shop_records import ShopRecords
from setupsheets.sheets.content.cover import cover_of
from setupsheets.sheets.content.door import door_drawings
from setupsheets.sheets.content.finished import MachinePages, SheetContent
from setupsheets.sheets.content.inputs import (
    OnRecord,
    SheetInputs,
    States,
    fingerprint,
    first_longer,
)
from setupsheets.sheets.content.machine_sheets import machine_sheets
from setupsheets.sheets.content.parts_sheet import parts_sheet
from setupsheets.shop.finding import Shop
from setupsheets.shop.jobs import Job
from setupsheets.shop.phone_addresses import set_up_address
from setupsheets.shop.recipes import Makes
from setupsheets.wording.joinery_faults import design_faults_worded


class MadeSheets(NamedTuple):
    """Finished sheets and what they are made of."""

    content: SheetContent
    inputs: SheetInputs
    joinery: Whole


def make_sheets(records: ShopRecords, plan: Plan, today: datetime.date) -> MadeSheets:
    """The sheets of a plan as they are on a day, with all that the records and the proof say."""
    shop, known = records.shop, set_up_states(plan, records, today)
    tests = pieces_to_get_out(plan, known)
    found = whole_of(plan.joinery, shop, tests, first_longer(known))
    try:
        inputs = replace(inputs_of(shop, plan, known, today), addresses=addresses_of(shop, plan))
        return MadeSheets(sheets_of(inputs, found), inputs, found)
    except FormulaError:
        stop_on(condition_faults(plan, shop))
        raise


def inputs_of(shop: Shop, plan: Plan, known: States, today: datetime.date) -> SheetInputs:
    """All that the sheets are made from, worked out once."""
    passed = shop.passed_over.items()
    unread = tuple(path.name for path, found in passed if not isinstance(found, Copied))
    records, timber = OnRecord(known, unread), shop.timber_of(plan.job)
    return SheetInputs(
        plan=plan,
        shop=shop.settings,
        records=records,
        cautions=[caution for file in shop.cautions() for caution in file.cautions],
        findings=findings_of(plan, shop.settings, timber.hard),
        date=today,
        timber=timber.title,
    )


def addresses_of(shop: Shop, plan: Plan) -> Mapping[str, str]:
    """By name of a set-up where a phone finds it; none where the shop says no address, or where
    nothing is there to draw codes with, which is told."""
    settings = shop.settings
    if not settings.address:
        return {}
    if find_spec("segno") is None:
        fault = settings.marks.fault("codes need the extra `phone`", "address")
        left = "the sheets have no codes for a phone"
        shop.passed_over[settings.marks.path] = DataFaults([fault], left)
        return {}
    job = plan.job.name
    return {
        each.name: set_up_address(shop.folder, settings.address, job, each.name)
        for each in plan.set_ups
    }


def sheets_of(inputs: SheetInputs, found: Whole) -> SheetContent:
    """The finished sheets; ``found`` is all that the job's joinery comes to."""
    mark = fingerprint(inputs.plan, inputs.records)
    return SheetContent(
        title=inputs.plan.job.title,
        date=inputs.date.isoformat(),
        fingerprint=mark,
        cover=cover_of(inputs, mark, found.rows, door_drawings(found, inputs.notation)),
        machines=tuple(machine_sheets(inputs)),
        parts=parts_sheet(inputs.plan.job, found, inputs.notation),
    )


def only_machine(content: SheetContent, machine: str) -> MachinePages:
    """The pages of one machine, by its name; KeyError where the job needs none of that name."""
    cover, found = content.cover, [each for each in content.machines if each.machine == machine]
    if not found:
        raise KeyError(machine)
    return MachinePages(
        title=content.title,
        date=content.date,
        fingerprint=content.fingerprint,
        not_ready=cover.not_ready,
        obstacles=cover.obstacles,
        cautions=cover.cautions,
        machines=tuple(found),
    )


def make_parts(shop: Shop, job: Job, today: datetime.date) -> Whole:
    """The parts of a job alone, with the test pieces that its set-ups need.

    A job whose set-ups cannot be worked out yet, for want of a machine or a cutter, has its parts
    all the same; its test pieces are not counted.
    """
    with design_faults_worded(shop.settings.notation):
        joinery = joinery_of(job, shop)
    try:
        plan = plan_joinery(joinery, shop)
    except DataFaults as found:
        plan = None
        left = "until then the test pieces of its set-ups are not counted among the parts"
        shop.passed_over[joinery.layout.job.marks.path] = DataFaults(found.faults, left)
    records = ShopRecords(shop)
    plan = plan_as_made(plan, records, today) if plan else None
    known = set_up_states(plan, records, today) if plan else {}
    tests = pieces_to_get_out(plan, known) if plan else {}
    planned = plan.joinery if plan else joinery
    return whole_of(planned, shop, tests, first_longer(known))


def whole_of(
    joinery: Joinery, shop: Shop, tests: Mapping[str, TestPieces], longer: Length = Length.ZERO
) -> Whole:
    """All that surrounds a job's joinery; ``tests`` are test pieces to get out, by part, ``longer``
    is what first blanks have over the rest."""
    timber, settings = shop.timber_of(joinery.layout.job), shop.settings
    with design_faults_worded(settings.notation):
        tolerances = settings.tolerances.in_terms_of(settings.unit)
        return whole(
            joinery, timber, settings.finest_mark, settings.unit, tests, tolerances, longer
        )


def pieces_to_get_out(plan: Plan, known: States) -> dict[str, TestPieces]:
    """How many test pieces of each part to get out, and how long: as many as the set-up that it
    stands for needs most. The same pieces go on from one set-up to the next, but for ends: one that
    is coped for one mate serves for no other. Blanks are tried on what is cut longer."""
    most: dict[str, int] = {}
    coped: dict[str, int] = {}
    lengths: dict[str, Length] = {}
    for set_up in plan.set_ups:
        if set_up.test_length is not None:
            name, state = tried(set_up), known.get(set_up.name)
            wanted = state.due.pieces if state else 1
            lengths[name] = set_up.test_length
            if set_up.recipe.makes is Makes.COPE:
                coped[name] = coped.get(name, 0) + wanted
            else:
                most[name] = max(most.get(name, 0), wanted)
    counts = {name: max(most.get(name, 0), coped.get(name, 0)) for name in lengths}
    return {name: TestPieces(count, lengths[name]) for name, count in counts.items() if count}
