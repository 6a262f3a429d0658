"""What stands on paper only where it is asked for, and what of it stands there all the same."""

from __future__ import annotations

import re
import shutil
from functools import cache
from pathlib import Path

import pytest
from msgspec.structs import replace

from setupsheets.commands.sheet import ALSO
from setupsheets.sheets.content.asked_for import with_asked
from setupsheets.sheets.pages.pages import to_html
from setupsheets.wording.asked_for import ASKED_FOR, Asked
from tests.running import run
from tests.sheets.sheet_plans import EXAMPLES, JOBS, content

TITLES = {
    Asked.BOARDS: "From boards ",
    Asked.FITS: "At worst: all of them at their limit",
    Asked.SEASONS: "What the seasons do.</h2>",
    Asked.STICKS: "End upright bar.</h2>",
}


def test_every_kind_is_told_and_can_be_asked_for() -> None:
    assert set(TITLES) == set(ASKED_FOR) == set(Asked) == set(map(Asked, ALSO))


@cache
def asking(*kinds: Asked) -> str:
    return to_html(with_asked(content("larder"), kinds))


@pytest.mark.parametrize("kind", Asked)
def test_a_kind_is_printed_where_it_is_asked_for_and_the_cover_says_so(kind: Asked) -> None:
    bare, asked, every = asking(), asking(kind), asking(*Asked)
    assert TITLES[kind] not in bare and TITLES[kind] in asked and TITLES[kind] in every
    assert ASKED_FOR[kind] in bare and ASKED_FOR[kind] not in asked
    assert "Not printed here" in asked and "Not printed here" not in every
    (command,) = re.findall(r"sheet --with ([a-z,]+)", bare)
    assert kind in command.split(",")


def test_what_a_job_has_not_is_neither_left_out_nor_left_empty() -> None:
    """The vestibule's door told without its seasons; every sheet has blocks that show something."""
    made = content("vestibule")
    pages = tuple(
        replace(page, blocks=tuple(each for each in page.blocks if each.name != "movement"))
        for page in made.parts.pages
    )
    without = replace(made, parts=replace(made.parts, pages=pages))
    for of, told in ((made, True), (without, False)):
        bare = with_asked(of, ())
        assert (ASKED_FOR[Asked.SEASONS] in bare.cover.left_out) is told
        assert all(page.blocks for page in bare.parts.pages)
        assert all(block.shows for block in bare.parts.blocks)
    pages = tuple(replace(page, blocks=tuple(each for each in page.blocks if not each.worked))
                  for page in made.parts.pages)  # fmt: skip
    assert with_asked(replace(made, parts=replace(made.parts, pages=pages)), ()).parts.pages == ()


@pytest.mark.parametrize("job", JOBS)
def test_no_warning_and_no_stick_with_a_mortise_is_left_out(job: str) -> None:
    whole, bare = content(job), with_asked(content(job), ())
    kept = {note for block in bare.parts.blocks for note in block.notes}
    assert kept == {note for block in whole.parts.blocks for note in block.notes}
    for block in whole.parts.blocks:
        marks = " ".join(cell for row in (block.table.rows if block.table else ()) for cell in row)
        if block.name.startswith("stick") and re.search("mortise|halving|lock|hinge", marks):
            assert bare.parts.block(block.name) == block
    assert bare.machines == whole.machines and bare.cover.cautions == whole.cover.cautions


def test_sheet_prints_what_with_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    larder = tmp_path / "larder"
    shutil.copytree(EXAMPLES / "larder", larder)
    monkeypatch.chdir(larder)

    def printed(*more: str) -> str:
        ran = run("sheet", "larder", "--to", "out", "--format", "html,md", *more)
        assert ran.code == 0, ran.err
        return (larder / "out" / "larder.html").read_text("utf-8")

    assert TITLES[Asked.SEASONS] not in printed()
    assert "## What the seasons do" in (larder / "out" / "larder.md").read_text("utf-8")
    assert TITLES[Asked.SEASONS] in printed("--with", "seasons,fits")
    every = printed("--with", "all")
    assert all(title in every for title in TITLES.values())
    wrong = run("sheet", "larder", "--with", "season")
    assert wrong.code == 2 and "found season" in " ".join(wrong.err.split())
