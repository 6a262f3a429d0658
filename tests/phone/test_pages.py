"""Every page of the phone and every refusal: what stands there, and what is written.

Figures come from the larder job, readings are invented; what a page says of a set-up is held
against the sheet that is printed for it.
"""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from setupsheets.phone import shop_at_hand
from setupsheets.records.shop_records import ShopRecords
from tests.commands.test_bench import CROSS_BAR, found
from tests.commands.test_bench import RIGHT as LINES
from tests.phone.phones import DAY, TOKEN, Phone, set_up_path
from tests.running import run

HERE = set_up_path("larder", CROSS_BAR)
KEEP = "Keep it, next line"
RIGHT = ("15 1/8", "14 3/8", ".375", ".375", "14 1/4", ".375")
LONG = ("15 1/8", "14 1/2;14 1/2;14 1/2", ".375", ".375", "14 1/4", ".375")


def acts(shop: Path) -> list[Path]:
    return sorted((shop / "records").glob("*/*.yaml"), key=lambda path: path.name)


def read(phone: Phone, *figures: str) -> Phone:
    phone.open(HERE).press("Read test piece")
    for figure in figures:
        phone.press(KEEP, typed=figure)
    return phone


def log(*options: str) -> str:
    ran = run("log", "larder", CROSS_BAR, *options, "--date", f"{DAY}")
    assert ran.code == 0, ran.err
    return ran.out


# -------------------------------------------------------------------------------- jobs and route


def test_the_jobs_lead_to_their_routes_and_one_with_a_fault_is_told(larder: Path) -> None:
    (larder / "jobs" / "broken.yaml").write_text("kind: job\nversion: 1\n", "utf-8")
    phone = Phone(larder).open(f"/{TOKEN}/")
    assert "broken : its file has a fault" in phone.words
    phone.press("Larder cupboard doors")
    assert phone.status == 200 and phone.path.endswith("/larder")
    phone.open(f"/{TOKEN}/broken")
    assert phone.status == 500 and "jobs/broken.yaml:1:1" in phone.words
    assert str(larder) not in phone.html, "where the shop lies is nobody's business"


def test_the_route_has_every_operation_and_ticks_what_is_proved(larder: Path) -> None:
    phone = Phone(larder).open(f"/{TOKEN}/larder")
    run("sheet", "larder", "--to", larder / "out", "--format", "html", "--shop", larder)
    printed = (larder / "out" / "larder.html").read_text("utf-8")
    numbers = set(re.findall(r"<b>(\d+)</b> ", phone.html))
    assert numbers == set(map(str, range(1, len(numbers) + 1)))
    assert numbers == set(re.findall(r' id="o(\d+)"', printed)), "each has its place on the sheet"
    assert "✓" not in phone.words
    read(phone, *RIGHT).press("Cut the parts so", kept="peg 4")
    phone.open(f"/{TOKEN}/larder")
    steps = re.findall(
        r'href="([^"]+)"><span class="tick" aria-hidden="true">(✓?)</span>', phone.html
    )
    assert {path for path, tick in steps if tick} == {HERE}
    assert phone.words.count("✓") == 3, "back cheek, face cheek and cope are one set-up"
    assert "proved with 1 test piece" in phone.words


def test_a_set_up_says_what_its_sheet_says(larder: Path) -> None:
    """Figures to set, what lies down and against what, targets and cautions, operation by
    operation, in the words of the paper."""
    phone = Phone(larder).open(HERE)
    run("sheet", "larder", "--to", larder / "out", "--format", "md", "--shop", larder)
    printed = " ".join((larder / "out" / "larder.md").read_text("utf-8").split())
    said = re.sub(r"\\(.)", r"\1", printed)
    figures = re.findall(r'class="figure">([^<]+)<', phone.html)
    assert len(figures) == 6
    facts = re.findall(r"<dt>([^<]+)</dt> <dd>([^<]+)</dd>", phone.html)
    assert {"Down", "Against", "Do", "Feed", "Test piece"} <= {label for label, _ in facts}
    for _, words in facts:
        assert unescape(words).replace("\u00a0", " ").partition(",")[0] in said, words
    cautions = re.findall(r"<b>Caution</b> ([^<]+?) ?<", phone.html)
    assert len(cautions) > 10 and len(set(cautions)) == len(cautions), "each is said once"
    for words in cautions:
        assert unescape(words).replace("\u00a0", " ") in said
    before = phone.html.index("Caution"), phone.html.index("SET TO")
    assert before[0] < before[1], "cautions of the machine first"
    assert "Switch the machine off" in phone.words


