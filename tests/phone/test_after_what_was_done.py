"""Between what was done about an advice and the next test piece nothing else is advised: what is
not kept as advised would be asked about by nobody, and the dials would stand elsewhere than told.

Figures come from the larder job, readings are invented.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

from tests.commands.test_bench import CROSS_BAR, found
from tests.phone.phones import DAY, Phone, set_up_path
from tests.phone.test_pages import HERE, KEEP, acts, read
from tests.running import run

LONG = ("15 3/8", "14 5/8", ".376", ".374", "14 7/16", ".376")
MORTISE = "mortise-chisel/stile-for-cross-bar"


def large(phone: Phone) -> str:
    """What stands in large type: what a hand acts on."""
    told = "".join(re.findall(r'<section class="large">.*?</section>', phone.html, re.S))
    return " ".join(re.sub(r"<[^>]+>", " ", told).split())


def test_what_is_done_as_advised_is_not_followed_by_a_further_move(larder: Path) -> None:
    """A quarter too long: trim, and a fence by shims. Both done, another piece is what is next."""
    phone = read(Phone(larder), *LONG)
    assert "trim the blanks already cut by 1/4 in" in large(phone)
    phone.press("Write that", did="advised")
    assert "shim" not in large(phone) and "trim" not in large(phone)
    assert "Cut another test piece: as it stands" in large(phone)
    assert "Leave alone: " not in large(phone), "what to do next is read first"
    assert "leave alone: back cheek: stop, back cheek: height" in phone.words
    assert len(acts(larder)) == 2 and "advice:" not in acts(larder)[1].read_text("utf-8")


def test_log_says_the_same(larder: Path) -> None:
    read(Phone(larder), *LONG)
    ran = run("log", "larder", CROSS_BAR, "--did", "advised", "--date", f"{DAY}")
    assert ran.code == 0, ran.err
    assert "shim" not in ran.out and "trim" not in ran.out
    assert "Cut another test piece: as it stands" in ran.out
    assert "advice:" not in acts(larder)[1].read_text("utf-8")
    next_piece = run(
        "log", "larder", CROSS_BAR, *found(overall="15 1/8"), "--next", "--date", f"{DAY}"
    )
    assert next_piece.code == 0, "nothing waits to be answered"


def test_what_was_done_otherwise_is_followed_by_the_next_piece(larder: Path) -> None:
    phone = read(Phone(larder), *LONG)
    phone.press("Write that", did="nothing")
    assert "shim" not in large(phone) and "trim" not in large(phone)
    assert "Cut the next test piece so, and read it" in large(phone)
    assert "What to expect of the parts then" not in phone.words
    read_next = re.search(r'class="([^"]+)"[^>]*>Read a further test piece', phone.html)
    assert read_next and read_next[1] == "button", "it is the one to press"


def test_log_says_the_same_of_what_was_done_otherwise(larder: Path) -> None:
    """No move is told again that nobody keeps; the advice can be taken up until a piece is cut."""
    read(Phone(larder), *LONG)
    day = ("--date", f"{DAY}")
    ran = run("log", "larder", CROSS_BAR, "--did", "nothing", *day)
    assert ran.code == 0, ran.err
    assert "trim" not in ran.out and "shim" not in ran.out and "What to expect" not in ran.out
    assert "What explains it:" in ran.out and "Cut the next test piece so, and read it" in ran.out
    told = json.loads(run("log", "larder", CROSS_BAR, "--did", "nothing", *day, "--json").out)
    answer = told["answer"]
    assert (answer["verdict"], answer["moves"]) == ("another test piece", [])
    assert answer["right_after_moves"] == answer["right_as_it_stands"] < 0.5
    taken = run("log", "larder", CROSS_BAR, "--did", "advised", *day)
    assert taken.code == 0, "what was advised is not done yet"
    assert "Cut another test piece: as it stands" in taken.out
    again = run("log", "larder", CROSS_BAR, "--did", "advised", *day)
    assert again.code == 2 and "waits to be done" in " ".join(again.err.split())
    moved = [line for act in acts(larder) for line in act.read_text("utf-8").splitlines()]
    assert len([line for line in moved if line.startswith("  blank.length: -")]) == 2, "as advised"


def test_what_was_moved_after_all_can_be_said_before_the_next_piece(larder: Path) -> None:
    phone = read(Phone(larder), *LONG)
    phone.press("Write that", did="nothing")
    phone.press("Write what was moved", **{"move-cope.fence": "-1/64"})
    assert phone.status == 200 and "cope: fence 51/64 in" in phone.words
    phone.press("Write what was moved")
    assert phone.status == 422 and "Say what was done" in phone.words
    phone.open(HERE).press("Read test piece 2").press(KEEP, typed="15 1/8")
    assert "did:" in acts(larder)[2].read_text("utf-8")


def test_parts_are_called_proved_once_it_is_said_that_the_move_was_made(larder: Path) -> None:
    """Cut the parts once the fence is moved: no move is left behind by the word proved."""
    here = set_up_path("larder", MORTISE)
    phone = Phone(larder).open(here).press("Read test piece")
    for figure in (".362", ".375", ".875"):
        phone.press(KEEP, typed=figure)
    assert "Cut the parts: 93 %" in large(phone)
    assert "call it proved" not in phone.words, "the fence has not been moved yet"
    phone.press("Write that", did="advised")
    assert "Cut the parts: 93 %" in large(phone) and "shim" not in large(phone)
    phone.press("Cut the parts so", kept="peg 4")
    assert "PROVED" in phone.words
