"""Packing against its own exact bound, against brute force, and by hand."""

from __future__ import annotations

from collections import Counter
from functools import cache
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setupsheets.joinery.stock.packing import BoardPiece, Packing, TooLong, pack
from setupsheets.joinery.stock.programmes import whole
from setupsheets.lengths import Length
from tests.joinery.designs import inches

ZERO = Length.ZERO


def mm(size: int) -> Length:
    return Length.millimetres(size)


def cut(packing: Packing) -> Counter[str]:
    found: Counter[str] = Counter()
    for boards in packing.boards:
        for name, _, times in boards.pieces:
            found[name] += times * boards.count
    return found


def test_a_case_worked_by_hand() -> None:
    """Plain arithmetic: 20 of 1380 and 22 of 1520 and 25 of 1560 from 5600: three to a board and
    no more, since four of the shortest take 5520 and any other four more than 5600."""
    pieces = [
        BoardPiece("a", mm(1380), 20),
        BoardPiece("b", mm(1520), 22),
        BoardPiece("c", mm(1560), 25),
    ]
    packing = pack(pieces, [mm(5600)], ZERO, ZERO)
    assert packing.proven
    # five boards of four 1380s leave 47 pieces, three to a board: 5 + 16 (plain arithmetic)
    assert packing.count == 5 + ceil(47 / 3)
    assert cut(packing) == {"a": 20, "b": 22, "c": 25}


def test_the_last_kerf_may_fall_outside_the_board() -> None:
    """Four of 24 and three kerfs of 1/8 in 96 3/8 (plain arithmetic)."""
    piece = [BoardPiece("a", inches("24"), 4)]
    assert pack(piece, [inches("96 3/8")], inches("1/8"), ZERO).count == 1
    assert pack(piece, [inches("96 23/64")], inches("1/8"), ZERO).count == 2
    assert pack(piece, [inches("97 3/8")], inches("1/8"), inches("1")).count == 1


def test_offcuts() -> None:
    (board,) = pack(
        [BoardPiece("a", inches("24"), 3)], [inches("96")], inches("1/8"), inches("2")
    ).boards
    assert board.offcut == inches("96") - inches("2") - 3 * inches("24 1/8")


def test_it_chooses_among_lengths() -> None:
    """Three of 40: one board of 120 without kerf beats two of 96 (plain arithmetic)."""
    packing = pack([BoardPiece("a", inches("40"), 3)], [inches("96"), inches("120")], ZERO, ZERO)
    assert packing.total == inches("120")
    assert packing.proven


def test_a_piece_that_fits_no_board() -> None:
    with pytest.raises(TooLong) as found:
        pack([BoardPiece("stile", inches("95"), 1)], [inches("96")], ZERO, inches("2"))
    assert found.value.longest == inches("94")
    assert (
        pack([BoardPiece("stile", inches("94"), 1)], [inches("96")], ZERO, inches("2")).count == 1
    )


def test_nothing_to_cut() -> None:
    assert pack([BoardPiece("a", inches("1"), 0)], [inches("96")], ZERO, ZERO).count == 0


@st.composite
def problems(draw: st.DrawFn) -> tuple[list[BoardPiece], list[int], int]:
    sizes = draw(st.lists(st.integers(5, 20), min_size=1, max_size=3, unique=True))
    pieces = [BoardPiece(str(size), mm(size), draw(st.integers(1, 3))) for size in sizes]
    boards = draw(st.lists(st.integers(20, 40), min_size=1, max_size=2, unique=True))
    return pieces, boards, draw(st.integers(0, 2))


def least(sizes: tuple[int, ...], boards: tuple[int, ...], kerf: int) -> int:
    """The least total length by trying everything: the first piece left with every other set."""

    @cache
    def best(left: tuple[int, ...]) -> int:
        if not left:
            return 0
        first, rest = left[0], left[1:]
        found = 10**9
        for mask in range(2 ** len(rest)):
            group = [first] + [size for n, size in enumerate(rest) if mask >> n & 1]
            taken = sum(group) + kerf * (len(group) - 1)
            fitting = [board for board in boards if board >= taken]
            if fitting:
                others = tuple(size for n, size in enumerate(rest) if not mask >> n & 1)
                found = min(found, min(fitting) + best(others))
        return found

    return best(tuple(sorted(sizes)))


