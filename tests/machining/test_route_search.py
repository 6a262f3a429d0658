"""The search for the best order against every order there is (plain enumeration, small cases)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.machining.routing.bounds import NOWHERE, Bounds
from setupsheets.machining.routing.exact_search import _RouteSearch, best_order_of
from setupsheets.machining.routing.steps import Hold, Step, keeps_the_rules, left_standing

MOST = 6  # steps: 720 orders


def cost(order: Sequence[Step]) -> tuple[int, int, int]:
    """Settings made and cutters put in, changes of machine, moves of parts: counted as a maker
    would who walks through the order, with a note of what stands on every machine."""
    made = changes = moves = 0
    cutters: dict[str, object] = {}
    dials: dict[tuple[str, str], object] = {}
    lies: dict[str, str] = {}
    for earlier, step in zip([None, *order], order, strict=False):
        changes += earlier is not None and earlier.machine != step.machine
        if cutters.get(step.machine, "none yet") != step.cutter:
            made += step.cutter is not None
            cutters[step.machine] = step.cutter
            dials = {dial: at for dial, at in dials.items() if dial[0] != step.machine}
        for name in ("fence", "height"):
            dial = step.machine, name
            if name not in step.settings:
                dials.pop(dial, None)
            elif name in step.stepped:
                made += 1
                dials.pop(dial, None)
            elif dials.get(dial) != step.settings[name]:
                made += 1
                dials[dial] = step.settings[name]
        for part, count in step.parts.items():
            moves += count * (lies.get(part, step.machine) != step.machine)
            lies[part] = step.machine
    return made, changes, moves


def allowed(order: Sequence[int], steps: Sequence[Step]) -> bool:
    """No step ahead of one that must come first; none, while a setting is held, that moves it."""
    place = {at: index for index, at in enumerate(order)}
    for at, step in enumerate(steps):
        if any(place[first] > place[at] for first in range(len(steps)) if step.before >> first & 1):
            return False
        for hold in step.holds:
            for between in order[place[at] + 1 : place[hold.until]]:
                other = steps[between]
                if other.machine == step.machine and (
                    (other.cutter, other.settings.get(hold.name))
                    != (step.cutter, step.settings[hold.name])
                    or hold.name in other.stepped
                ):
                    return False
    return True


@st.composite
def cases(draw: st.DrawFn) -> list[Step]:
    """A few steps on a few machines, some of which share figures; the given order is allowed."""
    steps: list[Step] = []
    for at in range(draw(st.integers(1, MOST))):
        names = draw(st.sets(st.sampled_from(["fence", "height"])))
        step = Step(
            machine=draw(st.sampled_from(["saw", "table", "bench"])),
            cutter=draw(st.sampled_from([None, "one", "other"])),
            settings={name: draw(st.integers(1, 2)) for name in sorted(names)},
            stepped=frozenset(name for name in sorted(names) if draw(st.integers(0, 5)) == 0),
            parts={part: count for part, count in (("rail", 1), ("bar", 2)) if draw(st.booleans())},
            before=sum(1 << first for first in range(at) if draw(st.integers(0, 4)) == 0),
        )
        steps.append(step)
    for at, step in enumerate(steps[:-1]):
        until = draw(st.integers(at + 1, len(steps) - 1))
        for name in step.settings:
            held = replace(step, holds=(Hold(name, until),))
            tried = [*steps[:at], held, *steps[at + 1 :]]
            tried[until] = replace(tried[until], before=tried[until].before | 1 << at)
            if draw(st.integers(0, 3)) == 0 and allowed(range(len(steps)), tried):
                steps = tried
                break
    return steps


@given(cases())
def test_no_order_that_keeps_the_rules_is_better(steps: list[Step]) -> None:
    orders = (order for order in permutations(range(len(steps))) if allowed(order, steps))
    best = min(cost([steps[at] for at in order]) for order in orders)
    found = best_order_of(steps)
    assert allowed(found.order, steps)
    assert cost([steps[at] for at in found.order]) == found.cost == found.least == best


@given(cases())
def test_a_search_broken_off_tells_what_no_order_beats(steps: list[Step]) -> None:
    """With hardly a state looked at: the order keeps the rules, is no worse than the given one, and
    the best that there is lies between it and the bound."""
    found, best = best_order_of(steps, enough=1), best_order_of(steps).cost
    assert allowed(found.order, steps)
    assert found.least <= best <= found.cost <= cost(steps)
    assert cost([steps[at] for at in found.order]) == found.cost


@given(cases())
def test_what_is_left_standing_was_set_there_and_not_touched_since(steps: list[Step]) -> None:
    for at, left in enumerate(left_standing(steps)):
        for name, since in left.items():
            between = [step for step in steps[since:at] if step.machine == steps[at].machine]
            assert all(step.cutter == steps[at].cutter for step in between)
            if name != "cutter":
                assert {step.settings.get(name) for step in between} == {steps[at].settings[name]}
                assert not any(name in step.stepped for step in (*between, steps[at]))


def test_the_given_order_stays_where_nothing_is_gained() -> None:
    apart = [Step(machine, parts={part: 1}) for machine, part in (("saw", "a"), ("table", "b"))]
    assert best_order_of(apart).order == (0, 1)
    joined = [*apart, Step("saw", parts={"c": 1})]
    assert best_order_of(joined).order in {(0, 2, 1), (1, 0, 2)}


def test_of_orders_as_good_the_one_in_which_like_cuts_stand_as_given() -> None:
    """Two cuts at one fence of the saw, each at a height of its own, with no other between them:
    the first given goes first, though it costs the same the other way round."""
    steps = [
        Step("saw", "blade", {"fence": 2, "height": 1}, parts={"a": 1, "b": 1}),
        Step("table", "bit", {"height": 2}, parts={"a": 1}, before=0b1),
        Step("saw", "blade", {"fence": 2, "height": 2}, parts={"a": 1, "c": 1}),
    ]
    assert best_order_of(steps).order == (0, 2, 1)
    assert cost([steps[at] for at in (2, 0, 1)]) == cost([steps[at] for at in (0, 2, 1)])


def test_of_orders_as_good_the_one_in_which_like_cuts_stand_together() -> None:
    """Twice a fence of the table without a cutter, once a cut with one: that does not come between
    them, though it costs the same there."""
    steps = [
        Step("table", None, {"fence": 2}, parts={"a": 1, "c": 1}),
        Step("saw", "blade", {"fence": 2}, parts={"a": 1}),
        Step("table", "bit", {}, parts={"b": 1}),
        Step("table", None, {"fence": 1}, parts={"a": 1, "c": 1}, before=0b1),
    ]
    assert best_order_of(steps).order == (0, 3, 2, 1)
    assert cost([steps[at] for at in (0, 2, 3, 1)]) == cost([steps[at] for at in (0, 3, 2, 1)])


def test_a_step_that_costs_nothing_now_waits_where_its_part_is_carried_less_so() -> None:
    """Rail and bar lie at the saw; the table waits for another cut there. Done first, the saw sends
    both to the table and the bar back, five moves; done last, they lie at the table until then."""
    steps = [
        Step("saw", parts={"rail": 1, "bar": 2}),
        Step("saw", settings={"fence": 2}),
        Step("table", parts={"rail": 1, "bar": 2}, before=0b10),
        Step("saw", parts={"bar": 2}, before=0b101),
    ]
    found = best_order_of(steps)
    assert (found.order, found.cost) == ((1, 2, 0, 3), (1, 2, 3))
    assert cost(steps) == (1, 2, 5)


def test_a_search_is_broken_off_where_enough_is_looked_at() -> None:
    """Nothing is proved then: one move fewer is not known to be out of the question."""
    steps = [
        Step("table", parts={"rail": 1}),
        Step("saw", settings={"fence": 2}, before=0b1),
        Step("table", settings={"fence": 1}, parts={"rail": 1}, before=0b10),
        Step("saw", settings={"fence": 2}, parts={"rail": 1}),
    ]
    rough, whole = best_order_of(steps, enough=1), best_order_of(steps)
    assert whole.least == whole.cost == rough.cost == (2, 2, 2)
    assert rough.least == (2, 2, 1)


def test_many_figures_of_one_machine_are_each_set_once_at_the_least() -> None:
    """Twelve fences, each for two parts, come to twelve settings in any order that does both at
    once, and eleven where one stands already; with a cutter to each as many more."""
    for cutters, fewest in ((False, 12), (True, 24)):
        steps = [
            Step("saw", f"cutter {at}" if cutters else None, {"fence": at}) for at in range(12)
        ] * 2
        bounds, everything = Bounds(steps), (1 << 24) - 1
        assert bounds.settings(everything, NOWHERE) == fewest
        assert bounds.settings(everything, bounds.kind[0]) == fewest - (2 if cutters else 1)
        found = best_order_of(steps)
        assert found.cost == found.least == (fewest, 0, 0)


@pytest.mark.parametrize(
    ("order", "kept"),
    [
        ((0, 1, 2), True), ((0, 2, 1), False), ((1, 0, 2), False), ((2, 0, 1), True),
        ((0, 1), False), ((1, 2, 0), False),
    ],
)  # fmt: skip
def test_an_order_keeps_the_rules_where_it_does_all_and_none_too_early(
    order: tuple[int, ...], kept: bool
) -> None:
    """The second after the first, and between them nothing that moves the first one's fence."""
    steps = [
        Step("saw", settings={"fence": 1}, holds=(Hold("fence", 1),)),
        Step("table", before=0b1),
        Step("saw", settings={"fence": 2}),
    ]
    assert keeps_the_rules(order, steps) is kept


def test_given_steps_that_break_their_own_rules_are_refused() -> None:
    with pytest.raises(ValueError, match="break their own rules"):
        best_order_of([Step("saw", before=0b10), Step("saw")])


def test_a_search_that_ends_at_what_is_held_has_an_order_all_the_same() -> None:
    """The saw held for the table and the table for the saw: begun both at once neither can be
    ended."""
    steps = [
        Step("saw", settings={"height": 1}, parts={"rail": 1}, holds=(Hold("height", 1),)),
        Step("table", settings={"height": 1}, parts={"rail": 1}, before=0b1),
        Step("table", settings={"height": 2}, parts={"bar": 1}, holds=(Hold("height", 3),)),
        Step("saw", settings={"height": 2}, parts={"bar": 1}, before=0b100),
    ]
    assert best_order_of(steps).order in {(0, 1, 2, 3), (2, 3, 0, 1)}
    search = _RouteSearch(steps)
    both = search.done(search.done(search.start, 0), 2)
    assert not [*search.onward(both)]
    assert search.narrow([both]).state.done == 0b1111
