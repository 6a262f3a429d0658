"""What JSON tells of unlike doors, against a maker's arithmetic done anew from the job's sizes.

Sizes are invented. The arithmetic is plane geometry: lights are equal between rebates, where bars
take their tongues away; sections are the shipped ones, frame and bar.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from setupsheets.json_forms.json_values import value
from tests.doors import REBATED_PAIR, begun, door
from tests.joinery.designs import SIXTY_FOURTHS
from tests.running import run

F = Fraction
MM_PER = {"in": F("25.4"), "mm": F(1)}  # by definition (international yard, 1959)
INCH = {
    "wide": F(16), "high": F(32), "stile": F(5, 2), "rail": F(3), "horn": F(1), "deep": F(3, 2),
    "bar_deep": F(1), "in_bar": F(17, 32), "gap": F(1, 16), "clearance": F(1, 16),
    "sticking": F(3, 8), "rebate": F(7, 16), "bar": F(9, 8), "tongue": F(1, 4),
}  # fmt: skip
METRIC = {
    "wide": F(420), "high": F(820), "stile": F(65), "rail": F(80), "horn": F(25), "deep": F(40),
    "bar_deep": F(25), "in_bar": F(15), "gap": F(2), "clearance": F(2),
    "sticking": F(10), "rebate": F(12), "bar": F(34), "tongue": F(10),
}  # fmt: skip
BARS_IN = """
bars: {section: ovolo-bar-inch, through: cross}
joints: {rail_mortise: 1 1/2, bar_mortise: 1, bar_in_bar_mortise: 17/32, gap: 1/16}
"""
BARS_MM = """
bars: {section: ovolo-bar-metric, through: cross}
joints: {rail_mortise: 40, bar_mortise: 25, bar_in_bar_mortise: 15, gap: 2}
"""
PANEL = "panels: {thickness: 20, groove_width: 12, groove_depth: 13, clearance: 3, border: 45}\n"
TWO_BY = "[{fill: glass, rows: 2, columns: %d}]"
LEAF = (48 - 2 * (F(3, 32) + F(5, 64)) + F(3, 8)) / 2, 72 - F(1, 8) - F(3, 8)
DOORS: dict[str, tuple[str, str, str, dict[str, F], int, int, int]] = {
    "inch": ("in", TWO_BY % 3, BARS_IN, INCH, 1, 2, 3),
    "metric": ("mm", TWO_BY % 2, BARS_MM, METRIC, 1, 2, 2),
    "pair": (
        "in",
        TWO_BY % 2,
        REBATED_PAIR + BARS_IN,
        INCH | {"wide": LEAF[0], "high": LEAF[1]},
        2,
        2,
        2,
    ),
    "panel": ("mm", "[{fill: grooved panel}]", PANEL, METRIC | {"groove": F(13)}, 1, 1, 1),
}
"""Unit, fields, more of the job, its sizes by hand, and how many: leaves, rows, columns."""


def told(size: Fraction, unit: str) -> dict[str, str]:
    """A length: exact in mm, and in words: the nearest 1/64 in with what is over or short of it to
    a thousandth, or hundredths of a mm."""
    exact = str(size * MM_PER[unit])
    if unit == "mm":
        return {"mm": exact, "words": f"{round(float(size), 2):g} mm"}
    mark = F(round(size * 64), 64)
    figures = [str(each) for each in divmod(mark, 1) if each] or ["0"]
    hair = f"{abs(float(size - mark)):.3f}"[1:]
    more = f" {'full' if size > mark else 'scant'} by {hair} in" if hair != ".000" else ""
    return {"mm": exact, "words": f"{' '.join(figures)} in{more}"}


@pytest.mark.parametrize("name", DOORS)
def test_parts_panes_beads_and_mortises_are_as_reckoned(name: str, tmp_path: Path) -> None:
    unit, fields, more, size, leaves, rows, columns = DOORS[name]
    ran = run("parts", door(begun(tmp_path, unit), unit, fields=fields, more=more), "--json")
    assert ran.code == 0, ran.err
    found: dict[str, Any] = json.loads(ran.out)
    groove = size.get("groove", F(0))
    into = groove or size["rebate"]
    sight = size["wide"] - 2 * size["stile"], size["high"] - 2 * size["rail"]
    light = [
        (each + 2 * into - (count - 1) * size["tongue"]) / count
        for each, count in zip(sight, (columns, rows), strict=True)
    ]

    def between(count: int, across: Fraction, *depths: Fraction) -> tuple[int, list[Any]]:
        back = across + (0 if groove else 2 * into)  # nothing is rebated where a panel is grooved
        over = across + sum(depths) - 2 * size["gap"]
        lengths = across, across + 2 * size["sticking"], back, over
        return leaves * count, [told(each, unit) for each in lengths]

    long = told(size["high"] + 2 * size["horn"], unit)
    rail = between(1, sight[0], size["deep"], size["deep"])
    made = {
        "stile": (2 * leaves, [told(F(0), unit), long, long, long]),
        "top rail": rail,
        "bottom rail": rail,
    }
    if rows > 1:
        made["cross bar"] = between(1, sight[0], size["bar_deep"], size["bar_deep"])
        ends = size["bar_deep"], size["in_bar"]
        upright = light[1] - 2 * size["rebate"]
        made["upright bar"] = between(2 * (columns - 1), upright, *ends)
    keys = ("sight", "face", "back", "overall")
    assert made == {p["name"]: (p["count"], [p[key] for key in keys]) for p in found["parts"]}
    clear = F(3) if groove else size["clearance"]
    (pane,) = found["panes"]
    for at, key in enumerate(("width", "height")):
        assert pane[f"opening_{key}"] == told(light[at], unit)
        assert pane[key] == told(light[at] - 2 * clear, unit)
        assert found["leaf"][key] == told(size["wide" if key == "width" else "high"], unit)
    panes = leaves * rows * columns
    assert pane["count"] == panes == sum(each["count"] for each in found["glass_and_panels"])
    beads = [] if groove else [(2 * panes, told(each, unit)) for each in light]
    assert beads == [(each["count"], each["length"]) for each in found["beads"]]
    middle = [told(size["high"] / 2, unit)] if rows > 1 else []  # two rows: half way up
    chopped = [each for each in found["mortises"] if each["part"] == "stile"]
    assert middle == [each["centre"] for each in chopped if each["holds"] == "cross bar"]
    assert all(number == round(number, 6) for number in numbers(found))


def numbers(document: Any) -> Iterator[float]:
    if isinstance(document, dict | list):
        for each in document.values() if isinstance(document, dict) else document:
            yield from numbers(each)
    elif isinstance(document, float):
        yield document


def test_a_class_that_no_table_names_does_not_show_itself() -> None:
    with pytest.raises(TypeError, match="nothing of object is told"):
        value(object(), SIXTY_FOURTHS)
