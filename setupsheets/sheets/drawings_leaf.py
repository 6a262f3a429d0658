"""The leaf in elevation, dimensioned: stiles, rails and bars as they stand, seen from outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from setupsheets.lengths import Length, Notation
from setupsheets.sheets.drawings import EDGE, THIN, Drawing, finish, rectangle
from setupsheets.sheets.drawings_dimensions import Dimension, across, upright

_ROOM = (95.0, 120.0)  # mm on the paper for the leaf itself


@dataclass(frozen=True)
class Member:
    """One member in elevation: left and bottom edge from the leaf's lower left corner, in place."""

    left: Length
    bottom: Length
    width: Length
    height: Length


@dataclass(frozen=True)
class Span:
    """One distance to dimension, along the leaf's width or height from its lower left corner."""

    start: Length
    end: Length


@dataclass(frozen=True)
class Elevation:
    """A leaf ready to draw: its size, its members, and the distances to show level and upright."""

    width: Length
    height: Length
    members: tuple[Member, ...]
    level: tuple[Span, ...]
    upright: tuple[Span, ...]


def leaf_drawing(name: str, title: str, elevation: Elevation, notation: Notation) -> Drawing:
    """The elevation to scale, with its dimensions in the shop's notation."""
    width, height = float(elevation.width.mm), float(elevation.height.mm)
    scale = min(_ROOM[0] / width, _ROOM[1] / height)
    top = 3.0

    def down(length: Length) -> float:
        return top + (height - float(length.mm)) * scale

    def dimensions(spans: Sequence[Span], upwards: bool, edge: float) -> list[Dimension]:
        return [
            Dimension(
                down(span.start) if upwards else left + float(span.start.mm) * scale,
                down(span.end) if upwards else left + float(span.end.mm) * scale,
                notation.show(span.end - span.start),
                edge,
                edge,
            )
            for span in spans
        ]

    left = 0.0
    left = upright(dimensions(elevation.upright, True, 0.0), 0.0).depth + 3
    side = upright(dimensions(elevation.upright, True, left), left)
    foot = top + height * scale
    below = across(dimensions(elevation.level, False, foot), foot)
    elements = [
        rectangle(
            (left + float(item.left.mm) * scale, down(item.bottom + item.height)),
            float(item.width.mm) * scale,
            float(item.height.mm) * scale,
            "#fff",
            THIN,
        )
        for item in elevation.members
    ]
    elements.append(rectangle((left, top), width * scale, height * scale, "none", EDGE))
    size = (max(left + width * scale, below.high) + 4, foot + below.depth + 2)
    words = (
        f"The leaf from outside, {notation.show(elevation.width)} wide and "
        f"{notation.show(elevation.height)} high, {len(elevation.members)} members."
    )
    return finish(name, title, words, size, [*elements, *side.elements, *below.elements])
