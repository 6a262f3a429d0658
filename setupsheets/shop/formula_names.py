"""The names that formulas may use: what each is, and where it is there.

This table is the one place that names them. What a recipe's formulas may use is checked by it
(`recipe_checks`), and the values come from the subject that a recipe is worked out for
(`machining.planning.scope`; for cautions `sheets.content.cautions`); tests hold these to it. A name
is there only when the thing is: `section.*` where the part has one, a cutter's sizes if it has
them. Beside these a formula may use

    input.<name>                        the recipe's own inputs, anywhere in it
    setting.<setting>                   the operation's own, in its passes and jigs, and in cautions
    <operation>.<setting>               an earlier operation's; in what a measure reads, as set
    <operation>.cutter.<size>           likewise
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto

from setupsheets.lengths import Length
from setupsheets.shop.recipes import Makes, Surface, Work


class There(Enum):
    """Where a name is there that does not hang on what a recipe makes."""

    EVERYWHERE = auto()
    OWN_CUTTER = auto()
    AIM = auto()
    READING = auto()
    CAUTION = auto()


@dataclass(frozen=True)
class FormulaName:
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
    FormulaName(Makes.BEAD, "bead.width", "width of the bead"),
    FormulaName(Makes.BEAD, "bead.depth", "depth of the bead"),
    FormulaName(Makes.BEAD, "bead.length", "length of the bead"),
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
