"""A kind of machine that is no row of another: its sheet from a new shop, in both units."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from setupsheets.files.places import data_folder
from tests.doors import begun
from tests.running import run

RECIPES = ("rebate-spindle-moulder", "sticking-spindle-moulder")


def sheet(under: Path, unit: str, leaf: str) -> str:
    """What the spindle moulder's sheet says in a new shop that works with it by choice."""
    folder = begun(under, unit)
    shop, job = folder / "shop.yaml", folder / "jobs" / "first-door.yaml"
    text = re.sub(r"(rebate|sticking): \1-.*", r"\1: \1-spindle-moulder", shop.read_text())
    shop.write_text(text)
    job.write_text(re.sub(r"(?m)^leaf: .*$", f"leaf: {leaf}", job.read_text()))
    made = run("sheet", job, "--format", "md", "--to", folder / "out")
    assert made.code == 0, made.err
    whole = (folder / "out" / "first-door.md").read_text()
    (found,) = re.findall(r"(?s)\n(# Spindle moulder\n.*?)(?=\n# |\Z)", whole)
    return str(found)


@pytest.mark.parametrize(
    ("unit", "leaf"), [("in", "{width: 18, height: 32}"), ("mm", "{width: 460, height: 800}")]
)
def test_its_sheet_says_block_passes_and_speed(tmp_path: Path, unit: str, leaf: str) -> None:
    said = sheet(tmp_path, unit, leaf)
    pictures = re.findall(r"drawings/(operation-[0-9]+)\.svg", said)
    drawn = [tmp_path / f"shop-{unit}" / "out" / "drawings" / f"{name}.svg" for name in pictures]
    assert [path.read_text().count(">cutter block<") for path in drawn] == [1, 1]
    assert not re.search(r"\bbits?\b", said)
    passes = re.findall(r"\*\*Passes\*\* ([0-9]+): (height|fence) ", said)
    assert [name for _, name in passes] == ["height", "fence"]
    assert all(int(count) > 1 for count, _ in passes)
    assert said.count("7500 rpm, rim ") == said.count("the maker's limit") == 1  # of both
    assert "unsteady" not in said
    assert said.count("length to hold it by") == 0


@pytest.mark.parametrize(
    ("unit", "leaf", "short"),
    [
        ("in", "{width: 16, height: 9 1/2}", True),
        ("in", "{width: 16, height: 10}", False),
        ("mm", "{width: 400, height: 240}", True),
        ("mm", "{width: 400, height: 260}", False),
    ],
)
def test_parts_too_short_for_it_are_moulded_in_a_longer_piece(
    tmp_path: Path, unit: str, leaf: str, short: bool
) -> None:
    """Stiles with a horn of 1 in, 25 mm, at each end: 12 in (300 mm) is long enough, and an inch
    (25 mm) is left to saw off, in half inches or centimetres. Common practice, no source."""
    said = sheet(tmp_path, unit, leaf)
    assert ("**Lengths** stile: cut to its own length at operation" in said) is short
    assert (re.search(r"2 × stile left (?:12 1/2 in|320 mm) long", said) is not None) is short
    assert "Too short to run past a block by hand." not in said


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_its_recipes_prove_as_a_shops_own(tmp_path: Path, unit: str) -> None:
    folder = begun(tmp_path, unit)
    (folder / "recipes").mkdir()
    for name in RECIPES:
        shutil.copy(data_folder("profiles") / "recipes" / f"{name}.yaml", folder / "recipes")
    checked = run("check", *sorted((folder / "recipes").glob("*.yaml")))
    assert checked.code == 0, checked.err
    assert checked.out.count("on paper as designed") == len(RECIPES)
