"""A door unlike the examples as it is drawn, told and printed, made once for those who read it.

Inches; two leaves of six lights over a grooved panel, three rails, a lock, three hinges, boards and
seasons. Invented.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from tests.doors import begun, door
from tests.running import run
from tests.sheets.drawn_lines import Read, read

DOOR = """
opening:
  width: 26 5/8
  height: 61 13/16
  clearances: {top: 1/8, hinge: 1/16, lock: 3/16, bottom: 1/4}
  hinge: right
  lock_bevel: 3
count: 2
hinges: {length: 3 1/2, closed: 1/8, count: 3, from_top: 7, from_bottom: 11}
rails:
  - {name: top rail, section: ovolo-frame-inch, width: 3, haunch: 3/4}
  - {name: lock rail, section: ovolo-frame-inch, width: 5 1/2}
  - {name: bottom rail, section: ovolo-frame-inch, width: 7 1/4, haunch: 1, twin_gap: 1 1/4}
bars: {section: ovolo-bar-inch, through: upright}
joints: {rail_mortise: 1 3/4, bar_mortise: 3/4, bar_in_bar_mortise: 17/32, gap: 1/16}
panels: {thickness: 5/8, groove_width: 3/8, groove_depth: 7/16, clearance: 1/8, border: 1 3/4}
lock: {above: 34 1/2, height: 6, depth: 1 1/4, thickness: 5/8}
stock: {lengths: [96, 144], kerf: 1/8, trim: 2}
seasons:
  made: {celsius: 20, humidity: 45}
  dry: {celsius: 21, humidity: 35}
  damp: {celsius: 20, humidity: 65}
"""
FIELDS = """
  - {fill: glass, rows: 2, columns: 3}
  - {fill: grooved panel, sight_height: 9 7/16}"""


class Made(NamedTuple):
    """The door's drawings by name, and all its sheets as Markdown and as a page."""

    drawn: Mapping[str, Read]
    sheet: str
    page: str

    def of(self, kind: str) -> list[Read]:
        """The drawings of a kind, at the least one."""
        found = [each for name, each in self.drawn.items() if name.startswith(kind)]
        assert found, kind
        return found


@cache
def made() -> Made:
    """What `sheet` makes of it."""
    with tempfile.TemporaryDirectory() as folder:
        shop = begun(Path(folder), "in")
        job, out = door(shop, "in", fields=FIELDS, more=DOOR), shop / "out"
        asked = ("--format", "md,html", "--with", "all", "--date", "2024-05-06")
        ran = run("sheet", job, "--to", out, *asked)
        assert ran.code == 0, ran.err
        drawn = {path.stem: read(path) for path in sorted((out / "drawings").glob("*.svg"))}
        texts = ((out / f"door.{form}").read_text("utf-8") for form in ("md", "html"))
        return Made(drawn, *texts)
