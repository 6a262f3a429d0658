"""What machining knows of a plan, said in words and drawn, for `findings`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache

from setupsheets.joinery.members.parts import Mortise
from setupsheets.joinery.members.plunges import plunges
from setupsheets.lengths import Length, Notation
from setupsheets.machining.checking.joint import growth
from setupsheets.machining.checking.proof import Proof
from setupsheets.machining.cutting.planes import CutError, mm
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.batches import edge_only
from setupsheets.machining.planning.choices import CLOSE
from setupsheets.machining.setting.block_stacks import make_up
from setupsheets.machining.setting.passes import passes, speed
from setupsheets.machining.setting.reach import dado_make_up, reaches
from setupsheets.machining.setting.stopped_cuts import ramp_outline
from setupsheets.machining.setting.stopped_cuts import stopped as stops
from setupsheets.machining.support.runs import Support, supports
from setupsheets.machining.tasks import Task
from setupsheets.records.current import SetUpState
from setupsheets.sheets.content.findings import JointFit, StopMarks
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.joint_drawing import joint_drawing, proof_drawing
from setupsheets.sheets.drawings.stops_drawing import stops_drawing
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machines import SetBy, SettingName
from setupsheets.shop.recipes import Makes, Work
from setupsheets.shop.settings import ShopSettings
from setupsheets.wording import setting_up, support
from setupsheets.wording.lists import listed
from setupsheets.wording.operations import figure_to_set
from setupsheets.wording.proofs import closing_words, joint_words, proof_line, proof_title

BY_DISTANCE = frozenset({SetBy.BLOCK, SetBy.RULE, SetBy.GAUGE})
"""Settings made by the distance itself: a stack of blocks can stand in it. A scale cannot."""


def proved(proofs: Iterable[Proof], notation: Notation) -> Mapping[str, tuple[bool, str]]:
    """By set-up, whether all that it takes part in proves, and what to say where it does not."""
    found: dict[str, tuple[bool, str]] = {}
    for proof in proofs:
        for name in proof.set_ups:
            holds, words = found.get(name, (True, ""))
            if not proof.holds:
                words = "; ".join(filter(None, (words, proof_line(proof, notation.show))))
            found[name] = (holds and proof.holds, words)
    return found


def unproved(proofs: Iterable[Proof], notation: Notation) -> Iterator[Drawing]:
    """A picture of every thing that does not prove and can be drawn."""
    failing = (proof for proof in proofs if proof.left_over or proof.missing)
    for number, proof in enumerate(failing, 1):
        name = proof_title(proof)
        title = f"{name[:1].upper()}{name[1:]}: does not prove"
        drawing = proof_drawing(f"proof-{number:02}", title, proof, notation.show)
        if drawing is not None:
            yield drawing


def stands(task: Task) -> tuple[Support, ...]:
    """How the part stands for every run past the cutter."""
    return supports((task.stage,), task.set_up.subject) if task.stage else ()


def support_words(found: Iterable[Support], notation: Notation) -> Iterator[str]:
    """Bearing on table and fence for every run of the part, and what to add where it is short."""
    for each in found:
        edge = "second edge: " if each.edge else ""
        yield f"{edge}{support.support_words(each, notation)}"


def stopped(task: Task, notation: Notation) -> StopMarks | None:
    """The tape marks of a cut that must stop short of an end, for every part and each way that it
    is fed; None for a cut that runs through."""
    operation = task.operation
    if not operation.stops:
        return None
    try:
        found = [
            (each, mm(each.stop.length), setting_up.stop_words(each, notation))
            for each in stops(operation)
        ]
        ramp = ramp_outline(operation)
    except (CutError, ValueError) as fault:
        return StopMarks((), (f"no tape marks: {fault}",))
    drawings = tuple(
        stops_drawing(
            f"stops-{operation.number:02}-{number}",
            f"Operation {operation.number}: tape marks, {setting_up.stop_title(each)}",
            *(each.marks, long, ramp if number == 1 else ()),
            notation,
        )
        for number, (each, long, _) in enumerate(found, 1)
        if each.marks.lower_on is not None or each.marks.lift_off is not None
    )
    return StopMarks(drawings, tuple(words for _, _, words in found))


def edges_only(plan: Plan) -> Mapping[str, str]:
    """By set-up, the parts with two sight edges of which only one is worked, and which."""
    found: dict[str, str] = {}
    for item in plan.set_ups:
        parts = [part for part in plan.joinery.parts if part.name in item.counts]
        edges = ((part.name, edge_only(part, item.recipe.makes)) for part in parts)
        if words := [f"{name}: {edge} only" for name, edge in edges if edge]:
            found[item.name] = "; ".join(words)
    return found


def speed_words(task: Task) -> str:
    """The speed to set and its limit; nothing where nothing turns or no speed is known."""
    operation = task.operation
    found = speed(operation.machine, operation.cutter) if operation.cutter else None
    return setting_up.speed_words(found) if found else ""


def stack_words(task: Task, notation: Notation) -> str:
    """What a dado stack is made up from, outside blades first; nothing for other cutters."""
    cutter = task.operation.cutter
    if cutter is None or cutter.stack is None or cutter.kerf is None:
        return ""
    made = dado_make_up(cutter.kerf, cutter, CLOSE)
    wide = notation.small(cutter.kerf)
    if made is None:
        return f"{wide} wide, which its chippers and shims do not make"
    return f"{wide} wide, from {setting_up.stack_words(made, notation)}"


def pass_words(task: Task, hard: bool, standing: SetUpState | None, notation: Notation) -> str:
    """How many passes; for a bit also where its setting stands for each, in the dial's own moves
    and moved as the records say, so that the last is the figure printed."""
    operation = task.operation
    found = passes(operation, hard)
    if found is None:
        return str(operation.passes) if operation.passes > 1 else ""
    setting = operation.setting(found.setting)
    assert setting is not None
    known = standing.settings.get(setting.cause) if standing else None
    moved = figure_to_set(setting, known) - setting.aim
    figures = (notation.dialled(each + moved, setting.dial.finest) for each in found.figures)
    *first, _ = figures
    return f"{len(found.figures)}: {found.setting} {', '.join(first)}, then what is set below"


def reach_words(task: Task, notation: Notation) -> Iterator[str]:
    """Everything about an operation that does not reach far enough, with the ways out."""
    for found in reaches(task.operation, task.set_up.subject):
        if not found.fits:
            yield setting_up.reach_words(found, notation)


def centre_words(task: Task, plan: Plan, notation: Notation) -> Iterator[str]:
    """Where the chisel or bit goes down along each mortise of the set-up, in the order to do it."""
    cutter, subject = task.operation.cutter, task.set_up.subject
    tool = (cutter.width or cutter.diameter) if cutter else None
    if task.operation.asks.work is not Work.MORTISE or tool is None or subject.mortise is None:
        return
    told: set[str] = set()
    for mortise in (*plan.joinery.mortises, *plan.joinery.haunches):
        if mortise.part in task.set_up.counts and _alike(mortise, subject.mortise):
            words = _centres(mortise, tool, notation)
            if words not in told:
                told.add(words)
                yield words


def _alike(one: Mortise, other: Mortise) -> bool:
    """Whether two mortises are cut with the same settings."""
    return (one.thickness, one.from_face, one.depth) == (
        other.thickness,
        other.from_face,
        other.depth,
    )


def _centres(mortise: Mortise, tool: Length, notation: Notation) -> str:
    where = f"{mortise.part}, for the {mortise.holds}"
    try:
        ends, between = (found := plunges(mortise, tool))[:2], found[2:]
    except ValueError as fault:
        return f"{where}: {fault}"
    then = f", then {', '.join(map(notation.mark, between))}" if between else ""
    return f"{where}: {listed(map(notation.mark, ends))}{then}"


def fit_of(task: Task, notation: Notation) -> JointFit | None:
    """How the end closes on its mate, at the operation that copes it; None for other operations.

    Told for the settings aimed at, and for the cope's height one finest move off either way.
    """
    operation, set_up = task.operation, task.set_up
    kind = operation.cutter.type if operation.cutter else None
    if set_up.recipe.makes is not Makes.COPE or kind is not CutterType.COPE_BIT:
        return None
    height = operation.setting(SettingName.HEIGHT)
    if height is None:
        return None
    try:
        low, aimed, high = growth([set_up], height.cause, height.dial.finest, 1)
    except (CutError, ValueError):
        return None
    show = notation.small
    step = notation.small(height.dial.finest)
    words = (
        f"as set: {closing_words(aimed[1], notation)}",
        f"for each {step} that the cope is set low: {joint_words(low[1], show)}",
        f"for each {step} that it is set high: {joint_words(high[1], show)}",
    )
    title = f"Operation {operation.number}: the end on its mate"
    drawing = joint_drawing(f"joint-{operation.number:02}", title, aimed[1], f"{words[0]}.")
    return JointFit(drawing, words)


def blocks(
    tasks: Sequence[Task], known: Mapping[str, SetUpState], shop: ShopSettings
) -> Iterator[tuple[tuple[int, str], str]]:
    """Stacks of set-up blocks for the figures that are set by their distance."""

    @cache
    def stack(wanted: Length, closeness: Length) -> str:
        if wanted <= Length.ZERO or wanted > longest:
            return ""
        made = make_up(wanted, shop.blocks, shop.shims, closeness)
        return setting_up.stack_words(made, shop.notation) if made else ""

    longest = sum(shop.blocks, Length.ZERO)
    for task in tasks:
        standing = known.get(task.set_up.name)
        for setting in task.operation.settings:
            if setting.dial.set_by not in BY_DISTANCE:
                continue
            now = standing.settings.get(setting.cause) if standing else None
            figure = figure_to_set(setting, now)
            if words := stack(figure, setting.dial.finest / 8):
                yield (task.operation.number, setting.name), words


def test_pieces(set_ups: Iterable[SetUp], known: Mapping[str, SetUpState]) -> dict[str, int]:
    """How many test pieces of each part to get out: as many as the set-up that it stands for needs
    most. The same pieces go on from one set-up to the next, and blanks are tried on what is cut
    longer, so they ask for none."""
    found: dict[str, int] = {}
    for set_up in set_ups:
        part, standing = set_up.subject.part, known.get(set_up.name)
        if set_up.measurements and part is not None and set_up.recipe.makes is not Makes.BLANK:
            wanted = standing.pieces_expected if standing else 1
            found[part.name] = max(found.get(part.name, 0), wanted)
    return found
