"""What is worked out about a plan beside its figures: every proof, and one value an operation.

All of it is values: `wording` says it, `sheets` lays it out.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache

from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.files.known_results import once_known
from setupsheets.joinery.members.parts import Joinery, Mortise, Part
from setupsheets.joinery.members.plunges import Plunges, plunges
from setupsheets.lengths import Length, Unit
from setupsheets.machining.checking.joint import Joint, growth
from setupsheets.machining.checking.proof import Proof, prove_plan
from setupsheets.machining.cutting.planes import CutError
from setupsheets.machining.operations import Operation, SetUp, Subject, WorkedAt
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.choices import CLOSE
from setupsheets.machining.setting.block_stacks import BY_DISTANCE, BlockStack, make_up, near_enough
from setupsheets.machining.setting.passes import Passes, Speed, passes, speed
from setupsheets.machining.setting.reach import Reach, dado_make_up, reaches
from setupsheets.machining.setting.stopped_cuts import StoppedCut, ramp_outline, stopped
from setupsheets.machining.support.runs import Support, supports
from setupsheets.machining.support.wood_left import Waste, cope_waste, tears_moulding
from setupsheets.machining.tasks import Task
from setupsheets.shop.cutters import CutShape, Cutter
from setupsheets.shop.machines import SettingName
from setupsheets.shop.outlines import Point
from setupsheets.shop.recipes import Makes, Work
from setupsheets.shop.settings import ShopSettings


class StoppedCuts(Struct, frozen=True):
    """The tape marks of a cut that stops short of an end, once for each part and way of feeding it,
    and the ramp that it leaves: points (before the mark, depth) in mm. ``fault`` is why there are
    none."""

    cuts: tuple[StoppedCut, ...] = ()
    ramp: tuple[Point, ...] = ()
    fault: str = ""


class MortisePlunges(Struct, frozen=True):
    """Where chisel or bit goes down along a mortise, the same in each of a part's ``edges`` that
    has it; ``at`` is None where the tool is longer than the mortise."""

    part: Part
    mortise: Mortise
    edges: tuple[int, ...]
    at: Plunges | None


class PartPlace(Struct, frozen=True):
    """Where an operation is done on one of its parts. ``elsewhere`` are the operations that do the
    same to the part's other end or edge with other settings; none where nothing does. ``apart`` is
    the later one that cuts it off the longer piece that it still lies in; None where it is alone.
    ``from_both_edges`` is whether what it makes goes right through, half of it from either edge.
    """

    part: Part
    place: WorkedAt
    elsewhere: tuple[int, ...] = ()
    apart: int | None = None
    from_both_edges: bool = False


class CopeFit(Struct, frozen=True):
    """How an end closes on its mate as it is set, and with the cope one finest ``step`` of its
    height low or high."""

    step: Length
    low: Joint
    as_set: Joint
    high: Joint


class OperationFindings(Struct, frozen=True):
    """All that is known of one operation; whatever does not concern it is None or empty.

    ``supports`` for each run past the cutter. ``short`` is what does not reach. ``make_up`` are a
    dado stack's blades. ``where`` is part by part the end or edge that is worked. ``waste`` is what
    a cope has before it, ``moulded`` are parts whose edges are moulded ahead of a cut across them.
    ``blocks`` are stacks that make the distances aimed at.
    """

    task: Task
    supports: tuple[Support, ...] = ()
    stops: StoppedCuts | None = None
    speed: Speed | None = None
    passes: Passes | None = None
    short: tuple[Reach, ...] = ()
    plunges: tuple[MortisePlunges, ...] = ()
    cope: CopeFit | None = None
    make_up: BlockStack | None = None
    where: tuple[PartPlace, ...] = ()
    waste: Waste | None = None
    moulded: tuple[str, ...] = ()
    blocks: Mapping[SettingName, BlockStack] = field(default_factory=dict)


class PlanFindings(Struct, frozen=True):
    """All that is known of a plan: its proofs, and its operations in the order of the route."""

    proofs: tuple[Proof, ...]
    operations: tuple[OperationFindings, ...]

    @property
    def by_set_up(self) -> Mapping[str, tuple[Proof, ...]]:
        """By set-up, every proof that it takes part in."""
        found: dict[str, tuple[Proof, ...]] = {}
        for proof in self.proofs:
            for name in proof.set_ups:
                found[name] = (*found.get(name, ()), proof)
        return found


def _pickled(*given: object) -> bytes:
    """A plan comes as it was read; by this it is told quickly."""
    return pickle.dumps(given)


@once_known(most=16, by=_pickled)
def findings_of(plan: Plan, shop: ShopSettings, hard: bool) -> PlanFindings:
    """Everything about a plan; ``hard`` is whether its timber is."""
    stack = _stacks(shop)

    def found(task: Task) -> OperationFindings:
        blocks = dict(_blocks(task, stack))
        return operation_findings(task, plan.joinery, hard, blocks, plan.operations, unit=shop.unit)

    return PlanFindings(prove_plan(plan), tuple(found(task) for task in plan.tasks))


def operation_findings(
    task: Task,
    joinery: Joinery,
    hard: bool = False,
    blocks: Mapping[SettingName, BlockStack] | None = None,
    route: Sequence[Operation] = (),
    unit: Unit = Unit.IN,
) -> OperationFindings:
    """Everything about one operation in its set-up; ``route`` are all operations of the job,
    ``unit`` is the shop's."""
    operation, set_up = task.operation, task.set_up
    cutter, subject = operation.cutter, set_up.subject
    return OperationFindings(
        task=task,
        supports=supports((task.stage,), _at_its_shortest(operation, subject))
        if task.stage
        else (),
        stops=_stops(operation),
        speed=speed(operation.machine, cutter) if cutter else None,
        passes=passes(operation, hard),
        short=tuple(each for each in reaches(operation, subject, unit) if not each.fits),
        plunges=tuple(_plunges(task, joinery)),
        cope=_cope_fit(operation, set_up),
        make_up=_make_up(cutter),
        where=tuple(_where(operation, subject, joinery, route)),
        waste=_waste(task),
        moulded=tuple(_moulded(operation, route)),
        blocks=blocks or {},
    )