@given(problems())
@settings(max_examples=25, deadline=None)
def test_nothing_beats_it(problem: tuple[list[BoardPiece], list[int], int]) -> None:
    """Against trying every way there is, for up to nine pieces."""
    pieces, boards, kerf = problem
    packing = pack(pieces, [mm(board) for board in boards], mm(kerf), ZERO)
    assert cut(packing) == {piece.name: piece.count for piece in pieces}
    sizes = tuple(int(p.length.mm) for p in pieces for _ in range(p.count))
    exact = mm(least(sizes, tuple(boards), kerf))
    assert packing.bound <= exact <= packing.total
    assert packing.proven
    for board in packing.boards:
        used = sum(((size + mm(kerf)) * times for _, size, times in board.pieces), -mm(kerf))
        assert used <= board.length


def test_programmes_agree_with_another_library() -> None:
    """Least cost and whole numbers of a cutting-stock problem, against scipy."""
    from scipy import optimize  # noqa: PLC0415  slow to import, and only a reference

    costs, least = [56, 56, 56, 56, 56], [20, 22, 25]
    rows = [[4, 2, 0, 1, 0], [0, 1, 3, 0, 2], [0, 1, 0, 2, 1]]
    times, bound = whole(costs, list(zip(*rows, strict=True)), least, 500)
    exact = optimize.milp(
        costs, constraints=optimize.LinearConstraint(rows, lb=least), integrality=1
    )
    assert times is not None
    cost = sum(cost * count for cost, count in zip(costs, times, strict=True))
    assert cost == pytest.approx(exact.fun) and bound == pytest.approx(exact.fun)


def test_a_search_that_is_broken_off_finds_the_same_again() -> None:
    """Six sizes out of three lengths ask for more than one node, and a busy machine searches more
    slowly: what one node finds is enough of each, and its bound is a bound."""
    sizes = {806: 2, 2101: 1, 2096: 1, 686: 8, 681: 4, 689: 3}
    pieces = [BoardPiece(str(size), mm(size), wanted) for size, wanted in sizes.items()]
    lengths = [mm(4706), mm(5906), mm(7106)]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("setupsheets.joinery.stock.packing.MOST_NODES", 1)
        first, again = (pack(pieces, lengths, mm(3), ZERO) for _ in range(2))
    assert first == again and not first.proven
    assert cut(first) == {str(size): wanted for size, wanted in sizes.items()}
    # all pieces with a kerf each, less the kerf that may fall outside each of at most four boards
    taken = sum((size + 3) * wanted for size, wanted in sizes.items()) - 4 * 3
    assert mm(taken) <= first.bound <= first.total


def test_pieces_of_one_size_are_one_size_to_the_search_and_keep_their_names() -> None:
    """Two of 700 mm fill a board of 1450 mm, whatever they are for: six of them want three."""
    pieces = [
        BoardPiece("rail", mm(700), 3),
        BoardPiece("bar", mm(700), 1),
        BoardPiece("bead", mm(700), 2),
    ]
    packing = pack(pieces, [mm(1450)], mm(3), ZERO)
    assert packing.proven and packing.count == 3
    assert cut(packing) == {"rail": 3, "bar": 1, "bead": 2}
    assert all(sum(times for *_, times in each.pieces) == 2 for each in packing.boards)


def test_too_many_sizes_are_cut_all_the_same_and_not_called_proved() -> None:
    """Forty sizes, the next one 1 mm longer, two of each out of 5 m: every piece is there, no board
    holds more than it can, and no bound stands over what was found (plain arithmetic)."""
    pieces = [BoardPiece(str(n), mm(310 + n), 2) for n in range(40)]
    packing = pack(pieces, [mm(5000)], mm(3), ZERO)
    assert cut(packing) == {piece.name: 2 for piece in pieces}
    for board in packing.boards:
        used = sum(((size + mm(3)) * times for _, size, times in board.pieces), -mm(3))
        assert used + board.offcut <= board.length and used <= board.length
    # 80 pieces and their kerfs are 2 * (40 * 313 + 780) = 26 600, more than five boards hold
    assert packing.bound == mm(6 * 5000)
    assert packing.count in (6, 7)
    assert packing.proven is (packing.count == 6)
