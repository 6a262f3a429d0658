"""Recipes: operations as data, settings and measurements as formulas.

Names in formulas
-----------------
All names there are; each is a length unless it says otherwise. A name is there only when the thing
is: `mate.*` and `tenon.*` for work on ends, `bead.*` for beads, a cutter's sizes if it has them.

Anywhere in a recipe:

    section.thickness  section.sticking.width  section.sticking.depth  section.sticking.quirk
    section.rebate.width  section.rebate.depth  section.tongue.thickness
    section.tongue.width  section.face_flat                          bars, at the part's own width
    part.width  part.thickness  part.length                          length is over the tenons
    part.face  part.back  part.sight                                 parts with tenons
    allowance.length  allowance.width  allowance.thickness           rough over finished
    mate.thickness  mate.sticking.width  mate.sticking.depth  mate.sticking.quirk
    mate.rebate.width  mate.rebate.depth  mate.tongue.thickness
    tenon.thickness  tenon.from_face  tenon.width  tenon.set_back  tenon.reach
    tenon.from_lower  tenon.from_upper                               back from the part's edges
    tenon.haunch  tenon.haunch_depth  tenon.twin_gap  tenon.each     gap nought: one tenon
    mortise.depth  mortise.gap                                       the mate's, for work on ends
    mortise.depth  mortise.thickness  mortise.from_face  mortise.length         work on mortises
    halving.from_end  halving.width  halving.depth                   notches of halved bars
    halving.from_face                                                a truth: else from the back
    panel.groove.width  panel.groove.depth  panel.groove.from_face              grooves for panels
    bead.width  bead.depth  bead.length
    input.<name>                                                     the recipe's own inputs

In an operation as well:

    cutter.kerf  cutter.diameter  cutter.width  cutter.length  cutter.reach
    cutter.cut_width  cutter.profile.width  cutter.profile.depth     its own cutter's
    dial.finest                                 the finest move of the setting that is aimed at
    setting.<setting>                                                its own, in passes and jigs
    <operation>.<setting>  <operation>.cutter.<size>                 an earlier operation's

In what a measure reads and when, where the first two lines are the causes of a reading:

    <operation>.<setting>                                            as set
    blank.length  blank.width  blank.thickness                       as it came to the recipe
    <operation>.cutter.<size>

In the condition of a caution, every name above that its operation has, and these:

    operation.work  operation.down  operation.against                texts
    operation.both  operation.clears  operation.leaves_offcut  operation.lowered_on     truths
    operation.passes                                                 a number
    setting.fence  setting.height  setting.stop  setting.depth  setting.thickness

No operation may be called by the first word of any of these names (OTHER_FIRST_WORDS).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.formulas import Formula
from setupsheets.lengths import Length
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.sections import Member

OTHER_FIRST_WORDS = frozenset(
    {
        *("section", "part", "allowance", "mate", "tenon", "mortise", "halving"),
        *("panel", "bead"),
        *("input", "blank"),
        *("cutter", "dial", "setting", "operation"),
    }
)
"""First words of names in formulas, which no operation may have for its own name."""


class Makes(StrEnum):
    """What a recipe makes, in the order in which a part goes through them.

    Ends are coped and mortises cut before edges are moulded, so that break-out is cut away.
    """

    BLANK = "blank"
    MORTISE = "mortise"
    COPE = "cope"
    HALVING = "halving"
    REBATE = "rebate"
    GROOVE = "groove"
    STICKING = "sticking"
    BAR = "bar"
    BEAD = "bead"
    FIT = "fit"


class Work(StrEnum):
    """Where an operation works: whole blank, along an edge, on an end, in a mortise, across a bar
    where it is halved, by hand."""

    BLANK = "blank"
    EDGE = "edge"
    END = "end"
    MORTISE = "mortise"
    HALVING = "halving"
    HAND = "hand"


class Surface(StrEnum):
    """Surfaces of a part, to say which is down and which is against the fence or stop."""

    FACE = "face"
    BACK = "back"
    SIGHT_EDGE = "sight_edge"
    OUTER_EDGE = "outer_edge"
    END = "end"


class MeasuredTo(StrEnum):
    """Which side of the cutter a fence or stop is measured to.

    On a router table ``far`` is how far the bit stands out in front of the fence.
    """

    NEAR = "near"
    FAR = "far"
    CENTRE = "centre"


@dataclass(frozen=True)
class Aim:
    """A setting's formula: fence or stop to one side of the cutter, height above the table."""

    aim: Formula
    to: MeasuredTo = MeasuredTo.NEAR


@dataclass(frozen=True)
class Jig:
    """Something to make or fit before the cut, with the sizes that matter."""

    name: str
    use: str
    sizes: Mapping[str, Formula] = field(default_factory=dict)


@dataclass(frozen=True)
class RecipeOperation:
    """One operation. ``both`` runs it on both sight edges or both ends of the part.

    ``clears`` takes everything between the cutter and the surface that is against the fence or
    stop, in as many passes as it needs; ``leaves_offcut`` tells that a strip falls away. ``wide``
    is how wide a cut is wanted on the cutter's other side from what is measured, in passes;
    ``stack`` what a dado stack is made up to for it.
    """

    name: str
    title: str
    machine: MachineType
    work: Work
    cutters: tuple[CutterType, ...] = ()
    down: Surface | None = None
    against: Surface | None = None
    both: bool = False
    settings: Mapping[SettingName, Aim] = field(default_factory=dict)
    when: Formula | None = None
    passes: Formula | None = None
    wide: Formula | None = None
    stack: Formula | None = None
    clears: bool = False
    leaves_offcut: bool = False
    lowered_on: bool = False
    after: tuple[str, ...] = ()
    jigs: tuple[Jig, ...] = ()
    notes: str = ""
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class Tolerance:
    """How much under and how much over the target a reading may be."""

    under: Length
    over: Length


@dataclass(frozen=True)
class Measure:
    """What may be measured on a test piece.

    ``reads`` gives the reading from blank and settings, ``should`` from the design; worked through
    on paper both must come to the same.
    """

    name: str
    title: str
    instrument: str
    after: str
    reads: Formula
    should: Formula
    tolerance: Tolerance
    how: str = ""
    when: Formula | None = None
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class Input:
    """A number of the recipe's own that a job may change."""

    title: str
    default: Length


@dataclass(frozen=True)
class Recipe:
    """An ordered way to make one thing on general machines."""

    name: str
    title: str
    makes: Makes
    members: tuple[Member, ...]
    operations: tuple[RecipeOperation, ...]
    measures: tuple[Measure, ...] = ()
    inputs: Mapping[str, Input] = field(default_factory=dict)
    also_called: tuple[str, ...] = ()
    notes: str = ""
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)
