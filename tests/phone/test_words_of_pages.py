"""What the pages say, read as a maker reads them: nothing of paper or of a command line, and of a
dry fit nothing of test pieces.

Figures come from the example jobs, readings are invented.
"""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest

from setupsheets.phone.server import bench_app
from setupsheets.wording.phone import on_phone
from tests.commands.test_bench import found
from tests.phone.phones import DAY, HOST, TOKEN, Phone, set_up_path
from tests.phone.test_pages import HERE, KEEP, RIGHT, acts, log, read
from tests.running import run

STICKING = set_up_path("larder", "sticking-router-table")


def typed_at_a_terminal(phone: Phone) -> list[str]:
    """Words of a page that only a terminal takes."""
    return re.findall(r"setupsheets \w+|--\w+", phone.words)


@pytest.mark.parametrize("set_up", ["hanging", "glazing", "glue-up"])
def test_what_has_its_boxes_on_paper_is_not_read_on_a_phone(larder: Path, set_up: str) -> None:
    """As `log` refuses it."""
    ran = run("log", "larder", set_up, *found(length="1"))
    assert ran.code == 2 and "nothing is logged" in ran.err
    here = set_up_path("larder", set_up)
    phone = Phone(larder).open(here)
    assert phone.status == 200 and "Bench" in phone.words
    assert "Test pieces to get out" not in phone.words and "Read the" not in phone.words
    phone.open(f"{here}/piece/phone0123456789abcdef")
    assert phone.status == 404 and not acts(larder)


def test_a_dry_fit_is_no_test_piece(larder: Path) -> None:
    phone = Phone(larder).open(set_up_path("larder", "dry-fit"))
    said = [phone.words]
    phone.press("Read the dry fit")
    said.append(phone.words)
    phone.press(KEEP, typed="45 15/64")
    said.append(Phone(larder, phone.app).open(set_up_path("larder", "dry-fit")).words)
    while "Skip this line" in phone.words:
        phone.press("Skip this line")
    phone.press("What does it come to?")
    said.append(phone.words)
    assert "1 dry fit read" in phone.words and "Read a further dry fit" in phone.words
    said.append(phone.open(set_up_path("larder", "dry-fit")).words)
    assert "What the dry fit comes to" in phone.words
    said.append(phone.press("What the dry fit").press("It fits").words)
    route = phone.open(f"/{TOKEN}/larder").words
    assert "test piece so far" not in route and "proved with" not in route and "✓" in route
    told = [each for each in said if re.search("test pieces?(?! Diag| Width| Height)", each, re.I)]
    assert not told


def test_only_what_can_be_ticked_has_a_box(larder: Path) -> None:
    phone = Phone(larder).open(f"/{TOKEN}/larder")
    steps = re.findall(r'<a class="step" href="[^"]+">(.*?)</a>', phone.html, re.S)
    assert {"tick" in each for each in steps if "Cut rough to length" in each} == {False}
    assert {"tick" in each for each in steps if "Cope the face" in each} == {True}


def test_no_page_speaks_of_the_boxes_of_paper(larder: Path) -> None:
    words = Phone(larder).open(HERE).words
    assert "both of a test piece are cut alike, and its figures are for that" in words


def test_a_record_left_for_long_is_begun_anew_by_a_button(larder: Path) -> None:
    log(*found(overall="15 1/8", back_length="14 3/8"))
    later = bench_app(larder, TOKEN, [HOST], lambda: DAY + datetime.timedelta(days=92))
    phone = Phone(larder, later).open(HERE)
    assert "set anew to other figures, begin another: by its button below." in phone.words
    assert "Begin afresh: read a first test piece" in phone.words
    assert typed_at_a_terminal(phone) == []


def test_what_is_out_of_reach_is_begun_afresh_by_a_button(larder: Path) -> None:
    for place, depth in enumerate((".362", ".388", ".361", ".389", ".360")):
        more = ("--did", "nothing") if place else ()
        said = found(sticking_width=".375", sticking_depth=depth)
        ran = run("log", "larder", "sticking", *said, *more, "--date", f"{DAY}", "--sure")
        assert ran.code == 0, ran.err
    assert "begin its record afresh: setupsheets log" in ran.out
    phone = Phone(larder).open(f"{STICKING}/answer")
    assert "Out of reach" in phone.words
    assert "begin its record afresh: by its button below." in phone.words
    assert "That is cured: begin afresh" in phone.words
    assert typed_at_a_terminal(phone) == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "To make one record of them: setupsheets log my job cope/bar --join.",
            "To make one record of them: by its button below.",
        ),
        (
            "to go on with that one, setupsheets log old cope/bar. This begins a record of its own",
            "to go on with that one, open it in the job old. This begins a record of its own",
        ),
        (
            "with one of that name setupsheets log old cope/bar goes on with it. This begins",
            "with one of that name this goes on with it. This begins",
        ),
        (
            "That does not count: give --verdict on all of them.",
            "That does not count: call it proved or give it up anew by all of them.",
        ),
        ("Cut the parts - all - so.", "Cut the parts - all - so."),
    ],
)
def test_a_command_becomes_its_button(typed: str, said: str) -> None:
    assert on_phone(typed) == said


def test_what_to_do_comes_before_where_the_dials_stand(larder: Path) -> None:
    phone = read(Phone(larder), *RIGHT)
    words = phone.words
    assert words.index("Next:") < words.index("The dials stand at:")


def test_what_looks_like_a_slip_is_kept_by_a_button_that_says_it(larder: Path) -> None:
    """The fields below may have been put right by then: the button keeps what it says."""
    phone = Phone(larder).open(HERE).press("Read test piece")
    phone.press(KEEP, whole="51", over="3", under="8", hair="full")
    assert "It is right: keep 51 3/8 full" in phone.words
    phone.press(KEEP, whole="15", over="1", under="8", hair="")
    assert "Line 2 of 6" in phone.words and "15 1/8 in" in phone.words


def test_what_is_not_there_leads_home(larder: Path) -> None:
    """A code on paper of a job that has another name by now, a set-up that it lost."""
    for path in (f"/{TOKEN}/gone", f"/{TOKEN}/larder/gone", f"{HERE}/elsewhere/phone0123"):
        phone = Phone(larder).open(path)
        assert phone.status == 404 and "Nothing is here" in phone.words, path
        assert phone.press("To the jobs").status == 200 and "Larder cupboard doors" in phone.words
