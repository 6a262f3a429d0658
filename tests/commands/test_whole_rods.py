"""The rods of one metric door, every line of them: plane arithmetic, beside its sizes."""

from __future__ import annotations

import re
from pathlib import Path

from tests.commands.test_a_whole_door import FIELDS, MORE
from tests.doors import begun, door
from tests.running import run


def written(rod: Path) -> tuple[dict[str, str], list[str]]:
    """What is written on a rod: figures with what stands there, and the lines below them."""
    words = re.findall(r"<text[^>]*>([^<]*)</text>", rod.read_text("utf-8"))
    marks = dict(word.split("  ", 1) for word in words if re.match(r"−?[\d.]+ mm  ", word))
    return marks, words[words.index("4 in") + 1 :]


def test_the_rods(tmp_path: Path) -> None:
    """As on the sticks: a tenon reaches 60 - 2, 30 - 2 or 15 - 2 past a sight edge, the shoulder at
    the back lies 12 and the one at the face 10 past it; to the nearest half millimetre."""
    job = door(begun(tmp_path, "mm"), "mm", fields=FIELDS, more=MORE)
    assert run("rod", job, "--to", tmp_path).code == 0
    up, below = written(tmp_path / "door-height-rod.svg")
    assert below == [
        "Another door: height rod",
        "All figures from the bottom of the leaf; the other edge is 2000 mm from it.",
        "Hatched: cut across. Dashed: mortises, tenons, haunches and halvings.",
        "Full size: lay a rule on the check scale first; 100 mm and 4 in must measure so.",
        "Paper moves with damp: where line and figure differ, the figure counts.",
    ]
    assert up == {
        "−30 mm": "end of horn, stile",
        "−7 mm": "edge of the opening",
        "0 mm": "outer edge, bottom rail; end, stile; mortise for the haunch of the bottom rail "
        "starts",
        "60 mm": "mortise for the bottom rail starts; mortise for the haunch of the bottom rail "
        "ends",
        "200 mm": "sight edge, bottom rail; mortise for the bottom rail ends",
        "800 mm": "sight edge, lock rail; mortise for the lock rail starts",
        "922 mm": "end of tenon, upright bar",
        "938 mm": "back shoulder, upright bar",
        "940 mm": "face shoulder, upright bar",
        "950 mm": "sight edge, lock rail; mortise for the lock rail ends",
        "1408 mm": "sight edge, cross bar; mortise for the cross bars starts",
        "1442 mm": "sight edge, cross bar; mortise for the cross bars ends",
        "1900 mm": "sight edge, top rail; mortise for the top rail starts",
        "1910 mm": "face shoulder, upright bar",
        "1912 mm": "back shoulder, upright bar",
        "1928 mm": "end of tenon, upright bar",
        "1970 mm": "mortise for the top rail ends; mortise for the haunch of the top rail starts",
        "2000 mm": "outer edge, top rail; end, stile; mortise for the haunch of the top rail ends",
        "2003 mm": "edge of the opening",
        "2030 mm": "end of horn, stile",
    }
    across, (title, datum, *_) = written(tmp_path / "door-width-rod-1.svg")
    assert title == "Another door: width rod, field 1 from the top"
    assert datum.startswith("All figures from the left edge of the leaf, seen from outside; the ")
    assert {figure: words for figure, words in across.items() if "cross bar" not in words} == {
        "−2 mm": "edge of the opening",
        "0 mm": "outer edge, stile",
        "42 mm": "end of tenon, rails",
        "100 mm": "sight edge, stile",
        "277.5 mm": "sight edge, upright bar; mortise for the upright bar starts",
        "311.5 mm": "sight edge, upright bar; mortise for the upright bar ends",
        "488.5 mm": "sight edge, upright bar; mortise for the upright bar starts",
        "522.5 mm": "sight edge, upright bar; mortise for the upright bar ends",
        "700 mm": "sight edge, stile",
        "758 mm": "end of tenon, rails",
        "800 mm": "outer edge, stile",
        "804 mm": "edge of the opening",
    }
    ends = {
        words: figure for figure, words in across.items() if words.startswith("end of tenon, m")
    }
    assert ends == {"end of tenon, middle cross bar": "501.5 mm"}  # the right end, the last one
    assert across["72 mm"] == across["728 mm"] == "end of tenon, end cross bar"


FITTED = """
count: 2
opening:
  width: 1010
  height: 1206
  pair: plain
  clearances: {top: 2, hinge: 2, bottom: 4, meeting: 1.5}
  fitting: 3
"""


def test_the_rods_of_a_pair_say_what_is_left_on_to_be_planed_off(tmp_path: Path) -> None:
    """1010 is 2 + 501.5 + 3 + 501.5 + 2; 1206 - 2 - 4 is 1200, and 3 are left on both ways."""
    job = door(begun(tmp_path, "mm"), "mm", more=FITTED)
    assert run("rod", job, "--to", tmp_path).code == 0
    pieces = (tmp_path / "door-templates-1.svg").read_text("utf-8")
    assert ">Another door: sections, copes and mouldings to lay on a test piece<" in pieces
    across, up = (
        written(next(tmp_path.glob(f"door-{way}-rod*.svg")))[1][1:] for way in ("width", "height")
    )
    assert across[1:3] == [
        "The opening is 1010 mm wide: gap 2 mm, leaf 501.5 mm, gap 3 mm, leaf 501.5 mm, gap 2 mm.",
        "Each leaf is made 3 mm wider; its meeting edge is drawn as fitted.",
    ]
    assert up[:3] == [
        "All figures from the bottom of the leaf; the other edge is 1203 mm from it.",
        "3 mm of that is left on, to be planed off as it is fitted.",
        "Both leaves are alike in height: this one rod is for both.",
    ]
