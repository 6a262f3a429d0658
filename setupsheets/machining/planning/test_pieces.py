"""How long each test piece is: one length for each part that stands for set-ups."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import ceil

from msgspec.structs import replace

from setupsheets.joinery.members.parts import Joinery
from setupsheets.lengths import Length, Unit
from setupsheets.machining.operations import SetUp, Subject
from setupsheets.machining.setting.reach import Limit, reaches
from setupsheets.shop.recipes import Makes
from setupsheets.shop.shop_terms import in_shop_terms

HOLDABLE = Length("12 in")  # a shorter piece is not safely held at a machine: common practice
BETWEEN = Length(
    "6 in"
)  # of whole wood between two coped ends or past a notch, to clamp: common practice
NEARLY = Fraction(3, 2)  # of that: a part no longer is tried at its own length
_STEPS: Mapping[Unit, Length] = {Unit.IN: Length("1 in"), Unit.MM: Length("10 mm")}
_TRIED_OTHERWISE = frozenset({Makes.BLANK, Makes.PARTING, Makes.PANEL, Makes.BEAD})
"""On first blanks, on the piece, on the leaf, on the board: there is no test piece to get out."""


def tried(set_up: SetUp) -> str:
    """The part whose section a set-up's test pieces have; empty where it needs none."""
    part = set_up.subject.part
    makes = set_up.recipe.makes
    if not set_up.measurements or part is None or makes in _TRIED_OTHERWISE or makes.on_leaf:
        return ""
    return part.name


def with_test_pieces(set_ups: Iterable[SetUp], joinery: Joinery, unit: Unit) -> tuple[SetUp, ...]:
    """Set-ups with the length of their test pieces.

    All pieces like one part are equally long, for they go on from set-up to set-up: as short as
    every machine can hold them, in whole inches or centimetres; or the part's own length, where
    that can be held and is not much more.
    """
    found = tuple(set_ups)
    short: dict[str, Length] = {}
    for each in found:
        if name := tried(each):
            short[name] = max(short.get(name, in_shop_terms(HOLDABLE, unit)), _least(each, unit))
    lengths = {name: _length(each, joinery.part(name).overall, unit)
               for name, each in short.items()}  # fmt: skip
    return tuple(replace(each, test_length=lengths.get(tried(each))) for each in found)


def _least(set_up: SetUp, unit: Unit) -> Length:
    """The shortest piece that a set-up's machines can hold, with room for both its ends, or for its
    notch."""
    subject = set_up.subject
    held = [
        reach.needs
        for operation in set_up.operations
        for reach in reaches(operation, subject, unit)
        if reach.limit is Limit.HOLD
    ]
    between = in_shop_terms(BETWEEN, unit)
    ends = 2 * subject.end.reach + between if subject.end is not None else Length.ZERO
    return max([ends, _to_the_notch(subject, between), *held])


def _to_the_notch(subject: Subject, between: Length) -> Length:
    """As far as a notch lies from the end at the stop, and wood beyond it to clamp; a part that has
    less beyond it is clamped there itself."""
    if subject.halving is None:
        return Length.ZERO
    far_wall = subject.from_end + subject.halving.end - subject.halving.start
    return min(far_wall + between, subject.length)


def _length(short: Length, own: Length, unit: Unit) -> Length:
    whole = ceil(short / _STEPS[unit]) * _STEPS[unit]
    return own if short <= own <= whole * NEARLY else whole
