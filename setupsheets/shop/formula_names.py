"""The names that formulas may use: what each is, and where it is there.

This table is the one place that names them. What a recipe's formulas may use is checked by it
(`recipe_checks`), and the values come from the subject that a recipe is worked out for
(`machining.planning.scope`; for cautions `machining.conditions`); tests hold these to it. A name is
there only when the thing is: `section.*` where the part has one, a cutter's sizes if it has them.
Beside these a formula may use

    input.<name>                        the recipe's own inputs, anywhere in it
    setting.<setting>                   the operation's own, in its passes and jigs, and in cautions
    <operation>.<setting>               an earlier operation's; in what a measure reads, as set
    <operation>.cutter.<size>           likewise
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import Enum, auto

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Surface, Work

BLANK_CAUSES = ("blank.length", "blank.width", "blank.thickness")
"""The names of a blank's own sizes: what a measure reads may hang on each."""


GREATEST: Mapping[str, tuple[MachineType, SettingName, str]] = {
    "greatest.planer.thickness": (
        MachineType.PLANER,
        SettingName.THICKNESS,
        "how high the planer takes a part",
    ),
    "greatest.table_saw.fence": (
        MachineType.TABLE_SAW,
        SettingName.FENCE,
        "how far the table saw's fence goes",
    ),
    "greatest.crosscut_saw.stop": (
        MachineType.CROSSCUT_SAW,
        SettingName.STOP,
        "how far the crosscut saw's stop goes",
    ),
}
"""Largest figures of machines by name: with them a recipe says what is done by hand past these."""


class There(Enum):
    """Where a name is there that does not hang on what a recipe makes."""

    EVERYWHERE = auto()
    MACHINES = auto()
    OWN_CUTTER = auto()
    AIM = auto()
    READING = auto()
    CAUTION = auto()


class FormulaName(Struct, frozen=True):
    """One name: where it is ``there``, for recipes that make one thing or wherever, ``what`` it is,
    and the ``type`` of its values."""

    there: There | Makes
    name: str
    what: str
    type: type = Length


def _moulding(there: There | Makes, first: str, whose: str) -> Iterator[FormulaName]:
    """The names of a section's moulding under a first word."""
    rows = (
        ("thickness", "thickness"),
        ("sticking.width", "moulding, along the face"),
        ("sticking.depth", "moulding, down the sight edge"),
        ("sticking.quirk", "straight drop of the moulding at the face"),
        ("rebate.width", "rebate, along the back"),
        ("rebate.depth", "rebate, from the back"),
        ("tongue.thickness", "what stands between moulding and rebate"),
    )
    yield from (FormulaName(there, f"{first}.{name}", f"{what}, {whose}") for name, what in rows)


def _leaf(there: Makes) -> Iterator[FormulaName]:
    """The names of work on the whole leaf; what a job says nothing of is nought or not so."""
    rows = (
        ("leaf.width", "width of the leaf as it is made", Length),
        ("leaf.height", "height of the leaf as it is made, without horns", Length),
        ("leaf.diagonal", "from corner to corner of that", Length),
        ("leaf.horn", "horn at each end of the stiles", Length),
        ("leaf.bars", "it has bars", bool),
        ("leaf.halved", "it has bars halved over each other", bool),
        ("leaf.panels", "it has panels in grooves", bool),
        ("leaf.glass", "it has glass", bool),
        ("leaf.wedged", "a rail's mortises go right through the stiles", bool),
        ("opening.known", "the job gives its opening", bool),
        ("opening.top", "left open at the top", Length),
        ("opening.hinge", "left open at the hinge edge", Length),
        ("opening.leading", "left open at the lock edge, or a leaf's share of a pair's", Length),
        ("opening.bottom", "left open at the bottom", Length),
        ("opening.hinge_bevel", "what the hinge edge's bevel takes off one face", Length),
        ("opening.lock_bevel", "what the leading edge's bevel takes off one face", Length),
        ("opening.strip_width", "width of the strip over a pair's gap", Length),
        ("opening.strip_thickness", "thickness of that strip", Length),
        ("hinge.length", "length of a hinge", Length),
        ("hinge.recess", "how deep it is let into leaf and jamb", Length),
        ("hinge.from_top", "from the leaf's top to the upper hinge", Length),
        ("hinge.from_bottom", "from the leaf's bottom to the lower hinge", Length),
        ("lock.low", "from the leaf's bottom to the lock's lower end", Length),
        ("lock.high", "from the leaf's bottom to the lock's upper end", Length),
        ("lock.depth", "depth of the lock from the stile's outer edge", Length),
        ("lock.thickness", "thickness of the lock", Length),
        ("lock.wall", "from either face of the stile to the lock", Length),
        ("glazing.bedding", "bedding under the pane", Length),
        ("glazing.clearance", "between pane and rebate at each edge", Length),
    )
    yield from (FormulaName(there, name, what, kind) for name, what, kind in rows)


