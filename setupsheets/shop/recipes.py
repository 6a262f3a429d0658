"""Recipes: operations as data, settings and measurements as formulas.

The names that formulas may use stand in `formula_names`.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct, field

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.formulas import Formula
from setupsheets.lengths import Length
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.sections import Member


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
    MEETING = "meeting"
    PARTING = "parting"
    PANEL = "panel"
    BEAD = "bead"
    FIT = "fit"
    GLUE_UP = "glue_up"
    HANGING = "hanging"
    GLAZING = "glazing"

    @property
    def on_leaf(self) -> bool:
        """Whether it is work on the whole leaf, which no test piece goes before."""
        return self in (Makes.FIT, Makes.GLUE_UP, Makes.HANGING, Makes.GLAZING)

    @property
    def is_logged(self) -> bool:
        """Whether what is read of it is kept in a record: of work on the leaf its dry fit alone,
        for the rest has boxes on the sheet."""
        return self is Makes.FIT or not self.on_leaf


OPTIONAL = frozenset({Makes.BLANK, Makes.BEAD, Makes.FIT})
"""Without these a leaf can be planned all the same: many get out blanks and beads by habit."""


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
    """Surfaces of a part, to say which is down and which is against the fence or stop; an ``edge``
    is of what has no sight edge, a panel."""

    FACE = "face"
    BACK = "back"
    SIGHT_EDGE = "sight_edge"
    OUTER_EDGE = "outer_edge"
    EDGE = "edge"
    END = "end"


class MeasuredTo(StrEnum):
    """Which side of the cutter a fence or stop is measured to.

    On a router table ``far`` is how far the bit stands out in front of the fence.
    """

    NEAR = "near"
    FAR = "far"
    CENTRE = "centre"


class Aim(Struct, frozen=True):
    """A setting's formula: fence or stop to one side of the cutter, height above the table."""

    aim: Formula
    to: MeasuredTo = MeasuredTo.NEAR


class JigKind(StrEnum):
    """What a jig does. This alone decides what counts as held; a jig's name is only printed."""

    FILLS = "fills"
    HOLDS_DOWN = "holds_down"
    HOLDS_FAST = "holds_fast"
    HEIGHTENS_FENCE = "heightens_fence"
    CARRIES = "carries"
    PUSHES = "pushes"
    PRESSES = "presses"
    STOPS = "stops"
    SPACES = "spaces"
    BACKS = "backs"
    CLOSES = "closes"
    MARKS = "marks"
    UNSAID = "unsaid"

    @property
    def steadies(self) -> bool:
        """Whether a part that would tip by itself cannot tip in it."""
        return self in (JigKind.HOLDS_DOWN, JigKind.HOLDS_FAST)

    @property
    def keeps_hands_off(self) -> bool:
        """Whether it holds or drives the part where a hand would, so that a shorter one will do."""
        return self in (JigKind.HOLDS_FAST, JigKind.CARRIES, JigKind.PUSHES)


JIG_SIZES: Mapping[JigKind, frozenset[str]] = {
    JigKind.FILLS: frozenset({"width", "height"}),
    JigKind.HEIGHTENS_FENCE: frozenset({"height"}),
    JigKind.SPACES: frozenset({"thickness"}),
}
"""Sizes without which a jig of that kind does nothing."""


class Jig(Struct, frozen=True):
    """Something to make or fit before the cut, with the sizes that matter."""

    name: str
    kind: JigKind
    use: str
    sizes: Mapping[str, Formula] = field(default_factory=dict)
    when: Formula | None = None


class RecipeOperation(Struct, frozen=True):
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
    marks: Marks = NOWHERE


class MadeSize(StrEnum):
    """A size of a part that exists, to which another is fitted: of its mortise, of the moulding or
    of the groove run along it."""

    MORTISE_WIDTH = "mortise_width"
    MORTISE_FROM_FACE = "mortise_from_face"
    STICKING_DEPTH = "sticking_depth"
    GROOVE_WIDTH = "groove_width"


class Miss(StrEnum):
    """What it costs where a part lies outside a limit: the part; the time to ease it by hand (a
    tenon shaved, a rebate run once more); nothing, for it does not show."""

    SPOILS = "spoils"
    EASED = "eased"
    UNSEEN = "unseen"


class Missed(Struct, frozen=True):
    """What a miss costs on either side; where a recipe does not say, the part."""

    under: Miss = Miss.SPOILS
    over: Miss = Miss.SPOILS


class Tolerance(Struct, frozen=True):
    """How much under and how much over the target a reading may be."""

    under: Length
    over: Length


class Measure(Struct, frozen=True):
    """What may be measured on a test piece.

    ``reads`` gives the reading from blank and settings, ``should`` from the design; worked through
    on paper both must come to the same. ``missed`` says what a part outside its limits costs,
    ``basis`` what the limits come from, ``as_made`` which size of a mate it is.
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
    missed: Missed = field(default_factory=Missed)
    basis: str = ""
    as_made: MadeSize | None = None
    marks: Marks = NOWHERE


class Input(Struct, frozen=True):
    """A number of the recipe's own that a job may change."""

    title: str
    default: Length


class Recipe(Struct, frozen=True):
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
    marks: Marks = NOWHERE
