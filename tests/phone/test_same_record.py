"""What a phone keeps is what `log` keeps at its prompts, to the byte but for names and moments.

The readings are invented; what they are held against is the other way of giving them.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.commands.conftest import EXAMPLES
from tests.phone.phones import DAY, Phone, set_up_path
from tests.running import run

CROSS_BAR = "cope-crosscut-saw/cross-bar-into-stile"
NAME = re.compile(r"\d{8}-\d{6}-\d{6}-[a-z0-9]+")


class Answer(NamedTuple):
    """One thing said at the bench: what is typed at the prompts, and what a thumb does."""

    typed: str
    thumb: Callable[[Phone], object]


def figure(text: str) -> Answer:
    return Answer(text, lambda phone: phone.press("Keep it, next line", typed=text))


def doubted(text: str) -> Answer:
    def thumb(phone: Phone) -> None:
        phone.press("Keep it, next line", typed=text)
        assert phone.status == 422 and "Is it right as typed?" in phone.words
        phone.press("It is right")

    return Answer(f"{text}\ny", thumb)


def pressed(typed: str, words: str, **fields: str) -> Answer:
    return Answer(typed, lambda phone: phone.press(words, **fields))


def done(did: str) -> Answer:
    fields = {"did": did}
    if "=" in did:
        cause, _, amount = did.partition("=")
        fields = {"did": "otherwise", f"move-{cause}": amount}
    return pressed(did, "Write that", **fields)


def dialled(cause: str, figure: str) -> Answer:
    """What is asked where something was moved far; nothing is pressed where it had been set so."""
    if not figure:
        return Answer("", lambda phone: None)
    return pressed(figure, "Write what it had been", **{f"dialled-{cause}": figure})


SLIP = pressed("strike", "Take back the last figure")
SKIP = pressed("", "Skip this line")
AGAIN = pressed("y", "Read that again")
NOT_AGAIN = NOT_PROVED = Answer("n", lambda phone: None)
NEXT = pressed("y", "Read a further test piece")
STOP = Answer("n", lambda phone: None)
NOT_YET = Answer("", lambda phone: None), STOP
WORK_OUT = Answer("", lambda phone: phone.press("What does it come to?"))
"""What a phone asks behind a skipped last line; the prompts go on by themselves."""


def proved(where: str) -> Answer:
    return pressed(f"y\n{where}", "Cut the parts so", kept=where)


def piece(*figures: str) -> list[Answer]:
    return [figure(text) for text in figures]


RIGHT = piece("15 1/8", "14 3/8", ".375", ".375", "14 1/4", ".375")
TWICE = piece("15 1/8", "14 3/8;14 3/8", ".375", ".375", "14 1/4;14 1/4", ".375")
LONG = piece("15 1/8", "14 1/2;14 1/2;14 1/2", ".375", ".375", "14 1/4", ".375")
ONCE_LONG = piece("15 1/8", "14 1/2", ".375", ".375", "14 1/4", ".375")

WAYS: dict[str, tuple[str, str, Sequence[Answer]]] = {
    "moved as advised": (
        *("larder", CROSS_BAR),
        [
            *(*LONG, done("advised"), dialled("back_cheek.stop", "")),
            *(NEXT, *TWICE, proved("on the nail")),
        ],
    ),
    "had been set wrong": (
        *("larder", CROSS_BAR),
        [*LONG, done("advised"), dialled("back_cheek.stop", "5/16"), STOP],
    ),
    "moved otherwise": ("larder", CROSS_BAR, [*LONG, done("back_cheek.stop=1/32"), STOP]),
    "read again": (
        *("larder", CROSS_BAR),
        [*ONCE_LONG, AGAIN, figure("14 3/8 full"), NOT_PROVED, STOP],
    ),
    "a slip, a doubt, a hair, a fit, a skipped line": (
        *("larder", CROSS_BAR),
        [
            *(figure("15 1/8 scant"), figure("14 5/8"), SLIP, figure("14 3/8")),
            *(doubted("4/11"), figure("fits"), SKIP, figure("9.5 mm")),
            *(NOT_AGAIN, STOP),
        ],
    ),
    "a skipped last line": (
        *("larder", "mortise-chisel/stile-for-cross-bar"),
        [*piece(".375", ".375"), SKIP, WORK_OUT, NOT_AGAIN, STOP],
    ),
    "a dry fit": (
        *("larder", "dry-fit"),
        [
            *(figure("45 15/64"), *10 * [SKIP], WORK_OUT),
            pressed("y", "It fits"),
        ],
    ),
    "in millimetres": (
        *("vestibule", "mortise-chisel/stile-for-bottom-rail"),
        [
            *(*piece("10.3;10.3;10.3", "12", "71"), done("advised"), STOP),
        ],
    ),
}


def test_a_piece_read_with_another_instrument(tmp_path: Path) -> None:
    terminal, shop = new_shops(tmp_path, "larder")
    found = [
        *("overall=15 1/8", "back_length=14 3/8", "tenon_thickness=.375", "face_to_tenon=.375"),
        *("face_length=14 1/4", "cope_depth=.375"),
    ]
    log(terminal, *(part for each in found for part in ("--found", each)), "--by", "caliper")
    phone = Phone(shop).open(set_up_path("larder", CROSS_BAR)).press("Read t")
    for each in found:
        phone.press("Keep it, next line", typed=each.partition("=")[2], by="caliper")
    assert "by: caliper" in kept(terminal)[1].partition("of: back_length")[0]
    assert kept(shop) == kept(terminal)


def test_a_dial_that_stood_otherwise_at_first(tmp_path: Path) -> None:
    terminal, shop = new_shops(tmp_path, "larder")
    by_prompts(
        terminal, "larder", CROSS_BAR, [*LONG, *NOT_YET], "--dialled", "back_cheek.stop=5/16"
    )
    phone = Phone(shop).open(set_up_path("larder", CROSS_BAR)).press("Read t")
    phone.press("Keep it, next line", **{"typed": "15 1/8", "dialled-back_cheek.stop": "5/x"})
    assert phone.status == 422 and not kept(shop)
    phone.press("Keep it, next line", **{"typed": "15 1/8", "dialled-back_cheek.stop": "5/16"})
    assert "stood at" not in phone.words, "it is said before anything is kept"
    for each in LONG[1:]:
        each.thumb(phone)
    assert "5/16" in kept(terminal)[0]
    assert kept(shop) == kept(terminal)


def test_a_set_up_given_up_and_another_begun(tmp_path: Path) -> None:
    terminal, shop = new_shops(tmp_path, "larder")
    by_prompts(terminal, "larder", CROSS_BAR, [*LONG, *NOT_YET])
    log(terminal, "--verdict", "given up")
    by_prompts(terminal, "larder", CROSS_BAR, [*RIGHT, NOT_PROVED, STOP])
    by_thumb(shop, "larder", CROSS_BAR, [*LONG, *NOT_YET])
    phone = Phone(shop).open(set_up_path("larder", CROSS_BAR))
    older = Phone(shop, phone.app).open(phone.path)
    phone.press("Give this set-up up")
    assert phone.status == 200 and "given up" in phone.words.lower()
    by_thumb(shop, "larder", CROSS_BAR, RIGHT)
    older.press("Give this set-up up")
    assert sum("verdict: given up" in text for text in kept(terminal)) == 1
    assert kept(shop) == kept(terminal), (
        "an older page gives up what it showed, not what came after"
    )


def test_a_record_begun_afresh_in_place_of_an_open_one(tmp_path: Path) -> None:
    terminal, shop = new_shops(tmp_path, "larder")
    by_prompts(terminal, "larder", CROSS_BAR, [*LONG, *NOT_YET])
    by_prompts(terminal, "larder", CROSS_BAR, [*RIGHT, NOT_PROVED, STOP], "--afresh")
    by_thumb(shop, "larder", CROSS_BAR, [*LONG, *NOT_YET])
    phone = Phone(shop).open(set_up_path("larder", CROSS_BAR)).press("Begin afresh")
    sent = phone.path
    for each in RIGHT:
        each.thumb(phone)
    assert "instead_of" in "".join(kept(terminal))
    assert kept(shop) == kept(terminal)
    phone.send(sent + "?line=0", {"typed": "15 1/8", "at": "0", "act": "keep"})
    assert kept(shop) == kept(terminal), "sent again it begins no third"


@pytest.mark.parametrize("way", WAYS)
def test_a_record_by_phone_is_the_record_by_terminal(tmp_path: Path, way: str) -> None:
    job, set_up, answers = WAYS[way]
    terminal, shop = new_shops(tmp_path, job)
    by_prompts(terminal, job, set_up, answers)
    by_thumb(shop, job, set_up, answers)
    assert len(kept(terminal)) > 1
    assert kept(shop) == kept(terminal)


def test_what_nobody_told_of_is_asked_for_in_the_same_way(tmp_path: Path) -> None:
    """A first piece a quarter long and no advice known; the second reads as if it was trimmed."""
    found = [
        *("overall=15 3/8", "back_length=14 5/8", "face_length=14 1/2"),
        "tenon_thickness=.376",
    ]
    shops = new_shops(tmp_path, "larder")
    options = [part for each in found for part in ("--found", each)]
    run("log", "larder", CROSS_BAR, "--shop", shops[0], "--date", f"{DAY}", *options)
    (entry,) = (shops[0] / "records").glob("*/*.yaml")
    entry.write_text(entry.read_text("utf-8").partition("advised:")[0], "utf-8")
    shutil.copytree(shops[0] / "records", shops[1] / "records", dirs_exist_ok=True)

    def thumb(phone: Phone) -> None:
        assert "as if blanks: length had been made 1/4 in shorter" in phone.words
        fields = {"did": "otherwise", "move-blank.length": "-1/4"}
        phone.press("What does it come to?", **fields)

    last = [figure("15 1/8"), *(5 * [SKIP]), Answer("blank.length=-1/4", thumb), NOT_AGAIN, STOP]
    by_prompts(shops[0], "larder", CROSS_BAR, last)
    by_thumb(shops[1], "larder", CROSS_BAR, last)
    assert len(kept(shops[1])) == 3
    assert kept(shops[1]) == kept(shops[0])


@pytest.mark.parametrize("said", ["nothing", ""])
def test_whether_dials_left_for_long_still_stand_is_asked_in_the_same_way(
    tmp_path: Path, said: str
) -> None:
    """A piece of November, the next one in March; an empty answer is that nobody knows."""
    shops = new_shops(tmp_path, "larder")
    log(shops[0], "--found", "back_length=14 3/8", "--date", "2020-11-02")
    shutil.copytree(shops[0] / "records", shops[1] / "records", dirs_exist_ok=True)
    asked = "Nothing was said of these dials since 2020-11-02: they may have been set again."

    phone = Phone(shops[1]).open(set_up_path("larder", CROSS_BAR))
    assert asked in phone.words
    phone.press("Say what was done first")
    assert asked in phone.words and "As advised" not in phone.words, "nothing was advised"
    if said:
        done(said).thumb(phone)
        assert phone.status == 200 and asked not in phone.words, "it is asked once"
    phone.press("Read a further" if said else "Nobody knows: read a further")
    for each in (*RIGHT, NOT_PROVED):
        each.thumb(phone)
        assert phone.status == 200, phone.words

    typed = "\n".join([said, *(each.typed for each in RIGHT), *"nnn", ""])
    ran = run("log", "larder", CROSS_BAR, "--shop", shops[0], "--date", f"{DAY}", typed=typed)
    assert ran.code == 0 and asked in ran.err
    assert len(kept(shops[0])) == (4 if said else 3)
    assert kept(shops[1]) == kept(shops[0])


def new_shops(tmp_path: Path, job: str) -> tuple[Path, Path]:
    shops = tmp_path / "terminal", tmp_path / "phone"
    for shop in shops:
        shutil.copytree(EXAMPLES / job, shop, ignore=shutil.ignore_patterns("records"))
        (shop / "records").mkdir()
    return shops


def log(shop: Path, *options: str) -> None:
    ran = run("log", "larder", CROSS_BAR, "--shop", shop, "--date", f"{DAY}", *options)
    assert ran.code == 0, ran.err


def by_prompts(shop: Path, job: str, set_up: str, answers: Sequence[Answer], *options: str) -> None:
    typed = "\n".join([*(each.typed for each in answers if each is not WORK_OUT), ""])
    ran = run("log", job, set_up, "--shop", shop, "--date", f"{DAY}", *options, typed=typed)
    assert ran.code == 0, ran.err


def by_thumb(shop: Path, job: str, set_up: str, answers: Sequence[Answer]) -> None:
    phone = Phone(shop).open(set_up_path(job, set_up)).press("Read t")
    for each in answers:
        each.thumb(phone)
        assert phone.status == 200, phone.words


def kept(shop: Path) -> list[str]:
    """The texts of heads and entries in the order of their moments, each name told by its place."""
    heads = sorted((shop / "records").glob("*.yaml"), key=begun)
    paths = sorted((shop / "records").glob("*/*.yaml"), key=lambda path: path.name)
    places = {path.stem: f"ACT {number}" for number, path in enumerate(paths, 1)}
    texts = [path.read_text("utf-8") for path in [*heads, *paths]]
    told = [NAME.sub(lambda found: places[found[0]], text) for text in texts]
    for number, head in enumerate(heads, 1):
        told = [text.replace(head.stem, f"HEAD {number}") for text in told]
    return [re.sub(r"\nbegun: .*", "\nbegun: THEN", text) for text in told]


def begun(head: Path) -> str:
    return head.read_text("utf-8").partition("\nbegun: ")[2]
