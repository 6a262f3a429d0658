"""An outline as it is measured on a cutter or on the wood that it cut: offsets and radii.

    7/16, 1/16; 1/4, 1/4 hollow 3/16; 0, 7/16 round 3/16

Each part is a point, how far it lies in from the sight edge and how far down from the face, from
the face to the sight edge; a straight line leads to it, or a part of a circle of that radius, round
or hollow in the wood.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from typing import Any

from setupsheets.files.scalars import plain_scalar
from setupsheets.lengths import Length, Unit, read_shop_length
from setupsheets.shop.outlines import FLATNESS, Point

_part = re.compile(r"([^,]+),([^,]+?)(?:\s+(round|hollow)\s+([^,]+))?").fullmatch
_PLACES = {Unit.IN: (Length("1 in"), 4), Unit.MM: (Length("1 mm"), 3)}
"""In what a centre is written, and to how many places: far within what a chord may stray."""


def measured_steps(text: str, width: str, unit: Unit) -> list[dict[str, Any]]:
    """The steps of an outline that begins on the face, ``width`` in, as a file holds them.

    Raises ValueError for what is no such list of points, and for a radius that does not reach.
    """
    start = (float(read_shop_length(width, unit).mm), 0.0)
    steps: list[dict[str, Any]] = []
    for number, each in enumerate(text.strip().strip(";").split(";"), 1):
        if not (match := _part(each.strip())):
            raise ValueError(
                f"{each.strip()!r} is no point: expected how far in and how far down, as in "
                "1/4, 1/16, and for an arc its radius behind, as in 0, 3/8 round 5/16"
            )
        over, down, side, radius = (each and each.strip() for each in match.groups())
        ends = [read_shop_length(each, unit) for each in (over, down)]
        end = (float(ends[0].mm), float(ends[1].mm))
        step: dict[str, Any] = {"to": [plain_scalar(over), plain_scalar(down)]}
        if side:
            length = float(read_shop_length(radius, unit).mm)
            _check_reach(math.dist(start, end), length, number, unit)
            centre = _centre(start, end, length, side == "round")
            step["centre"] = [_written(each, unit) for each in centre]
        steps.append(step)
        start = end
    return steps


def _check_reach(chord: float, radius: float, number: int, unit: Unit) -> None:
    """An arc needs two points, and a radius of half the way between them; ValueError else."""
    if chord == 0:
        raise ValueError(f"point {number} of the outline: it lies where the arc to it begins")
    if radius < chord / 2 - FLATNESS:
        given, least = (f"{_written(each, unit)} {unit}" for each in (radius, chord / 2))
        raise ValueError(
            f"point {number} of the outline: a radius of {given} does not reach there from the "
            f"point before: at least {least}"
        )


def _centre(start: Point, end: Point, radius: float, is_round: bool) -> Point:
    """The centre of the shorter arc of that radius from one point to the other: in the wood where
    it is round, outside where it is hollow. Wood lies to the left of the way as it is drawn with
    the face at the head, which is where x and y grow."""
    across, down = end[0] - start[0], end[1] - start[1]
    half = math.hypot(across, down) / 2
    rise = math.sqrt(max(radius**2 - half**2, 0.0)) / (2 * half) * (1 if is_round else -1)
    middle = (start[0] + across / 2, start[1] + down / 2)
    return middle[0] + rise * down, middle[1] - rise * across


def _written(mm: float, unit: Unit) -> Decimal | int:
    one, places = _PLACES[unit]
    value = round(Decimal(mm / float(one.mm)), places).normalize()
    return int(value) if value == value.to_integral_value() else value
