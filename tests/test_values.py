"""Frozen dataclasses do all that the standard library's do: each case is held against those.

Outside source: Python's own `dataclasses`, and its documentation's section "Frozen instances".
"""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field, fields, replace
from functools import cached_property
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setupsheets import values

Made = tuple[type[Any], ...]


def classes(dataclass: Callable[..., Any]) -> Made:
    """The same classes, made by one of the two decorators."""

    @dataclass(frozen=True)
    class Plain:
        """Has defaults of every sort."""

        size: int
        name: str = "stile"
        notes: list[str] = field(default_factory=list)
        place: int = field(default=0, compare=False, repr=False)
        told: dict[str, int] = field(default_factory=dict, hash=False)

        @cached_property
        def twice(self) -> int:
            return 2 * self.size

    @dataclass(frozen=True)
    class Longer(Plain):
        """Adds to another one, and looks at what it is given."""

        more: float = 0.0
        always: bool = field(kw_only=True)

        def __post_init__(self) -> None:
            if self.more < 0:
                raise ValueError("less than nought")

    @dataclass(frozen=True)
    class One:  # noqa: PLW1641  (the decorator gives it a hash)
        """One field, a repr of its own, an equality of its own."""

        only: object

        def __repr__(self) -> str:
            return "one"

        def __eq__(self, other: object) -> bool:
            return True

    @dataclass(frozen=True)
    class Empty:
        """None at all."""

    return Plain, Longer, One, Empty


OURS, STANDARD = classes(values.dataclass), classes(dataclasses.dataclass)
ARGUMENTS: tuple[tuple[int, tuple[Any, ...], dict[str, Any]], ...] = (
    (0, (1,), {}),
    (0, (1, "rail"), {"notes": ["a"]}),
    (0, (), {"size": 2, "place": 3}),
    (0, (), {}),
    (0, (1,), {"size": 2}),
    (0, (1,), {"length": 2}),
    (0, (1, "", [], 0, {}, 5), {}),
    (1, (1,), {"more": 2.0, "always": True}),
    (1, (1,), {"more": -2.0, "always": True}),
    (1, (1, "rail", [], 3, {}, 4.0), {"always": False}),
    (1, (1, "rail", [], 3, {}, 4.0, True), {}),
    (1, (1,), {}),
    (2, ("x",), {}),
    (2, (), {"only": ()}),
    (3, (), {}),
    (3, (1,), {}),
)


def outcome(work: Callable[[], object]) -> object:
    try:
        return work()
    except Exception as error:
        return type(error)


@pytest.mark.parametrize(("which", "given", "named"), ARGUMENTS)
def test_made_and_shown_alike(which: int, given: tuple[Any, ...], named: dict[str, Any]) -> None:
    ours, standard = (
        outcome(lambda made=made: repr(made[which](*given, **named)))  # type: ignore[misc]
        for made in (classes(values.dataclass), classes(dataclasses.dataclass))
    )
    assert ours == standard


@given(st.data())
def test_compared_hashed_and_replaced_alike(data: st.DataObject) -> None:
    which = data.draw(st.sampled_from([0, 1]))
    some: st.SearchStrategy[dict[str, Any]] = st.builds(
        dict, size=st.integers(0, 1), name=st.sampled_from("ab"), place=st.integers(0, 1)
    )
    one, other = data.draw(some), data.draw(some)
    found, only = [], ({"notes": ()}, {"notes": (), "always": True})
    for made in (OURS, STANDARD):
        a, b = (made[which](**each, **only[which]) for each in (one, other))
        again = replace(a, size=b.size, place=b.place)
        found.append((a == b, a != b, hash(a) == hash(b), again == b, again.place, a == 1))
    assert found[0] == found[1]


def test_of_another_class_is_another_value() -> None:
    plain, longer, *_ = OURS
    assert plain(1) != longer(1, always=True) and plain(1) == plain(1)


@pytest.mark.parametrize("made", [OURS, STANDARD])
def test_nothing_of_it_changes(made: Made) -> None:
    value = made[1](1, always=True)
    for name in ("size", "other"):
        with pytest.raises(FrozenInstanceError):
            setattr(value, name, 2)
    with pytest.raises(FrozenInstanceError):
        del value.size
    assert value.size == 1 and value.twice == 2
    assert copy.copy(value) == copy.deepcopy(value) == value


def test_its_own_methods_stay() -> None:
    for made in (OURS, STANDARD):
        one = made[2]
        assert repr(one(1)) == "one" and one(1) == 5 and hash(one(1)) == hash(one(1))


def test_by_identity_where_asked_for() -> None:
    @values.dataclass(frozen=True, eq=False)
    class Self:
        """One that is the same as itself alone."""

        size: int

    one, other = Self(1), Self(1)
    assert len({one, other, one}) == 2 and one != other


def test_what_is_not_frozen_is_left_to_the_standard_one() -> None:
    @values.dataclass
    class Open:
        """May change."""

        size: int

    @values.dataclass(frozen=True, order=True, slots=True)
    class Ordered:
        """Has an order."""

        size: int

    value = Open(1)
    value.size = 2
    assert value == Open(2) and Ordered(1) < Ordered(2)


def test_fields_and_their_order() -> None:
    for ours, standard in zip(OURS, STANDARD, strict=True):
        assert [each.name for each in fields(ours)] == [each.name for each in fields(standard)]
        assert ours.__match_args__ == standard.__match_args__
        assert dataclasses.is_dataclass(ours)


@values.dataclass(frozen=True)
class Kept:
    """At the top, where a pickle finds it."""

    size: int


def test_goes_to_another_process() -> None:
    assert pickle.loads(pickle.dumps(Kept(3))) == Kept(3)
