"""An outline by offsets and radii, against the geometry of circles worked by hand."""

from __future__ import annotations

import pytest

from setupsheets.lengths import Length, Unit
from setupsheets.shop.measured_outlines import measured_steps
from setupsheets.shop.outlines import OutlineStep, Shape, same_outline, shape_outline, steps_outline


def outline(text: str, width: str, depth: str, unit: Unit) -> tuple[tuple[float, float], ...]:
    """The points in mm of what is typed."""

    def point(pair: list[object]) -> tuple[Length, ...]:
        return tuple(Length(f"{each} {unit}") for each in pair)

    steps = tuple(
        OutlineStep(point(step["to"]), point(step["centre"]) if "centre" in step else None)
        for step in measured_steps(text, width, unit)
    )
    wide, deep = (float(Length(f"{each} {unit}").mm) for each in (width, depth))
    return steps_outline(wide, deep, steps)


# The centre of a quarter circle lies where the tangents at its ends, one along the face and one
# along the sight edge, say: above the curve's end for a hollow, inside the wood for a round.
@pytest.mark.parametrize(
    ("text", "width", "unit", "centre"),
    [
        ("3/8, 1/16; 1/16, 3/8 round 5/16", "3/8", Unit.IN, (0.375, 0.375)),
        ("3/8, 1/16; 1/16, 3/8 hollow 5/16", "3/8", Unit.IN, (0.0625, 0.0625)),
        ("9, 1.5; 1.5, 9 round 7.5", "9", Unit.MM, (9, 9)),
        ("9, 1.5; 1.5, 9 hollow 7.5", "9", Unit.MM, (1.5, 1.5)),
    ],
)
def test_the_centre_lies_in_the_wood_of_a_round_and_outside_a_hollow(
    text: str, width: str, unit: Unit, centre: tuple[float, float]
) -> None:
    found = measured_steps(text, width, unit)[-1]["centre"]
    assert tuple(map(float, found)) == pytest.approx(centre, abs=1e-3)


@pytest.mark.parametrize("unit", Unit)
@pytest.mark.parametrize("side", ["round", "hollow"])
def test_an_ovolo_and_a_cove_by_radii_are_those_of_the_trade(unit: Unit, side: str) -> None:
    """A quarter round and a quarter hollow are drawn by another function altogether."""
    width, quirk, radius = ("7/16", "1/16", "3/8") if unit is Unit.IN else ("11", "1.5", "9.5")
    over = "1/16" if unit is Unit.IN else "1.5"
    text = f"{width}, {quirk}; {over}, {width} {side} {radius}; 0, {width}"
    found = outline(text, width, width, unit)
    one = float(Length(f"1 {unit}").mm)
    sizes = {"7/16": 0.4375, "1/16": 0.0625, "11": 11.0, "1.5": 1.5}
    shape = {"round": "ovolo", "hollow": "cove"}[side]
    meant = shape_outline(Shape(shape), sizes[width] * one, sizes[width] * one, sizes[quirk] * one)
    assert same_outline(found, meant)
    other = {"round": Shape.COVE, "hollow": Shape.OVOLO}[side]
    size, drop = sizes[width] * one, sizes[quirk] * one
    assert not same_outline(found, shape_outline(other, size, size, drop))
    assert not same_outline(found, shape_outline(Shape(shape), size, size, drop + 0.1))


def test_offsets_alone_are_straight_lines() -> None:
    assert measured_steps("3/8, 1/16; 1/8, 1/4 ; 0,3/8;", "3/8", Unit.IN) == [
        {"to": ["3/8", "1/16"]},
        {"to": ["1/8", "1/4"]},
        {"to": [0, "3/8"]},
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("3/8", "'3/8' is no point"),
        ("3/8, 1/16 round", "is no length"),
        ("3/8, 1/16; 0, 3/8 bulging 3/8", "is no length"),
        (  # the way is the third side of 3/8 and 5/16: 0.4881, and half of it 0.2441
            "3/8, 1/16; 0, 3/8 round 1/8",
            "point 2 of the outline: a radius of 0.125 in does not reach there from the point "
            "before: at least 0.2441 in",
        ),
        ("3/8, 1/16; 3/8, 1/16 round 1/8", "point 2 of the outline: it lies where the arc to it"),
        ("3/8, x", "'x' is no length"),
        ("", "'' is no point"),
    ],
)
def test_what_is_no_outline_is_told(text: str, said: str) -> None:
    with pytest.raises(ValueError) as found:
        measured_steps(text, "3/8", Unit.IN)
    assert said in str(found.value)
