"""Every cut of two doors unlike the examples, drawn before it and after it, and read back.

Sizes are invented: a pair in inches and a single door in mm.
"""

from __future__ import annotations

import datetime
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from setupsheets.machining.findings import OperationFindings
from setupsheets.machining.plan import plan_of
from setupsheets.sheets.content.inputs import SheetInputs
from setupsheets.sheets.drawings.cut import cut_drawing
from setupsheets.sheets.drawings.scene_paper import Labels
from setupsheets.sheets.drawings.scenes import Scene, scene_of
from setupsheets.sheets.making import inputs_of
from setupsheets.shop.finding import Shop
from tests.doors import begun, door
from tests.sheets import other_door
from tests.sheets.drawn_lines import NEAR, Read, read_svg

METRIC = """
opening:
  width: 672
  height: 1574
  clearances: {top: 3, hinge: 2, lock: 4, bottom: 7}
  hinge: left
rails:
  - {name: top rail, section: ovolo-frame-metric, width: 70, haunch: 18}
  - {name: middle rail, section: ovolo-frame-metric, width: 125}
  - {name: bottom rail, section: ovolo-frame-metric, width: 180, haunch: 26, twin_gap: 32}
bars: {section: ovolo-bar-metric, through: upright}
joints: {rail_mortise: 45, bar_mortise: 21, bar_in_bar_mortise: 16, gap: 2}
panels: {thickness: 16, groove_width: 10, groove_depth: 11, clearance: 3, border: 45}
"""
METRIC_FIELDS = """
  - {fill: glass, rows: 3, columns: 2}
  - {fill: grooved panel, sight_height: 240}"""
SCALES = {
    "Three times full size": 3.0, "Twice full size": 2.0, "One and a half times full size": 1.5,
    "Full size": 1.0, "Three quarters of full size": 0.75, "Two thirds of full size": 2 / 3,
    "Half size": 0.5, "Two fifths of full size": 0.4, "A third of full size": 1 / 3,
    "A quarter of full size": 0.25, "A sixth of full size": 1 / 6, "An eighth of full size": 1 / 8,
    "A sixteenth of full size": 1 / 16, "A thirty-second of full size": 1 / 32,
}  # fmt: skip
"""What the line below a drawing calls its scale, and mm on the paper to one of wood."""


class Cut(NamedTuple):
    """One cut: what is known of it, its scene, its drawing and the line below that."""

    found: OperationFindings
    scene: Scene
    labels: Labels
    drawing: Read
    below: str

    @property
    def scale(self) -> float:
        """mm on the paper to one of wood, as the line below says."""
        return SCALES[self.below.partition(";")[0].partition(".")[0]]

    @property
    def pictures(self) -> list[BaseGeometry]:
        """The wood before the cut and after it, on the paper."""
        plain = [each for each in self.drawing.areas if each.fill == "#fff" and not each.weight]
        return [each.shape for each in plain if abs(each.shape.bounds[3] - self.table) < NEAR]

    @property
    def taken(self) -> BaseGeometry:
        (area,) = self.drawing.filled(f"url(#{self.drawing.name}-h)")
        return area

    @property
    def table(self) -> float:
        """Where the table's face lies on the paper."""
        return next(line.start[1] for line in self.drawing.lines if line.weight == 0.5)


def in_mm_and_inches() -> Iterator[SheetInputs]:
    """The plans of the doors that are unlike the examples."""
    for unit, fields, more in (
        ("in", other_door.FIELDS, other_door.DOOR),
        ("mm", METRIC_FIELDS, METRIC),
    ):
        with tempfile.TemporaryDirectory() as folder:
            job = door(begun(Path(folder), unit), unit, fields=fields, more=more)
            shop = Shop.open(job.parents[1])
            made = plan_of(shop.job("door"), shop)
            yield inputs_of(shop, made, {}, datetime.date(2024, 5, 6))


@cache
def cuts() -> tuple[Cut, ...]:
    """All of them, each with what it leaves beside it."""
    return tuple(cut for each in in_mm_and_inches() for cut in _drawn(each))


def _drawn(of: SheetInputs) -> Iterator[Cut]:
    labels = Labels("foot", "head", "near", "far", "fence", "cutter")
    for found in of.findings.operations:
        task = found.task
        if task.stage is None:
            continue
        scene = scene_of(task.stage, task.set_up.subject, of.notation, found.supports)
        if scene is not None:
            name = f"{of.notation.unit.value}-{task.number}"
            drawing, below = cut_drawing(name, name, scene, labels)
            yield Cut(found, scene, labels, read_svg(drawing.svg, name), below)