def test_work_without_a_reading_has_a_page_and_no_way_to_read(larder: Path) -> None:
    phone = Phone(larder).open(f"/{TOKEN}/larder")
    paths = dict.fromkeys(re.findall(rf'href="(/{TOKEN}/larder/[^"]+)"', phone.html))
    assert len(paths) > 25
    unread = []
    for path in paths:
        phone.open(path)
        assert phone.status == 200, path
        unread += [path] if "Read t" not in phone.words else []
    assert 5 < len(unread) < len(paths) - 10


# ------------------------------------------------------------------------------------- the piece


def test_a_figure_is_put_together_from_the_keypad(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece")
    phone.press(KEEP, whole="15", over="1", under="8", hair="scant")
    phone.press(KEEP, whole="14", hair="", over="3", under="8")
    phone.press(KEEP, over="24", under="64", hair="full")
    (act,) = acts(larder)
    found = re.findall(r"found: '?(.+?)'?$", act.read_text("utf-8"), re.M)
    # A hair is a quarter of the finest mark, 1/64: 15 1/8 less 1/256, and 3/8 and 1/256.
    assert found == ["15 1/8 in - 1/256 in", "14 3/8 in", "3/8 in + 1/256 in"]


def test_a_piece_in_hand_is_gone_on_with_where_it_was_left(larder: Path) -> None:
    left = read(Phone(larder), *RIGHT[:2])
    other = Phone(larder).open(HERE)
    assert "Coped tenon, cheeks on the crosscut saw: cross bar and end upright bar" in other.words
    assert "Test piece 1 is being measured, or was broken off: 2 readings so far" in other.words
    other.press("Go on with it")
    assert other.path == left.path.partition("?")[0] and "Line 3 of 6" in other.words
    so_far = {words: to.partition("?line=")[2] for words, to in other.page.links.items()}
    assert so_far["Overall, tenon end to tenon end 15 1/8 in"] == "0"
    assert so_far["Back, shoulder to shoulder 14 3/8 in"] == "1"
    assert so_far["Thickness of the tenon not read"] == "2"
    assert so_far["Skip this line"] == "3"
    for figure in (*RIGHT[2:5], ".383"):
        other.press(KEEP, typed=figure)
    slips = [words for form in other.page.forms for words, (name, _) in form.buttons.items()
             if name == "of"]  # fmt: skip
    assert "Thickness of the tenon: 3/8 in" in slips
    # .383 is .0076 under 25/64, .390625: told to the thousandth.
    assert "Depth of the cope: 25/64 in scant by .008 in" in slips and len(slips) == len(RIGHT)


def test_what_cannot_be_read_is_asked_again_and_nothing_is_written(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece")
    for fields, words in (
        ({}, "Give the figure first"),
        ({"typed": "four"}, "'four' is no length"),
        ({"typed": "15", "whole": "15"}, "Two figures are given"),
        ({"over": "1", "under": ""}, ""),
        ({"typed": "15 1/8", "length": "long"}, "a number is expected"),
    ):
        phone.press(KEEP, **fields)
        if words:
            assert phone.status == 422 and words in phone.words
            assert not acts(larder)


def test_a_figure_of_no_line_finishes_nothing(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece").press(KEEP, typed="15 1/8")
    for line in ("", "?line=99", "?line=-1", "?line=x"):
        there = phone.path.partition("?")[0] + line
        phone.send(there, {"typed": "14 3/8", "at": "1", "act": "keep"})
        assert phone.status == 200 and "Line 2 of 6" in phone.words
    (act,) = acts(larder)
    assert "14 3/8" not in act.read_text("utf-8") and "advice" not in act.read_text("utf-8")


def test_a_piece_of_another_length_is_told_once_and_its_lines_follow(larder: Path) -> None:
    """Four inches longer over all is four inches longer on every length (plane geometry)."""
    phone = Phone(larder).open(HERE).press("Read test piece")
    assert "to be 15 1/8 in ± 1/16 in" in phone.words
    phone.press(KEEP, typed="19 1/8", length="19 1/8")
    assert phone.status == 200 and "to be 18 3/8 in" in phone.words
    assert "How long this piece was cut" not in phone.words, "said with its first figure"
    assert "longer: 4 in" in acts(larder)[0].read_text("utf-8")


def test_words_of_the_command_line_are_not_put_to_a_phone(larder: Path) -> None:
    phone = read(Phone(larder), *LONG)
    said = [phone.words]
    phone.press("Write that")
    said.append(phone.words)
    assert phone.status == 422 and "Say what was done" in phone.words
    phone.press("Write that", did="otherwise", **{"move-cope.fence": "far"})
    assert phone.status == 422
    said.append(phone.words)
    said.append(phone.open(HERE).words)
    assert "nobody has said whether that has been done since" in phone.words
    phone.press("Say what was done first").press("Write that", did="nothing")
    said.append(read(phone, "35 1/8").words)
    assert "Is it right as typed?" in phone.words
    assert not [words for words in said if "--" in words]


# ---------------------------------------------------------------------------- the answer and after


def test_the_answer_says_what_log_says(larder: Path) -> None:
    phone = read(Phone(larder), *LONG)
    (act,) = acts(larder)
    advice = act.read_text("utf-8").partition("advice:")[2].partition("advised:")[0]
    lines = re.findall(r"- '?(.+?)'?$", advice, re.M)
    assert len(lines) >= 3
    for line in lines:
        assert line[1:].replace("''", "'") in phone.words
    assert "from 3/8 in to 7/16 in" in phone.words
    assert 'class="large"' in phone.html and 'class="chart"' in phone.html


def test_a_set_up_that_is_not_proved_asks_why_all_the_same(larder: Path) -> None:
    """Two right pieces let the parts be cut; the third was read 5/64 long on its face, once."""
    right = found(**LINES)
    log(*right)
    log(*right, "--next")
    phone = read(Phone(larder), "15 1/8", "14 3/8", ".375", ".375", "14 21/64", ".375")
    phone.press("Cut the parts so", kept="peg 4")
    assert phone.status == 422 and "Face, cope tip to cope tip" in phone.words
    assert "To call it proved all the same, say why" in phone.words and "--" not in phone.words
    assert not [act for act in acts(larder) if "verdict" in act.read_text("utf-8")]
    phone.press("Cut the parts so", although="it is for the shed")
    assert phone.status == 200 and "although: it is for the shed" in phone.words
    last = acts(larder)[-1].read_text("utf-8")
    assert "verdict: proved" in last and "kept: peg 4" in last


def test_a_slip_found_later_is_struck_out(larder: Path) -> None:
    phone = read(Phone(larder), *LONG[:2], ".378", *LONG[3:])
    assert "Thickness of the tenon: 3/8 in full by .003 in" in phone.words
    phone.press("Back, shoulder to shoulder: 14 1/2 in")
    assert phone.status == 200
    strike = acts(larder)[-1].read_text("utf-8")
    assert "of: back_length" in strike and "number: 3" in strike
    phone.send(f"{HERE}/strike", {"own": "phone0123456789abcdef", "of": "nothing"})
    assert phone.status == 422 and "Unknown measure 'nothing'" in phone.words


def test_what_a_terminal_left_unanswered_is_worked_out(larder: Path) -> None:
    log("--found", "overall=15 1/8", "--found", "back_length=14 3/8")
    (act,) = acts(larder)
    act.write_text(act.read_text("utf-8").partition("advice:")[0], "utf-8")
    phone = Phone(larder).open(HERE)
    assert "Test piece 1 is being measured, or was broken off: 2 readings so far" in phone.words
    phone.press("Work out what was read")
    assert phone.status == 200 and "1 test piece read" in phone.words
    assert len(acts(larder)) == 2


def test_a_record_whose_acts_are_not_there_owes_no_advice(larder: Path) -> None:
    """Its head came through a synced folder first."""
    log("--found", "overall=15 1/8")
    for act in acts(larder):
        act.unlink()
    phone = Phone(larder).open(HERE).send(f"{HERE}/owed", {})
    assert phone.status == 200 and "Read test piece 1" in phone.words
    assert not acts(larder)


def test_a_shop_whose_files_have_a_fault_says_so_and_goes_on(larder: Path) -> None:
    phone = Phone(larder).open(HERE)
    machine = larder / "machines" / "crosscut-saw.yaml"
    text = machine.read_text("utf-8")
    machine.write_text(text.replace("type:", "typ:"), "utf-8")
    phone.open(HERE)
    assert phone.status == 500 and "machines/crosscut-saw.yaml" in phone.words
    machine.write_text(text, "utf-8")
    assert phone.open(HERE).status == 200, "files are looked at anew with every page"


def test_what_no_file_has_changed_is_worked_out_once(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked_out: list[str] = []
    for name in ("plan_of", "plan_as_made", "inputs_of"):
        made = getattr(shop_at_hand, name)

        def counted(*given: Any, made: Any = made, name: str = name) -> Any:
            worked_out.append(name)
            return made(*given)

        monkeypatch.setattr(shop_at_hand, name, counted)
    phone = Phone(larder)
    for _ in range(3):
        assert phone.open(f"/{TOKEN}/larder").status == phone.open(HERE).status == 200
    assert worked_out == ["plan_of", "plan_as_made", "inputs_of"]
    read(phone, RIGHT[0]).open(HERE)
    assert worked_out.count("plan_of") == 1 < worked_out.count("inputs_of"), "a record was begun"


def test_the_records_are_looked_up_once_for_an_answer(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan's ends and the set-up's own record, though another phone has acted since."""
    phone = read(Phone(larder), *RIGHT)
    log("--found", "overall=15 1/8", "--next")
    looked_up: list[Any] = []

    def counted(shop: Any) -> ShopRecords:
        looked_up.append(shop)
        return ShopRecords(shop)

    monkeypatch.setattr(shop_at_hand, "ShopRecords", counted)
    assert "2 test pieces read" in phone.open(f"{HERE}/answer").words
    assert len(looked_up) == 1


def test_what_is_to_be_settled_first_is_told(larder: Path) -> None:
    """Two open records of one set-up, and a copy that a synced folder made."""
    log("--found", "overall=15 1/8")
    (head,) = (larder / "records").glob("*.yaml")
    text = re.sub(r"begun: .*", "begun: '2021-03-01T23:59:59.000000Z'", head.read_text("utf-8"))
    head.with_name(f"{head.stem[:-6]}aaaaaa.yaml").write_text(text, "utf-8")
    head.with_name(f"{head.stem} (1).yaml").write_text(head.read_text("utf-8"), "utf-8")
    phone = Phone(larder).open(HERE)
    assert "To make one record of them: by its button below." in phone.words
    assert "To begin anew in place of all: by its button below." in phone.words
    assert "--" not in phone.words
    assert "(1).yaml: this is a copy of" in phone.words
    phone.press("Make one record of all that are open")
    assert phone.status == 200 and "More than one record" not in phone.words
    assert "Make one record" not in phone.words and "Read test piece 2" in phone.words
    assert "joins:" in acts(larder)[-1].read_text("utf-8")
    assert str(larder) not in phone.html


def test_a_record_that_is_lost_half_way_is_told_and_goes_on_where_it_comes_back(
    larder: Path, tmp_path: Path
) -> None:
    """Moved away while the second line is read, by a synced folder or by hand, and back again."""
    phone = Phone(larder).open(HERE).press("Read test piece").press(KEEP, typed="15 1/8")
    line, records = phone.path, larder / "records"
    records.rename(tmp_path / "away")
    phone.press(KEEP, typed="14 3/8")
    assert phone.status == 409 and "not written: what was read of this piece before" in phone.words
    assert "from another phone" not in phone.words
    (tmp_path / "away").rename(records)
    phone.open(line).press(KEEP, typed="14 3/8")
    assert phone.status == 200 and "Line 3 of 6" in phone.words
    assert acts(larder)[-1].read_text("utf-8").count("  - of: ") == 2


def test_open_records_that_cannot_be_one_are_told_so_and_how_to_go_on(larder: Path) -> None:
    """The other one was cut to a tenon of another thickness."""
    log("--found", "overall=15 1/8")
    (head,) = (larder / "records").glob("*.yaml")
    text = re.sub(r"begun: .*", "begun: '2099-03-01T23:59:59.000000Z'", head.read_text("utf-8"))
    other = text.replace("target: 3/8 in", "target: 7/16 in")
    assert other != text
    head.with_name(f"{head.stem[:-6]}aaaaaa.yaml").write_text(other, "utf-8")
    phone = Phone(larder).open(HERE)
    assert (
        "More than one record of" in phone.words
        and "does not count beside it. They cannot be joined: " in phone.words
    )
    assert "To make one record" not in phone.words and "Make one record" not in phone.words
    assert "call the earlier one given up: by its button below. To begin anew" in phone.words
    said = run("log", "larder", CROSS_BAR, "--did", "nothing", "--date", f"{DAY}")
    told = " ".join(said.err.split())
    assert "They cannot be joined: " in told and "--join" not in told and said.code == 0
    phone.open(HERE)
    phone.press("Give this set-up up")
    assert "More than one record" not in phone.words, "the other one counts now"


def test_a_full_disk_loses_nothing_that_was_answered(larder: Path) -> None:
    import errno  # noqa: PLC0415
    import os  # noqa: PLC0415
    from unittest.mock import patch  # noqa: PLC0415

    phone = Phone(larder).open(HERE).press("Read test piece").press(KEEP, typed="15 1/8")
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    with patch("os.fsync", side_effect=full):
        phone.press(KEEP, typed="14 3/8")
    assert phone.status == 500 and "the disk is full" in phone.words
    assert "This could not be written" in phone.words and "has a fault" not in phone.words
    (act,) = acts(larder)
    assert "14 3/8" not in act.read_text("utf-8")


# ------------------------------------------------------------- what a line and a record begin with


def test_an_instrument_that_the_shop_has_not_is_refused(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece")
    assert "<option selected>rule</option>" in phone.html and ">caliper</option>" in phone.html
    phone.press(KEEP, typed="15 1/8", by="callipers")
    assert phone.status == 422 and "callipers" in phone.words and "caliper" in phone.words
    assert acts(larder) == []


def test_a_doubted_figure_keeps_what_was_said_with_it(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece")
    said = {"typed": "51 1/8", "by": "caliper", "dialled-back_cheek.stop": "5/16"}
    phone.press(KEEP, **said)
    assert phone.status == 422 and "Is it right as typed?" in phone.words
    phone.press("It is right")
    (text,) = (path.read_text("utf-8") for path in acts(larder))
    assert "by: caliper" in text
    (head,) = (larder / "records").glob("*.yaml")
    assert "dialled: 5/16 in" in head.read_text("utf-8")


def test_what_is_not_begun_cannot_be_given_up(larder: Path) -> None:
    phone = Phone(larder).open(HERE)
    assert "afresh" not in phone.words and "given-up" not in phone.html
    read(phone, RIGHT[0]).open(HERE)
    assert "Give it up, or begin afresh?" in phone.words
    phone.press("Give this set-up up")
    assert "Read test piece 1" in phone.words and "Give it up" not in phone.words


def test_a_dial_that_is_asked_too_much_of_is_looked_at_or_its_piece_read_again(
    larder: Path,
) -> None:
    """A height of 3/8 set to 7/8 would have to stand below nought: what the page asks for can be
    done on it. Said to have stood at 7/8 it goes from there to 3/8 (plain arithmetic)."""
    here = set_up_path("larder", "sticking-router-table")
    wrong = ("--found", "sticking_width=23/64", "--found", "sticking_depth=7/8", "--sure")
    for more in ((), ("--next", "--did", "nothing")):
        ran = run("log", "larder", "sticking", *wrong, *more, "--date", f"{DAY}")
        assert ran.code == 0, ran.err
    phone = Phone(larder).open(f"{here}/answer")
    assert "Move nothing: the readings ask sticking: height" in phone.words
    assert "See where it stands, or measure this piece again" in phone.words
    phone.press("Read that again")
    for title in ("Sight edge to the moulding's edge on the face", "Face to the bottom of the"):
        assert title in phone.words, "every line of it"
        phone.press(KEEP, typed="23/64" if title.startswith("Sight") else "7/8")
    phone.press("It is right")
    assert "Move nothing: " in phone.words
    phone.press("Write what it had been dialled to", **{"dialled-sticking.height": "7/8"})
    assert "from 7/8 in to 3/8 in" in phone.words and "Move nothing: " not in phone.words
    assert not phone.page.links.get("Read that again")
