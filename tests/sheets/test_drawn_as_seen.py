"""Drawings of one door that were looked at: none of them changes without being looked at anew.

Three gates of 430 by 820 mm (stiles and top rail 65, bottom rail 80, one bar of 34; 44 mm thick,
moulding 10, rebate 12 by 22, tenon 12 mm): one drawing of each kind was held against its figures
and looked at as a picture: everything to scale, each figure at what it measures, no word on a line
or on another, faces and edges where they lie. Where one is drawn otherwise, the new one lies where
the test says: look at it, and if it is better put it in the place of the old one.
"""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest

from tests.doors import begun
from tests.running import run

SEEN = sorted((Path(__file__).parent / "drawn").glob("*.svg"))


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    shop = begun(tmp_path_factory.mktemp("gates"), "mm")
    gate = ("--like", "first-door", "--yes", "--with", "leaf.width=430", "--with", "count=3")
    assert run("begin", "--job", "gate", *gate, "--with", "title=Gates", "--shop", shop).code == 0
    made = run("sheet", shop / "jobs" / "gate.yaml", "--to", shop / "out", "--date", "2024-05-06")
    assert made.code == 0, made.err
    assert run("rod", shop / "jobs" / "gate.yaml", "--to", shop / "out" / "drawings").code == 0
    return shop / "out" / "drawings"


def test_there_is_one_of_each_kind() -> None:
    kinds = ("door", "gate-templates", "measure", "operation", "section", "stick")
    assert all(any(path.stem.startswith(kind) for path in SEEN) for kind in kinds)


def test_each_is_drawn_as_it_was_seen(drawn: Path) -> None:
    for seen in SEEN:
        new = (drawn / seen.name).read_text("utf-8").replace("><", ">\n<")  # a line each
        assert new.splitlines() == seen.read_text("utf-8").splitlines(), drawn / seen.name


def test_no_level_word_runs_off_its_drawing(drawn: Path) -> None:
    for path in drawn.glob("*.svg"):
        svg = path.read_text("utf-8")
        drawing, moved = fromstring(svg), re.search(r"<g transform=\"translate\((\S+) ", svg)
        wide = float(drawing.attrib["viewBox"].split()[2])
        for word in drawing.iter("{http://www.w3.org/2000/svg}text"):
            if "transform" not in word.attrib:
                reach = float(word.attrib["textLength"])
                before = {"start": 0.0, "middle": reach / 2, "end": reach}
                begin = float(word.attrib["x"]) - before[word.attrib["text-anchor"]]
                begin += float(moved[1]) if moved else 0.0
                assert -0.1 < begin < wide - reach + 0.1, (path.name, word.text)