FORMULA_NAMES: tuple[FormulaName, ...] = (
    *_moulding(There.EVERYWHERE, "section", "of the part's section"),
    FormulaName(There.EVERYWHERE, "part.width", "width of the part"),
    FormulaName(There.EVERYWHERE, "part.thickness", "thickness of the part"),
    FormulaName(There.EVERYWHERE, "part.length", "length of the part over its tenons"),
    FormulaName(There.EVERYWHERE, "part.face", "length on the face of a part with tenons"),
    FormulaName(There.EVERYWHERE, "part.back", "length on the back of a part with tenons"),
    FormulaName(There.EVERYWHERE, "part.sight", "length between the sight edges it meets"),
    FormulaName(There.EVERYWHERE, "allowance.length", "rough length over finished"),
    FormulaName(There.EVERYWHERE, "allowance.width", "rough width over finished"),
    FormulaName(There.EVERYWHERE, "allowance.thickness", "rough thickness over finished"),
    *(
        FormulaName(There.MACHINES, name, f"{what}, or a kilometre where its file says none")
        for name, (_, _, what) in GREATEST.items()
    ),
    FormulaName(
        There.MACHINES, "shop.rough_mark", "what rough wood is measured to: 4 finest marks"
    ),
    FormulaName(Makes.BAR, "section.tongue.width", "between the bar's rebates, at its own width"),
    FormulaName(Makes.BAR, "section.face_flat", "flat on the bar's face, at its own width"),
    *_moulding(Makes.COPE, "mate", "of what the end goes into"),
    FormulaName(Makes.COPE, "tenon.thickness", "thickness of the tenon"),
    FormulaName(Makes.COPE, "tenon.from_face", "from the face to the tenon's face cheek"),
    FormulaName(Makes.COPE, "tenon.width", "width of the tenon, or of twins with their gap"),
    FormulaName(Makes.COPE, "tenon.set_back", "from the part's moulded edge"),
    FormulaName(Makes.COPE, "tenon.reach", "length of the tenon from the sight edge"),
    FormulaName(Makes.COPE, "tenon.from_lower", "back from the part's lower edge"),
    FormulaName(Makes.COPE, "tenon.from_upper", "back from the part's upper edge"),
    FormulaName(Makes.COPE, "tenon.haunch", "back from the part's outer edge"),
    FormulaName(Makes.COPE, "tenon.haunch_depth", "how far the haunch goes past the sight edge"),
    FormulaName(Makes.COPE, "tenon.twin_gap", "between twin tenons; nought where there is one"),
    FormulaName(Makes.COPE, "tenon.each", "width of one of twin tenons, or of the one"),
    FormulaName(Makes.COPE, "mortise.depth", "depth of the mate's mortise"),
    FormulaName(Makes.COPE, "mortise.gap", "left at the bottom of the mate's mortise"),
    FormulaName(Makes.MORTISE, "mortise.depth", "depth of the mortise from the sight edge"),
    FormulaName(
        Makes.MORTISE, "mortise.edges", "edges it is made from: 2 right through, else 1", int
    ),
    FormulaName(Makes.MORTISE, "mortise.thickness", "thickness of the mortise"),
    FormulaName(Makes.MORTISE, "mortise.from_face", "from the face to the mortise"),
    FormulaName(Makes.MORTISE, "mortise.length", "length of the mortise along the part"),
    FormulaName(Makes.HALVING, "halving.from_end", "from the bar's end to its notch"),
    FormulaName(Makes.HALVING, "halving.width", "width of the notch along the bar"),
    FormulaName(Makes.HALVING, "halving.depth", "depth of the notch"),
    FormulaName(Makes.HALVING, "halving.from_face", "cut from the face, not the back", bool),
    FormulaName(Makes.GROOVE, "panel.groove.width", "width of the groove for a panel"),
    FormulaName(Makes.GROOVE, "panel.groove.depth", "depth of the groove"),
    FormulaName(Makes.GROOVE, "panel.groove.from_face", "from the face to the groove"),
    FormulaName(Makes.BLANK, "scarf.pieces", "of how many pieces a blank is glued up", int),
    FormulaName(Makes.BLANK, "scarf.each", "length of each of them"),
    FormulaName(Makes.BLANK, "scarf.joint", "length of a scarf; nought where there is none"),
    FormulaName(Makes.MEETING, "meeting.lap", "width of a meeting stile's rebate"),
    FormulaName(Makes.MEETING, "meeting.depth", "depth of that rebate"),
    FormulaName(Makes.MEETING, "meeting.from_face", "cut from the face, not the back", bool),
    FormulaName(
        Makes.PANEL, "panel.border", "width of a raised panel's border; nought of a flat one"
    ),
    FormulaName(Makes.PANEL, "panel.tongue", "thickness of a raised panel in its groove"),
    FormulaName(Makes.PANEL, "panel.grooved", "it lies in a groove, not in a rebate", bool),
    FormulaName(Makes.BEAD, "bead.width", "width of the bead"),
    FormulaName(Makes.BEAD, "bead.depth", "depth of the bead"),
    FormulaName(Makes.BEAD, "bead.length", "length of the bead"),
    *(name for makes in Makes if makes.on_leaf for name in _leaf(makes)),
    FormulaName(There.OWN_CUTTER, "cutter.kerf", "width of cut of a blade, a stack, a slot cutter"),
    FormulaName(There.OWN_CUTTER, "cutter.diameter", "diameter of a blade, a bit, a drill"),
    FormulaName(There.OWN_CUTTER, "cutter.width", "width of a chisel"),
    FormulaName(There.OWN_CUTTER, "cutter.length", "cutting length"),
    FormulaName(There.OWN_CUTTER, "cutter.reach", "longest tenon that passes over a cope bit"),
    FormulaName(There.OWN_CUTTER, "cutter.cut_width", "width of its plain cut, whatever it is"),
    FormulaName(There.OWN_CUTTER, "cutter.profile.width", "its moulding, along the face"),
    FormulaName(There.OWN_CUTTER, "cutter.profile.depth", "its moulding, down the sight edge"),
    FormulaName(There.AIM, "dial.finest", "finest move of the setting that is aimed at"),
    FormulaName(There.READING, "blank.length", "length of the blank as it came to the recipe"),
    FormulaName(There.READING, "blank.width", "width of the blank"),
    FormulaName(There.READING, "blank.thickness", "thickness of the blank"),
    FormulaName(There.CAUTION, "shop.inch", "an inch; what a metric shop says for it, 25 mm"),
    FormulaName(There.CAUTION, "operation.makes", "what its recipe makes", Makes),
    FormulaName(There.CAUTION, "operation.work", "where it works: edge, end, mortise ...", Work),
    FormulaName(There.CAUTION, "operation.down", "the surface that is down", Surface),
    FormulaName(There.CAUTION, "operation.against", "the surface to fence or stop", Surface),
    FormulaName(There.CAUTION, "operation.both", "run on both edges or ends", bool),
    FormulaName(There.CAUTION, "operation.clears", "all between cutter and fence goes", bool),
    FormulaName(There.CAUTION, "operation.leaves_offcut", "a strip falls away", bool),
    FormulaName(There.CAUTION, "operation.lowered_on", "lowered onto the cutter", bool),
    FormulaName(There.CAUTION, "operation.stopped", "stops short of an end of a part", bool),
    FormulaName(There.CAUTION, "operation.passes", "in how many passes", int),
)

OTHER_FIRST_WORDS = frozenset(
    {"input", "setting", *(each.name.partition(".")[0] for each in FORMULA_NAMES)}
)
"""First words of names in formulas, which no operation may have for its own name."""


TYPES = {each.name: each.type for each in FORMULA_NAMES}
"""By name the type of its values; a name means the same wherever it is there."""


def names_there(*there: There | Makes) -> frozenset[str]:
    """The names that are there in any of these places."""
    return frozenset(each.name for each in FORMULA_NAMES if each.there in there)
