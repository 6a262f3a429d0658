"""Plans for the tests of the sheets: the two example shops, and one operation made by hand."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from setupsheets.joinery.leaf import About, Whole
from setupsheets.joinery.members.parts import Joinery
from setupsheets.joinery.notes import NoteKind, note
from setupsheets.joinery.stock.cutlist import TestPieces
from setupsheets.lengths import Length
from setupsheets.machining.findings import findings_of
from setupsheets.machining.operations import (
    Operation,
    Setting,
    SetUp,
    Subject,
)
from setupsheets.machining.plan import Plan, joinery_of, plan_job
from setupsheets.records.current import SetUpState
from setupsheets.sheets.content.finished import SheetContent
from setupsheets.sheets.content.inputs import OnRecord, SheetInputs
from setupsheets.sheets.making import inputs_of, sheets_of, whole_of
from setupsheets.sheets.pages.pages import to_markdown
from setupsheets.shop.cautions import Caution
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.finding import Shop
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import Machine, MachineSetting, SetBy, SettingName
from setupsheets.shop.outlines import Shape
from setupsheets.shop.recipes import (
    Makes,
    MeasuredTo,
    Recipe,
    RecipeOperation,
    Surface,
    Work,
)
from setupsheets.shop.sections import Member, Rebate, Section, Sticking

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DATE = datetime.date(2026, 11, 25)
JOBS = ("larder", "vestibule")


@cache
def shop(name: str) -> Shop:
    return Shop.open(EXAMPLES / name)


@cache
def plan(name: str) -> Plan:
    job = shop(name).job(name)
    return plan_job(job, joinery_of(job, shop(name)), shop(name))


def set_up_of(plan: Plan, recipe: str) -> SetUp:
    """The first set-up of a recipe."""
    return next(each for each in plan.set_ups if each.recipe.name == recipe)


def cautions(name: str = "larder") -> list[Caution]:
    return [caution for file in shop(name).cautions() for caution in file.cautions]


@cache
def whole(name: str) -> Whole:
    return whole_of(plan(name).joinery, shop(name), {"cross bar": TestPieces(3, inches("12"))})


def inputs(
    of: Plan, name: str = "larder", known: Mapping[str, SetUpState] | None = None
) -> SheetInputs:
    """What the sheets of a plan of one of the shops are made from."""
    return inputs_of(shop(name), of, known or {}, DATE)


@cache
def content(name: str) -> SheetContent:
    """The sheets of one of the jobs, worked out once for all tests."""
    return sheets_of(inputs(plan(name), name), whole(name))


@cache
def printed(name: str) -> str:
    """The same as Markdown."""
    return to_markdown(content(name))


def titled(title: str) -> SheetContent:
    """A short plan's sheets with this text wherever a user can write one that is not read as
    Markdown."""
    own = plan("larder")
    wanted = ("blank", "bar", "fit")
    some = [item for item in own.set_ups if item.recipe.makes in wanted]
    set_ups = tuple(_retitled(item, title) for item in some[-4:])
    job = replace(own.job, title=title, timber=title)
    told = (note(NoteKind.NO_HAUNCH, rail=title, horn=True),)
    made = Plan(job, replace(own.joinery, notes=told), set_ups)
    caution = Caution(title, title, title)
    general = Caution(title, title, title, general=True)
    of = replace(whole("larder"), joinery=made.joinery, notes=dict.fromkeys(About, told))
    settings, records = shop("larder").settings, OnRecord({})
    found = findings_of(made, settings, False)
    return sheets_of(
        SheetInputs(made, settings, records, [caution, general], found, DATE, title), of
    )


def _retitled(set_up: SetUp, title: str) -> SetUp:
    def one(operation: Operation) -> Operation:
        cutter = replace(operation.cutter, title=title) if operation.cutter else None
        machine = replace(operation.machine, title=title)
        asks = replace(operation.asks, title=title, notes=title)
        jigs = tuple(replace(jig, name=title, use=title) for jig in operation.jigs)
        dials = (replace(item.dial, title=title, more=title) for item in operation.settings)
        settings = tuple(
            replace(item, dial=dial) for item, dial in zip(operation.settings, dials, strict=True)
        )
        return replace(
            operation, cutter=cutter, machine=machine, asks=asks, jigs=jigs, settings=settings
        )

    return replace(
        set_up,
        operations=tuple(one(item) for item in set_up.operations),
        measurements=tuple(replace(item, title=title, how=title) for item in set_up.measurements),
    )


def inches(text: str) -> Length:
    return Length(f"{text} in")


BAR = Section(
    name="bar",
    title="Bar",
    member=Member.BAR,
    thickness=inches("1 3/8"),
    sticking=Sticking(Shape.OVOLO, inches("3/8"), inches("3/8")),
    rebate=Rebate(inches("7/16"), inches("1/2")),
    width=inches("1 1/8"),
)
BLADE = Cutter("blade", "Blade", CutterType.SAW_BLADE, diameter=inches("10"), kerf=inches("1/8"))


NOTHING: Mapping[str, Any] = {}


def groove(
    fence: str = "7/16", height: str = "1/2", asks: Mapping[str, Any] = NOTHING
) -> tuple[Operation, SetUp]:
    """One groove in the back of a bar on a table saw, fence to the far side of the blade."""
    dial = MachineSetting("Dial", inches("1/64"), SetBy.SCALE, "away", "towards")
    machine = Machine(
        "saw", "Saw", MachineType.TABLE_SAW, {SettingName.FENCE: dial, SettingName.HEIGHT: dial}
    )
    wanted: dict[str, Any] = {"down": Surface.BACK, "against": Surface.SIGHT_EDGE, **asks}
    asked = RecipeOperation("groove", "Groove", machine.type, Work.EDGE, **wanted)
    operation = Operation(
        1,
        asked,
        machine,
        BLADE,
        (
            Setting(SettingName.FENCE, "groove.fence", inches(fence), MeasuredTo.FAR, dial),
            Setting(SettingName.HEIGHT, "groove.height", inches(height), MeasuredTo.NEAR, dial),
        ),
    )
    subject = Subject(inches("1 1/8"), inches("1 3/8"), inches("20"), BAR, sight_edges=2)
    recipe = Recipe("bar", "Bar", Makes.BAR, (Member.BAR,), (asked,))
    return operation, SetUp("bar", recipe, subject, {"cross bar": 4}, (operation,), ())


NO_JOINERY = Joinery(plan("larder").joinery.layout, (), (), (), (), ())
