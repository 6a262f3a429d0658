"""What is to be done, as printed: set-ups of operations, every setting a number.

These objects carry numbers, not formulas, for all that comes after: the drawings, the proof and
the support look at the same figures that a maker reads off the sheet.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.parts import (
    Bead,
    End,
    Groove,
    Halving,
    MadeAs,
    MeetingRebate,
    Mortise,
    Pane,
    Part,
)
from setupsheets.joinery.stock.cutlist import Scarf
from setupsheets.lengths import Length
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.machines import Machine, MachineSetting, SettingName
from setupsheets.shop.recipes import (
    JigKind,
    MadeSize,
    Makes,
    MeasuredTo,
    Missed,
    Recipe,
    RecipeOperation,
    Work,
)
from setupsheets.shop.sections import Section


class Setting(Struct, frozen=True):
    """One setting of one operation. ``cause`` is its name among the causes of a reading,
    ``operation.setting``; ``aim`` the exact figure aimed at, to the ``to`` side of the cutter."""

    name: SettingName
    cause: str
    aim: Length
    to: MeasuredTo
    dial: MachineSetting


class FittedJig(Struct, frozen=True):
    """A jig with its sizes worked out."""

    name: str
    kind: JigKind
    use: str
    sizes: Mapping[str, Length] = field(default_factory=dict)


class Subject(Struct, frozen=True):
    """What a set-up works on: a part's section at a width, and the end, mortise, halving, meeting
    rebate, bead or panel in hand.

    ``section`` is None only for beads, panels and whole-leaf work. ``length`` is the finished
    length of the part that stands for the set-up. ``grooves`` tell what groove each sight edge has
    where it is worked, None for a rebate; without any all have a rebate. ``from_end`` is how far
    the halving's first wall is from the nearer end of the bar. ``leaf`` is the whole leaf, for work
    on that, ``scarf`` how a blank is made up for length, ``fitted_to`` what was measured on the
    mate that an end or panel is fitted to.
    """

    width: Length
    thickness: Length
    length: Length
    section: Section | None = None
    sight_edges: int = 1
    part: Part | None = None
    end: End | None = None
    mortise: Mortise | None = None
    bead: Bead | None = None
    panel: Pane | None = None
    grooves: tuple[Groove | None, ...] = ()
    halving: Halving | None = None
    meeting: MeetingRebate | None = None
    from_end: Length = Length.ZERO
    leaf: Layout | None = None
    scarf: Scarf | None = None
    fitted_to: Mapping[MadeSize, MadeAs] = field(default_factory=dict)

    @property
    def through(self) -> bool:
        """Whether its mortise goes right through the part."""
        return self.mortise is not None and self.mortise.depth >= self.width

    @property
    def groove(self) -> Groove | None:
        """The groove in its sight edges, where there is one."""
        return next((groove for groove in self.grooves if groove is not None), None)


class Stop(Struct, frozen=True):
    """A cut along ``part`` that must stop short of an end, fed with one of its ends ``leading``.

    It must be at full size from ``start`` to ``end`` and may reach from ``first`` to ``last``, all
    counted from the leading end; nought and the part's ``length`` where it may run out there.
    """

    part: str
    leading: str
    length: Length
    start: Length
    end: Length
    first: Length
    last: Length


class WorkedAt(Struct, frozen=True):
    """Where on a part an operation is done: what the sheet tells is what the proof cuts.

    ``ends`` count as the part's own, ``edges`` as those of its mortises; both are empty for work on
    the whole part. At a halving ``ends`` are those that come to the stop, one notch from each, and
    ``middle`` tells that either will do. ``length`` is how long the piece is that is worked, nought
    where that is a board, None where nobody has said it.
    """

    part: str
    ends: tuple[int, ...] = ()
    edges: tuple[int, ...] = ()
    middle: bool = False
    length: Length | None = None

    def joined(self, other: WorkedAt) -> WorkedAt:
        """Both places on one part."""
        ends, edges = {*self.ends, *other.ends}, {*self.edges, *other.edges}
        return replace(self, ends=tuple(sorted(ends)), edges=tuple(sorted(edges)))


class Operation(Struct, frozen=True):
    """One operation of the route. ``number`` counts through the whole route from 1.

    ``makes`` is what its recipe makes. ``wide`` is how far a cut reaches back from the side of the
    cutter that is measured, where that is wider than the cutter. ``stops`` are those of its parts
    whose cut may not run from end to end, ``places`` where on each of its parts it is done.
    """

    number: int
    asks: RecipeOperation
    machine: Machine
    cutter: Cutter | None
    settings: tuple[Setting, ...]
    passes: int = 1
    jigs: tuple[FittedJig, ...] = ()
    makes: Makes | None = None
    wide: Length | None = None
    stops: tuple[Stop, ...] = ()
    places: tuple[WorkedAt, ...] = ()

    @property
    def name(self) -> str:
        """The recipe's short name for it."""
        return self.asks.name

    @property
    def lowered_on(self) -> bool:
        """Whether the work is lowered onto the running cutter or lifted off it."""
        return self.asks.lowered_on or bool(self.stops)

    @property
    def title(self) -> str:
        """What it is called on the sheet."""
        return self.asks.title

    @property
    def shortest(self) -> Length | None:
        """The shortest piece that goes through it, None where that is not said."""
        known = [place.length for place in self.places if place.length is not None]
        return min((each for each in known if each), default=Length.ZERO) if known else None

    def place(self, part: str) -> WorkedAt | None:
        """Where on a part it is done; None where nothing is said of that part."""
        return next((place for place in self.places if place.part == part), None)

    @property
    def spacer(self) -> Length:
        """What lies between the part and the stop while the part is set, and is taken away for the
        cut: the stop stands so much further from the cutter. Nought where nothing does."""
        jig = self.jig(JigKind.SPACES)
        return jig.sizes["thickness"] if jig is not None else Length.ZERO

    def from_part(self, setting: Setting) -> Length:
        """A setting's aim counted from the part itself: a stop's less the spacer."""
        return setting.aim - self.spacer if setting.name is SettingName.STOP else setting.aim

    def from_both_edges(self, subject: Subject) -> bool:
        """Whether it makes a mortise that goes right through from either edge in turn: its depth
        stop stands at less than the part is wide."""
        depth = self.aim(SettingName.DEPTH)
        mortise = self.asks.work is Work.MORTISE and subject.through
        return mortise and depth is not None and depth < subject.width

    def jig(self, kind: JigKind) -> FittedJig | None:
        """The first of its jigs of a kind; None where it has none."""
        return next((jig for jig in self.jigs if jig.kind is kind), None)

    def setting(self, *names: SettingName) -> Setting | None:
        """The first of its settings that has one of these names; None where it has none."""
        return next((item for item in self.settings if item.name in names), None)

    def aim(self, name: SettingName) -> Length | None:
        """The figure aimed at for a setting; None where it has none of that name."""
        setting = self.setting(name)
        return setting.aim if setting is not None else None


