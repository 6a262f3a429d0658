"""A shop of nothing but what ships: jobs for every shipped section, with any choice of recipes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import cast

from msgspec.structs import replace

from setupsheets.files.documents import read_document
from setupsheets.files.places import data_folder
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Joinery
from setupsheets.lengths import Unit
from setupsheets.machining.plan import Plan, plan_job
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.jobs import (
    Allowances,
    Bars,
    Clearances,
    Fill,
    FrameField,
    Glazing,
    Job,
    Joints,
    Leaf,
    Meeting,
    Opening,
    Panels,
    Rail,
    RouteKind,
    Stile,
    Through,
)
from setupsheets.shop.loading import made_from
from setupsheets.shop.machines import Machine
from setupsheets.shop.recipes import Makes, Recipe
from setupsheets.shop.sections import Section
from setupsheets.shop.settings import ShopSettings

PROFILES = data_folder("profiles")
SHAPES = ("ovolo", "ogee", "cove", "bead", "chamfer")
UNITS = {"inch": Unit.IN, "metric": Unit.MM}


@cache
def thing(path: Path) -> object:
    return made_from(read_document(path), Unit.IN)


@cache
def names(kind: str) -> tuple[str, ...]:
    return tuple(sorted(path.stem for path in (PROFILES / kind).glob("*.yaml")))


def recipe(name: str) -> Recipe:
    return cast(Recipe, thing(PROFILES / "recipes" / f"{name}.yaml"))


@cache
def recipes_that_make(makes: Makes) -> tuple[str, ...]:
    return tuple(name for name in names("recipes") if recipe(name).makes is makes)


def section(shape: str, member: str, unit: str) -> Section:
    return cast(Section, thing(PROFILES / "sections" / f"{shape}-{member}-{unit}.yaml"))


@dataclass(frozen=True)
class Shipped:
    """The shipped machines and cutters of one unit; ``changed`` recipes take others' places."""

    unit: str
    changed: Mapping[str, Recipe] = field(default_factory=dict)

    @property
    def settings(self) -> ShopSettings:
        return cast(ShopSettings, thing(PROFILES / "starters" / self.unit / "shop.yaml"))

    def machine(self, name: str) -> Machine:
        known = names("machines")
        return cast(
            Machine,
            thing(
                PROFILES / "machines" / f"{name if name in known else f'{name}-{self.unit}'}.yaml"
            ),
        )

    def cutter(self, name: str) -> Cutter:
        return cast(Cutter, thing(PROFILES / "cutters" / f"{name}.yaml"))

    def recipe(self, name: str) -> Recipe:
        return self.changed.get(name) or recipe(name)

    def recipes(self, makes: Makes) -> tuple[Recipe, ...]:
        return tuple(self.recipe(name) for name in recipes_that_make(makes))


@cache
def job(
    shape: str,
    unit: str,
    through: Through = Through.CROSS,
    wide: int = 10,
    pair: bool = False,
) -> Job:
    """A leaf with bars both ways over a lock rail, one of them into the other or halved over it,
    and a panel in a groove below it; ``wide`` as so many of its stiles. A ``pair`` of them is
    rebated where they meet."""
    frame, bar = section(shape, "frame", unit), section(shape, "bar", unit)
    five = 5 * frame.rebate.width
    deep, gap = frame.rebate.width * 3, frame.rebate.width / 7
    gaps, size, lap = Clearances(), Leaf(wide * five, 24 * five), frame.rebate.width
    across = 2 * (size.width + gaps.hinge + gaps.meeting) - lap
    opening = Opening(across, size.height + gaps.top + gaps.bottom, gaps, Meeting.REBATED, lap)
    return Job(
        name="leaf",
        title="Leaf",
        timber="",
        stiles=Stile(frame.name, five),
        rails=tuple(Rail(name, five, frame.name) for name in ("top", "lock", "bottom")),
        fields=(
            FrameField(Fill.GLASS, rows=2, columns=2),
            FrameField(Fill.GROOVED_PANEL, sight_height=8 * five),
        ),
        joints=Joints(deep, deep, (bar.width or five) / 2, gap=gap),
        glazing=Glazing(frame.rebate.depth / 4, gap, bead_width=frame.rebate.width),
        panels=Panels(
            2 * frame.tongue_thickness, frame.tongue_thickness, frame.rebate.width, gap, five
        ),
        count=2 if pair else 1,
        leaf=None if pair else size,
        opening=opening if pair else None,
        bars=Bars(bar.name, through=through),
        allowances=Allowances(*(3 * (gap,))),
    )


@cache
def joinery(
    shape: str,
    unit: str,
    through: Through = Through.CROSS,
    wide: int = 10,
    pair: bool = False,
) -> Joinery:
    members = (section(shape, member, unit) for member in ("frame", "bar"))
    finest = Shipped(unit).settings.finest_mark
    sections = {each.name: each for each in members}
    return work_out(job(shape, unit, through, wide, pair), sections, finest)


def plan(
    shape: str,
    unit: str,
    recipes: Mapping[Makes, str],
    things: Shipped | None = None,
    cutters: Mapping[str, str] | None = None,
    through: Through = Through.CROSS,
    wide: int = 10,
    pair: bool = False,
    *,
    route: RouteKind = RouteKind.FEWEST_SETTINGS,
) -> Plan:
    of = job(shape, unit, through, wide, pair)
    made = replace(of, recipes=recipes, cutters=cutters or {}, route=route)
    return plan_job(made, joinery(shape, unit, through, wide, pair), things or Shipped(unit))


def without(whole: Plan, *makes: Makes) -> Plan:
    """The plan less the set-ups that make these."""
    kept = tuple(item for item in whole.set_ups if item.recipe.makes not in makes)
    return Plan(whole.job, whole.joinery, kept)
