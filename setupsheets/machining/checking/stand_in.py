"""A small leaf made up for a section, so that a recipe can be worked through without a job."""

from __future__ import annotations

from setupsheets.files.faults import DataFaults
from setupsheets.lengths import Length
from setupsheets.machining.plan import Plan, joinery_of, sections_of
from setupsheets.machining.planning.batches import BATCHES
from setupsheets.machining.planning.piece_lengths import with_long_blanks
from setupsheets.machining.planning.set_ups import set_ups_of
from setupsheets.machining.routing.route import routed
from setupsheets.shop.finding import Shop
from setupsheets.shop.jobs import (
    Bars,
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
from setupsheets.shop.recipes import Makes, Recipe
from setupsheets.shop.sections import Member, Section


def stand_in_plan(recipe: Recipe, section: Section, shop: Shop) -> Plan:
    """The recipe's own set-ups on a leaf of that section, with the shop's first choices.

    Raises DataFaults where the section has no frame to fit or the recipe cannot be worked out.
    """
    job = _job(recipe, section, shop)
    joinery = joinery_of(job, shop)
    if recipe.makes is Makes.PARTING:
        joinery = with_long_blanks(joinery, job, shop)
    batches = BATCHES[recipe.makes](job, joinery)
    set_ups = set_ups_of(recipe, batches, job, joinery, shop)
    return Plan(job, joinery, routed(set_ups, RouteKind.JOINT_BY_JOINT).set_ups)


def _job(recipe: Recipe, section: Section, shop: Shop) -> Job:
    frame = section if section.member is Member.FRAME else _frame_for(section, shop)
    member = 5 * frame.rebate.width
    mortise = frame.rebate.width + 2 * frame.tongue_thickness
    tenth = frame.rebate.width / 10
    halved = recipe.makes is Makes.HALVING
    through = Through.HALVED if halved else Through.CROSS
    bars = Bars(section.name, through=through) if section.member is Member.BAR else None
    rails = (Rail("top rail", member, frame.name), Rail("bottom rail", member, frame.name))
    grooved = recipe.makes in (Makes.GROOVE, Makes.PANEL)
    fill = Fill.GROOVED_PANEL if grooved else Fill.GLASS
    tongue = frame.tongue_thickness
    wide, high = (4 if recipe.makes is Makes.PARTING else 8) * member, 12 * member
    pair = Opening(2 * wide, high, pair=Meeting.REBATED, lap=(member - mortise) / 2)
    paired = recipe.makes is Makes.MEETING
    return Job(
        name=f"stand-in-for-{section.name}",
        title="",
        timber="",
        stiles=Stile(frame.name, member),
        rails=rails,
        fields=(FrameField(fill, rows=2 if bars else 1, columns=2 if halved else 1),),
        joints=Joints(rail_mortise=mortise, bar_mortise=mortise, gap=tenth),
        glazing=Glazing(thickness=frame.rebate.depth / 4, clearance=tenth),
        count=2 if paired else 1,
        leaf=None if paired else Leaf(wide, high),
        opening=pair if paired else None,
        bars=bars,
        panels=_panels(tongue, frame.rebate.width, tenth) if grooved else None,
        recipes={recipe.makes: recipe.name},
    )


def _panels(tongue: Length, deep: Length, clearance: Length) -> Panels:
    """Raised ones, as thick as two tongues."""
    return Panels(2 * tongue, tongue, deep, clearance, border=3 * deep)


def _frame_for(bar: Section, shop: Shop) -> Section:
    """A frame that a bar fits: the same thickness, sticking and rebate."""
    for found in shop.everything("section"):
        other = shop.section(found.name)
        alike = (other.thickness, other.sticking, other.rebate)
        if other.member is Member.FRAME and alike == (bar.thickness, bar.sticking, bar.rebate):
            return other
    message = "no frame section has the same thickness, sticking and rebate as this bar"
    raise DataFaults([bar.marks.fault(message)])


def section_for(recipe: Recipe, shop: Shop) -> Section:
    """The first section that the recipe is meant for: of the shop's jobs, else of all there are.

    Raises DataFaults where there is none.
    """
    jobs = [shop.job(found.name) for found in shop.everything("job")]
    named = [section for job in jobs for section in sections_of(job, shop).values()]
    fits = (section for section in named if section.member in recipe.members)
    every = (shop.section(found.name) for found in shop.everything("section"))
    found = next(fits, None) or next(
        (each for each in every if each.member in recipe.members), None
    )
    if found is None:
        raise DataFaults([recipe.marks.fault("no section is meant for this recipe", "members")])
    return found