class PlannedMeasure(Struct, frozen=True):
    """What to measure on a test piece: target, tolerance and what moves the reading.

    ``sensitivities``: by cause (``operation.setting``, ``blank.length`` ...) how far the reading
    moves for one unit of the cause. ``missed`` says what a part outside its limits costs, ``basis``
    what they come from, ``as_made`` which size of a mate it is.
    """

    name: str
    title: str
    instrument: str
    how: str
    after: str
    target: Length
    under: Length
    over: Length
    sensitivities: Mapping[str, Fraction]
    missed: Missed = field(default_factory=Missed)
    basis: str = ""
    as_made: MadeSize | None = None

    def target_on(self, longer: Length) -> Length:
        """What it should be on a piece so much longer than the part."""
        return self.target + self.sensitivities.get("blank.length", Fraction(0)) * longer


class SetUp(Struct, frozen=True):
    """One recipe set up once, and every part that goes through it.

    ``counts`` says how many of each part; ``name`` is the recipe's name, with the first part's name
    behind a slash where a job sets the recipe up more than once. ``test_length`` is how long its
    test pieces are over all, both ends cut alike; None where it is tried on no test piece.
    ``designed`` is the same with its end not fitted to its mate as made, where it is. ``inputs``
    are the recipe's own, as the job has them; ``hangs_on`` is what its aims and targets were worked
    out from, by the names that formulas know it by.
    """

    name: str
    recipe: Recipe
    subject: Subject
    counts: Mapping[str, int]
    operations: tuple[Operation, ...]
    measurements: tuple[PlannedMeasure, ...]
    test_length: Length | None = None
    designed: SetUp | None = None
    inputs: Mapping[str, Length] = field(default_factory=dict)
    hangs_on: Mapping[str, Length] = field(default_factory=dict)

    @property
    def longer(self) -> Length:
        """How much longer than what it stands for its test piece is; shorter is minus."""
        if self.test_length is None:
            return Length.ZERO
        return self.test_length - self.subject.length

    @property
    def is_tried(self) -> bool:
        """Whether it is tried on test pieces: a dry fit is of the leaf itself."""
        return bool(self.measurements) and not self.recipe.makes.on_leaf

    @property
    def settings(self) -> tuple[Setting, ...]:
        """All settings of all its operations, in order."""
        return tuple(setting for operation in self.operations for setting in operation.settings)

    @property
    def fitted_at(self) -> tuple[str, ...]:
        """The operations whose figures are others than designed, for a mate came out otherwise."""
        if self.designed is None:
            return ()
        designed = {setting.cause: setting.aim for setting in self.designed.settings}
        return tuple(
            operation.name
            for operation in self.operations
            if any(each.aim != designed.get(each.cause, each.aim) for each in operation.settings)
        )

    def counts_at(self, operation: Operation) -> Mapping[str, int]:
        """How many of each part one of its operations is for: hands do on each what that asks."""
        at = {place.part for place in operation.places} or set(self.counts)
        return {name: count for name, count in self.counts.items() if name in at}

    def measured_after(self, operation: Operation) -> tuple[PlannedMeasure, ...]:
        """What is measured on a test piece after one of its operations."""
        return tuple(item for item in self.measurements if item.after == operation.name)

    def ends_with(self, operation: Operation) -> bool:
        """Whether this operation is the last of the set-up after which something is measured."""
        measured = [item for item in self.operations if self.measured_after(item)]
        return bool(measured) and measured[-1].name == operation.name
