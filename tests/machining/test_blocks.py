"""The fewest set-up blocks, against every subset tried one by one."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.findings import _stacks
from setupsheets.machining.setting.block_stacks import make_up
from setupsheets.shop.settings import ShopSettings
from setupsheets.wording.setting_up import stack_words
from tests.machining.handmade import inches, millimetres

SIXTEENTHS = (1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 16, 32, 48)
BLOCKS = [Length.inches(Fraction(size, 16)) for size in SIXTEENTHS]
SHIMS = [inches(text) for text in (".002", ".004", ".008", ".012")]
EXACT = Length.ZERO


@pytest.mark.parametrize(
    ("wanted", "pieces"),
    [
        ("3/4", ("3/4",)),
        ("7/16", ("7/16",)),
        ("1 1/4", ("1", "1/4")),
        ("13/16", ("3/4", "1/16")),
        ("2 15/16", ("2", "1/2", "7/16")),
        (".758", ("3/4", ".008")),
    ],
)
def test_the_fewest_make_the_distance_exactly(wanted: str, pieces: tuple[str, ...]) -> None:
    stack = make_up(inches(wanted), BLOCKS, SHIMS, EXACT)
    assert stack is not None
    assert stack.off == EXACT
    assert len(stack.pieces) == len(pieces)
    assert stack.total == inches(wanted)


def test_the_largest_first_would_take_more() -> None:
    blocks = [inches(text) for text in ("1", "3/4", "1/2", "1/8", "1/16", "1/16")]
    stack = make_up(inches("1 1/4"), blocks, [], EXACT)
    assert stack is not None
    assert stack.blocks == (inches("3/4"), inches("1/2"))


def test_no_block_is_used_twice_unless_there_are_two() -> None:
    assert make_up(inches("1"), [inches("1/2")], [], EXACT) is None
    stack = make_up(inches("1"), [inches("1/2"), inches("1/2")], [], EXACT)
    assert stack is not None and stack.blocks == (inches("1/2"), inches("1/2"))


def test_closeness_takes_fewer_pieces_and_the_nearest_of_as_few() -> None:
    wanted = inches("49/64")
    exact = make_up(wanted, BLOCKS, SHIMS, EXACT)
    near = make_up(wanted, BLOCKS, SHIMS, inches("1/64"))
    assert exact is None  # no shims make 1/64
    assert near is not None
    assert near.pieces == (inches("3/4"),)
    assert near.off == inches("-1/64")
    nearer = make_up(wanted, BLOCKS, SHIMS, inches(".001"))
    assert nearer is not None
    assert nearer.off == inches(".000375")  # 3/4 and .004 + .012 is .766, 49/64 is .765625
    assert nearer.shims == (inches(".012"), inches(".004"))


def test_of_stacks_as_good_the_one_with_fewer_shims() -> None:
    stack = make_up(inches("1"), [inches("3/4"), inches("1/4")], [inches("1/4")], EXACT)
    assert stack is not None and stack.shims == ()


def test_nothing_comes_near_enough() -> None:
    assert make_up(inches("20"), BLOCKS, SHIMS, inches("1/64")) is None
    assert make_up(inches("1"), [], [], inches("1/64")) is None


@pytest.mark.parametrize(
    ("wanted", "blocks", "closeness", "message"),
    [
        ("0", "1", "0", "a distance of 0 in is not more than nought"),
        ("1", "-1", "0", "a piece of -1 in is not more than nought"),
        ("1", "0", "0", "a piece of 0 in is not more than nought"),
        ("1", "1", "-1/64", "a closeness of -1/64 in is less than nought"),
    ],
)
def test_what_is_no_length_of_wood_is_refused(
    wanted: str, blocks: str, closeness: str, message: str
) -> None:
    with pytest.raises(ValueError, match=f"^{message}$"):
        make_up(inches(wanted), [inches(blocks)], [], inches(closeness))


def test_a_fence_that_is_set_to_nothing_has_no_stack() -> None:
    """A stack is as near as the finer of shop and dial: 1 in for 1 1/64 where marks are 1/16, none
    where they are 1/64 (half of each, arithmetic)."""
    shop = ShopSettings("s", "S", Unit.IN, Fraction(1, 16), blocks=(inches("1"),), shims=())
    stack, fine, coarse = _stacks(shop), inches("1/64"), inches("1/16")
    assert stack(Length.ZERO, fine) is None and stack(inches("-1"), fine) is None
    assert stack(inches("1 1/64"), fine) is None
    assert (near := stack(inches("1 1/64"), coarse)) is not None and near.total == inches("1")


def test_of_stacks_as_few_and_as_near_the_one_with_fewer_shims_is_taken() -> None:
    """.013 is .001 with .012, and .006 with .007: two pieces each (arithmetic)."""
    shims = [inches(text) for text in (".006", ".007", ".012")]
    stack = make_up(inches(".013"), [inches(".001")], shims, EXACT)
    assert stack is not None
    assert (stack.blocks, stack.shims) == ((inches(".001"),), (inches(".012"),))


def test_a_stack_is_told_in_words() -> None:
    notation = Notation(Unit.MM, Fraction(1, 100))
    stack = make_up(millimetres("11.1"), [millimetres("10"), millimetres("1")],
                    [millimetres("0.1")], EXACT)  # fmt: skip
    assert stack is not None
    assert stack_words(stack, notation) == "10 mm + 1 mm + shim 0.1 mm"


sizes = st.lists(st.integers(1, 60), min_size=1, max_size=9)


@given(sizes, st.lists(st.integers(1, 5), max_size=3), st.integers(1, 150), st.integers(0, 3))
def test_no_other_set_of_pieces_is_fewer_or_nearer(
    blocks: list[int], shims: list[int], wanted: int, closeness: int
) -> None:
    """Against every subset, tried one by one."""
    pieces = blocks + shims
    found = make_up(
        Length.millimetres(wanted),
        [Length.millimetres(block) for block in blocks],
        [Length.millimetres(shim) for shim in shims],
        Length.millimetres(closeness),
    )
    best = min(
        (
            (count, abs(sum(chosen) - wanted))
            for count in range(1, len(pieces) + 1)
            for chosen in combinations(pieces, count)
            if abs(sum(chosen) - wanted) <= closeness
        ),
        default=None,
    )
    if best is None:
        assert found is None
    else:
        assert found is not None
        assert (len(found.pieces), int(abs(found.off.mm))) == best
        left = list(pieces)
        for piece in found.pieces:
            left.remove(int(piece.mm))
