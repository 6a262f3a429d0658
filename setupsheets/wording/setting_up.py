"""Setting up in words: what does not reach, speeds, tape marks, stacks of blocks."""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.lengths import Length, Notation
from setupsheets.machining.setting.block_stacks import BlockStack
from setupsheets.machining.setting.passes import Speed, SpeedLimit
from setupsheets.machining.setting.reach import Limit, Reach
from setupsheets.machining.setting.stopped_cuts import StoppedCut, TapeMarks
from setupsheets.shop.machines import SetBy
from setupsheets.wording.figures import rim_speed
from setupsheets.wording.lists import either, lowered
from setupsheets.wording.machines import SIDES, cutter_word

LIMITS: Mapping[Limit, tuple[str, tuple[str, ...]]] = {
    Limit.DIAL: (
        "the {machine}, {dial}",
        ("another machine", "another recipe"),
    ),
    Limit.COPE: (
        "tenon past the cope's root, under bearing and nut",
        (
            "a cutter made with a flush top",
            "a tenon no longer than {has} past the sight edge",
            "a loose tenon",
        ),
    ),
    Limit.PLUNGE: (
        "length of the {cutter}",
        ("a longer one", "a mortise no deeper than {has}"),
    ),
    Limit.ONE_PASS: (
        "cutting length of the {cutter}, one pass",
        ("more passes", "a longer {word}"),
    ),
    Limit.OUT_OF_FENCE: (
        "diameter of the {cutter}, out of the fence",
        ("a larger {word}", "the waste sawn off first"),
    ),
    Limit.STOP: (
        "stop clear of the {cutter}, to the {side} of the {word}",
        (
            "a spacer between stop and part while it is clamped, taken out for the cut",
            "a narrower cutter",
        ),
    ),
    Limit.HOLD: (
        "length to hold the part by",
        ("a longer piece cut to length after", "work by hand"),
    ),
}
"""What has to reach, and the ways out where it does not."""
_APART = (
    "that end sawn and fitted by hand in a vice",
    "all bars halved",
    "bars run through the other way",
)
"""The ways out for a part that was made in a longer piece already."""


def reach_words(reach: Reach, notation: Notation) -> str:
    """What is needed, what there is, by how much, and the ways out."""
    what, ways = LIMITS[reach.limit]
    ways = _APART if reach.apart else ways
    names = {
        "dial": lowered(reach.setting.dial.title) if reach.setting else "",
        "machine": lowered(reach.operation.machine.title),
        "cutter": reach.operation.cutter.title if reach.operation.cutter else "",
        "word": cutter_word(reach.operation),
        "side": SIDES[reach.setting.to] if reach.setting else "",
    }
    needs, names["has"] = notation.small(reach.needs), notation.small(reach.has)
    said = f"{what.format(**names)}: {needs} needed, {names['has']} there"
    if reach.fits:
        return said
    short = notation.small(reach.needs - reach.has)
    return f"{said}, {short} short; {either(way.format(**names) for way in ways)}"


SPEED_LIMITS: Mapping[SpeedLimit, str] = {
    SpeedLimit.MAKER: "the maker's limit",
    SpeedLimit.RIM: "{fast} at the rim, for feed by hand",
    SpeedLimit.PRACTICE: "common practice",
}


def speed_words(speed: Speed, notation: Notation) -> str:
    """The speed to set, and the limit that it keeps."""
    said = f"{speed.revolutions} rpm, rim {rim_speed(speed.rim, notation)}"
    slow, fast = (rim_speed(each, notation) for each in speed.rims or (0, 0))
    if speed.by is not None:
        whose = SPEED_LIMITS[speed.by].format(fast=fast)
        if not speed.within:
            return f"{said}: over {speed.limit} rpm, {whose}: do not use it on this machine"
        said += f" (up to {speed.limit} rpm: {whose})"
    if speed.slow:
        said += f"; under {slow} it snatches when fed by hand: take a larger one"
    return said


def tape_words(marks: TapeMarks, notation: Notation) -> str:
    """Where to lower on and lift off, and the ramp that is left."""
    said = _tapes(marks, notation)
    if marks.ramp <= 0 or (marks.lower_on is None and marks.lift_off is None):
        return said
    return f"{said}; {notation.mark(Length.from_float(marks.ramp))} of ramp is left for hand tools"


def stop_title(cut: StoppedCut) -> str:
    """Which part, and which of its ends goes first."""
    return f"{cut.stop.part}, {cut.stop.leading} first"


def stop_words(cut: StoppedCut, notation: Notation) -> str:
    """Where one part is lowered on and lifted off, and what hands chop out after."""
    said = f"{stop_title(cut)}: {_tapes(cut.marks, notation)}"
    left = [notation.mark(Length.from_float(each)) for each in cut.by_hand if each > 0]
    if left:
        return f"{said}; chop out the last {' and '.join(left)} to full depth"
    return f"{said}; its ramp lies in a mortise" if cut.marks.ramp else said


def _tapes(marks: TapeMarks, notation: Notation) -> str:
    said = []
    if marks.lower_on is not None:
        past = notation.mark(Length.from_float(marks.lower_on))
        said.append(f"lower the part on with its leading end {past} past the cutter's middle")
    if marks.lift_off is not None:
        past = notation.mark(Length.from_float(marks.lift_off))
        said.append(f"stop and lift off with its leading end {past} past the middle")
    return "; ".join(said) or "the cut runs through from end to end"


def stack_line(stack: BlockStack, notation: Notation) -> str:
    """What a stack makes, and how far off the distance wanted that is.

    `1 in + 1/32 in make 1 1/32 in`, `1/4 in + shim .004 in come .0023 in under 1/4 in +.0063 in`.
    """
    made, several = stack_words(stack, notation), len(stack.pieces) > 1
    wanted, off = notation.show(stack.wanted), stack.off
    if not off:
        return f"{made} make{'' if several else 's'} {wanted}"
    way = "over" if off > Length.ZERO else "under"
    return f"{made} come{'' if several else 's'} {notation.small(abs(off))} {way} {wanted}"


WORTH_STACKING = 3
"""So many blocks and shims are sooner laid together than a rule is read; with more each joint adds
its dust, and the rule is as near. Common practice, no source."""


def measured_words(stack: BlockStack, by: SetBy, notation: Notation) -> str:
    """The stack that makes a distance; empty where it would be of so many pieces that a rule is
    read sooner."""
    if len(stack.pieces) == 1 and not stack.off:
        return "one block"
    worth = len(stack.pieces) <= WORTH_STACKING or by is SetBy.BLOCK
    return stack_line(stack, notation) if worth else ""


def stack_words(stack: BlockStack, notation: Notation) -> str:
    """Blocks and shims laid together: `1 in + 1/4 in + shim .004 in`."""
    blocks = [notation.write(block) for block in stack.blocks]
    return " + ".join([*blocks, *(f"shim {notation.write(shim)}" for shim in stack.shims)])