def _at_its_shortest(operation: Operation, subject: Subject) -> Subject:
    """What tips first: the shortest piece that goes through."""
    return replace(subject, length=operation.shortest or subject.length)


def _stops(operation: Operation) -> StoppedCuts | None:
    if not operation.stops:
        return None
    try:
        return StoppedCuts(stopped(operation), ramp_outline(operation))
    except (CutError, ValueError) as error:
        return StoppedCuts(fault=str(error))


def _plunges(task: Task, joinery: Joinery) -> Iterator[MortisePlunges]:
    """Along each mortise of the set-up: those that are cut with the same settings. Those that lie
    alike in both edges of a part are told once."""
    cutter, stands_for = task.operation.cutter, task.set_up.subject.mortise
    tool = (cutter.width or cutter.diameter) if cutter else None
    if task.operation.asks.work is not Work.MORTISE or tool is None or stands_for is None:
        return
    alike: dict[Mortise, list[int]] = {}
    for mortise in (*joinery.mortises, *joinery.haunches):
        if mortise.part in task.set_up.counts and _settings(mortise) == _settings(stands_for):
            alike.setdefault(replace(mortise, edge=0), []).append(mortise.edge)
    for mortise, edges in alike.items():
        try:
            at = plunges(mortise, tool, drilled=cutter is not None and cutter.width is None)
        except ValueError:
            at = None
        yield MortisePlunges(joinery.part(mortise.part), mortise, tuple(edges), at)


def _settings(mortise: Mortise) -> tuple[Length, Length, Length]:
    """What machines are set to for a mortise."""
    return mortise.thickness, mortise.from_face, mortise.depth


def _cope_fit(operation: Operation, set_up: SetUp) -> CopeFit | None:
    """The fit of an end, at the operation that copes it; None for other operations."""
    height = operation.setting(SettingName.HEIGHT)
    shape = operation.cutter.shape if operation.cutter else None
    if set_up.recipe.makes is not Makes.COPE or shape is not CutShape.COPE or height is None:
        return None
    step = height.dial.finest
    try:
        low, as_set, high = (laid for _, laid in growth([set_up], height.cause, step, 1))
    except (CutError, ValueError):
        return None
    return CopeFit(step, low, as_set, high)


def _make_up(cutter: Cutter | None) -> BlockStack | None:
    if cutter is None or cutter.stack is None or cutter.kerf is None:
        return None
    return dado_make_up(cutter.kerf, cutter, CLOSE)


def _waste(task: Task) -> Waste | None:
    if task.stage is None:
        return None
    return cope_waste(task.operation, task.stage.before, task.stage.cut.removed)


def _moulded(operation: Operation, route: Sequence[Operation]) -> Iterator[str]:
    """The parts whose edges are made by the time that their ends are cut."""
    for place in operation.places:
        earlier = (other for other in route if other.number < operation.number)
        if tears_moulding(operation, (each for each in earlier if each.place(place.part))):
            yield place.part


def _where(
    operation: Operation, subject: Subject, joinery: Joinery, route: Sequence[Operation]
) -> Iterator[PartPlace]:
    """The places of an operation, each with who does the rest of its part."""
    alike = [
        other
        for other in route
        if other.makes is operation.makes and other.name == operation.name
        if other.number != operation.number
    ]
    partings = [other for other in route if other.makes is Makes.PARTING]
    for place in operation.places:
        apart = (each.number for each in partings if each.place(place.part))
        later = (number for number in apart if number > operation.number)
        others = [(other.number, other.place(place.part)) for other in alike]
        elsewhere = (
            number
            for number, there in others
            if there is not None and there.ends != place.ends and there.edges == place.edges
        )
        yield PartPlace(
            part=joinery.part(place.part),
            place=place,
            elsewhere=tuple(elsewhere),
            apart=next(later, None),
            from_both_edges=operation.from_both_edges(subject),
        )


def _stacks(shop: ShopSettings) -> Callable[[Length, Length], BlockStack | None]:
    """A finder of stacks of the shop's blocks, which looks for each distance once: one as near as
    the shop marks, and as its dial can be moved."""

    @cache
    def stack(wanted: Length, finest: Length) -> BlockStack | None:
        if wanted <= Length.ZERO:
            return None
        return make_up(wanted, shop.blocks, shop.shims, near_enough(shop.finest_mark, finest))

    return stack


def _blocks(
    task: Task, stack: Callable[[Length, Length], BlockStack | None]
) -> Iterator[tuple[SettingName, BlockStack]]:
    """Stacks of set-up blocks for what is set by its distance: the distance itself, for a block
    does not read wrong as a rule or scale may."""
    for setting in task.operation.settings:
        if setting.dial.set_by in BY_DISTANCE:
            found = stack(setting.aim, setting.dial.finest)
            if found is not None:
                yield setting.name, found
