"""`log` at the bench: what was done is asked and never assumed, what looks like a slip is doubted,
what is not proved is not called so, and nothing is kept twice.

Figures come from the larder job, the readings are invented; sums are plain arithmetic.
"""

from __future__ import annotations

import json
import re
import shutil
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.commands.test_bench import CROSS_BAR, RIGHT, THRICE, entries, found
from tests.running import Ran, run

LONG = THRICE * found(**(RIGHT | {"back_length": "14 1/2"}))
DAY = ("--date", "2021-03-01")


def log(*options: str) -> Ran:
    return run("log", "larder", CROSS_BAR, *options, *DAY)


def record() -> dict[str, Any]:
    """The set-up's record as `recall` has it."""
    told = json.loads(run("recall", "cross", "--json", *DAY).out)
    found_: dict[str, Any] = told["recalled"]["record"]
    return found_


def stands_at(ran: Ran) -> dict[str, str]:
    """What the last line says that the dials stand at."""
    line = next(each for each in reversed(ran.out.splitlines()) if "The dials stand at: " in each)
    said = line.removeprefix("The dials stand at: ").removesuffix(".")
    return dict(re.findall(r"(\w[\w ]*: \w+) ([^,]+)", said))


def sheet(shop: Path) -> str:
    assert run("sheet", "larder", "--to", shop / "out", "--format", "md").code == 0
    return (shop / "out" / "larder.md").read_text("utf-8")


# ------------------------------------------------------------------------------ what was done


def test_what_was_done_about_advice_must_be_said_with_the_next_piece(larder: Path) -> None:
    assert (
        "back cheek: stop on the crosscut saw (radial arm): from 3/8 in to 7/16 in"
        in log(*LONG).out
    )
    refused = log(*found(**RIGHT), "--verdict", "proved")
    assert refused.code == 1 and len(entries(larder)) == 1
    said = " ".join(refused.err.split())
    assert "it was advised to move back cheek: stop from 3/8 in to 7/16 in" in said
    assert "--did advised, or --did nothing, or what was really moved" in said
    example = re.search(r'--did "(\S+=.*?)"', said)
    assert example is not None
    assert log(*found(**RIGHT), "--did", example[1]).code == 0


ANSWERS = {  # from the 3/8 in that the stop was first dialled to
    "advised": ("7/16 in", "moved after test piece 2"),
    "nothing": ("3/8 in", "as it stood for test piece 2"),
    "back_cheek.stop=1/32": ("13/32 in", "moved after test piece 2"),
}


@pytest.mark.parametrize("did", ANSWERS)
def test_what_was_done_is_what_the_dial_stands_at(larder: Path, did: str) -> None:
    log(*LONG)
    ran = log(*found(**(RIGHT | {"back_length": "14 25/64"})), "--did", did)
    assert ran.code == 0, ran.err
    assert stands_at(ran)["back cheek: stop"] == ANSWERS[did][0]
    assert [piece.get("moved") for piece in record()["pieces"]][1] in (None, {})


def test_proved_after_the_move_is_the_figure_after_the_move(larder: Path) -> None:
    log(*LONG)
    assert log(*found(**RIGHT), "--did", "advised", "--verdict", "proved").code == 0
    rows = [line for line in sheet(larder).splitlines() if "proved on 2021-03-01" in line]
    assert [row for row in rows if "**7/16 in**" in row]
    assert not [
        row for row in rows if "| 3/8 in |" in row and "**3/8 in**" in row and "Stop" in row
    ]


@pytest.mark.parametrize("later", ["2021-03-01", "2021-03-02", "2030-01-01"])
def test_recall_gives_the_figure_of_the_sheet(larder: Path, later: str) -> None:
    log(*LONG)
    assert log(*found(**RIGHT), "--did", "advised", "--verdict", "proved").code == 0
    told = json.loads(run("recall", "cross", "--json", "--date", later).out)["recalled"]
    stop = next(each for each in told["settings"] if each["title"] == "back cheek: stop")
    assert (stop["set_to"]["words"], stop["because"]) == ("7/16 in", "proved on 2021-03-01")
    assert [line for line in sheet(larder).splitlines() if "**7/16 in**" in line]


def test_a_dial_that_had_been_set_wrong_stands_at_its_figure(larder: Path) -> None:
    """Moved by 1/16, which is no scatter of a rule: asked for, and told it is no fault of the dial.

    Common practice, no source: who is told to move a stop so far looks at the rule first.
    """
    log(*LONG)
    ran = log("--did", "advised")
    said = " ".join(ran.err.split())
    assert "back cheek: stop: 1/16 in is more than a setting is usually out" in said
    assert "it had not been dialled to 3/8 in at first" in said
    example = re.search(r'--dialled "(\S+=.*?)"', said)
    assert example is not None and example[1] == "back_cheek.stop=5/16 in"
    ran = log(*found(**RIGHT), "--dialled", example[1], "--verdict", "proved")
    assert ran.code == 0, ran.err
    assert stands_at(ran)["back cheek: stop"] == "3/8 in"
    taught = re.search(
        r"machine: crosscut-saw\s+setting: stop\s+offset: (\S+)", entries(larder)[-1]
    )
    assert taught is not None and abs(Fraction(taught[1])) <= Fraction(1, 128), "as dialled"
    rows = [line for line in sheet(larder).splitlines() if "proved on 2021-03-01" in line]
    assert not [row for row in rows if "**7/16 in**" in row]


def test_a_move_that_its_piece_did_not_show_is_asked_about_with_the_next(larder: Path) -> None:
    """The dial is looked at in between, so that nothing was moved before the third piece."""
    usual = "back cheek: stop: 1/16 in is more than a setting is usually out"
    log(*LONG)
    hidden = log(*LONG, "--did", "advised", "--next")
    assert "See whether it stands at 7/16 in." in hidden.out and usual not in hidden.err
    then = log(*found(**RIGHT), "--did", "nothing")
    assert then.code == 0 and usual in " ".join(then.err.split()), then


def test_a_set_up_that_was_given_up_teaches_what_its_readings_tell(larder: Path) -> None:
    """Back 1/32 in short of its two stops at 3/8 in: each came out 1/64 in under, by hand. Given up
    or not, the next set-up of that dial begins 1/64 in further out and says where that is from."""
    shutil.rmtree(larder / "records")
    short = found(**(RIGHT | {"back_length": "14 13/32"}))
    assert log(*(THRICE * short), "--verdict", "given up").code == 0
    told = json.loads(run("recall", "cross", "--json", "--date", "2022-05-01").out)["recalled"]
    stop = next(each for each in told["settings"] if each["title"] == "back cheek: stop")
    assert stop["set_to"]["words"] == "25/64 in"
    assert stop["because"].startswith(
        "has come out 1/64 in under what is dialled in one set-up, 2021, not proved, give or take "
    )


FIRST_FIGURES = {"5/16": "3/8 in", "": "7/16 in"}  # 1/16 is added to either


@pytest.mark.parametrize("said", FIRST_FIGURES)
def test_at_the_prompts_it_is_asked_what_was_dialled_at_first(larder: Path, said: str) -> None:
    log(*LONG)
    typed = f"advised\n{said}\n15 1/8\n14 25/64\n.375\n.375\n14 1/4\n.375\nn\n\nn\n"
    ran = run("log", "larder", CROSS_BAR, *DAY, typed=typed)
    assert "To what had it been dialled at first?" in ran.err
    assert any("dialled:" in each for each in entries(larder)) == bool(said)
    assert stands_at(run("log", "larder", CROSS_BAR))["back cheek: stop"] == FIRST_FIGURES[said]


@pytest.mark.parametrize("said", ["14 3/8", "9/16"])
def test_a_figure_that_the_pieces_speak_against_is_asked_again(larder: Path, said: str) -> None:
    """It was to be at 3/8 and moved by 1/16: it stood at 5/16, if it was set wrong. A reading typed
    there, or a quarter of an inch more than that, is no figure of this dial."""
    log(*LONG)
    typed = f"advised\n{said}\n5/16\n15 1/8\n14 25/64\n.375\n.375\n14 1/4\n.375\nn\n\nn\n"
    ran = run("log", "larder", CROSS_BAR, *DAY, typed=typed)
    told = f"back cheek: stop stood at about 5/16 in if it was set wrong: {said} in is nowhere near"
    assert (told in " ".join(ran.err.split())) is (said != "9/16")
    assert ran.err.count("To what had it been dialled at first?") == (1 if said == "9/16" else 2)


@pytest.mark.parametrize("by", ["1/64", "1/32"])
def test_a_small_move_is_asked_nothing_of(larder: Path, by: str) -> None:
    """Half of a rule's spread of 1/64 in and all of it, twice that at most (plain arithmetic)."""
    log(*LONG)
    assert "more than a setting is usually out" not in log("--did", f"back_cheek.stop={by}").err


def test_a_move_told_twice_adds(larder: Path) -> None:
    log(*LONG)
    assert log("--did", "back_cheek.stop=1/32").code == 0
    ran = log("--did", "back_cheek.stop=1/64")
    assert stands_at(ran)["back cheek: stop"] == "27/64 in"  # 24 + 2 + 1 sixty-fourths
    again = log("--same", *found(back_length="14 31/64"), "--did", "back_cheek.stop=1/64")
    assert again.code == 0, again.err
    assert stands_at(again)["back cheek: stop"] == "7/16 in"


def test_log_with_nothing_to_do_shows_what_the_dials_stand_at(larder: Path) -> None:
    log(*LONG)
    log("--did", "advised")
    ran = run("log", "larder", CROSS_BAR)
    assert ran.code == 0
    assert stands_at(ran)["back cheek: stop"] == "7/16 in"
    assert len(entries(larder)) == 2


def test_there_is_nothing_to_have_done_before_the_first_piece(larder: Path) -> None:
    for did in ("advised", "back_cheek.stop=1/64"):
        ran = log(*found(**RIGHT), "--did", did)
        assert ran.code == 2 and not entries(larder)


def test_at_the_prompts_it_is_asked_before_the_next_piece(larder: Path) -> None:
    log(*LONG)
    typed = "nothing\n15 1/8\n14 25/64\n.375\n.375\n14 1/4\n.375\nn\n\nn\n"
    ran = run("log", "larder", CROSS_BAR, *DAY, typed=typed)
    assert "What was done before this piece?" in ran.err
    assert [entry for entry in entries(larder) if "did: {}" in entry]


# ---------------------------------------------------------------------------- proved or not


def test_what_the_pieces_do_not_prove_is_not_called_proved(larder: Path) -> None:
    ran = log(*LONG, "--verdict", "proved")
    assert ran.code == 1 and not entries(larder)
    said = " ".join(ran.err.split())
    assert "Back, shoulder to shoulder of the last piece lies outside its limits" in said
    assert "the shop asks for 90 %" in said
    assert run("log", "larder", CROSS_BAR, "--verdict", "proved").code != 0


def test_the_reason_stands_on_the_sheet_in_place_of_proved(larder: Path) -> None:
    why = "the shoulder is hidden by the bead"
    assert log(*LONG, "--verdict", "proved", "--although", why).code == 0
    text = sheet(larder)
    assert f"taken on 2021-03-01, not proved: {why}" in text
    assert "proved on 2021-03-01" not in text


def test_a_check_piece_after_proof_belongs_to_that_record(larder: Path) -> None:
    assert log(*THRICE * found(**RIGHT), "--verdict", "proved").code == 0
    (head,) = (larder / "records").glob("*.yaml")
    check = found(**(RIGHT | {"overall": "15 9/64"}))
    assert run("log", "larder", CROSS_BAR, *check, "--date", "2021-03-05").code == 0
    assert record()["verdict"] == "proved" and len(record()["pieces"]) == 2
    outside = THRICE * found(**(RIGHT | {"back_length": "14 1/2"}))
    assert run("log", "larder", CROSS_BAR, *outside, "--date", "2021-03-06").code == 0
    assert record()["verdict"] == "open" and len(record()["pieces"]) == 3
    assert list((larder / "records").glob("*.yaml")) == [head]


# -------------------------------------------------------------------------------- slips

SLIPS = {
    # 12.25 typed as 122.5; the face is to be 14 1/4 here: 142.5 with the point one place right.
    "point": ("face_length=142.5", "with the point moved it is 14 1/4 in"),
    # 14.25 x 25.4 = 361.95 mm.
    "millimetres": ("face_length=362", "read as millimetres it is 14 1/4 in"),
    "feet": ("face_length=14'", "in inches it is 14 in"),
    "whole inch": ("face_length=13 1/4", "but for whole inches it would be near: 14 1/4 in?"),
    "wrong line": ("tenon_thickness=14 3/8", "what Back, shoulder to shoulder should be"),
    "nought": ("cope_depth=0", "nought or less"),
    "negative": ("cope_depth=-3/8", "nought or less"),
    "no mark": ("face_length=14 2/7", "a fraction that is on no rule"),
    "far": ("overall=19 1/2", "further from 15 1/8 in than any setting is off"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_likely_slip_is_named_and_kept_only_for_sure(larder: Path, slip: str) -> None:
    typed, words = SLIPS[slip]
    ran = log("--found", typed)
    assert ran.code == 1 and not entries(larder)
    assert words in " ".join(ran.err.split())
    assert log("--found", typed, "--sure").code == 0
    assert len(entries(larder)) == 1


NO_SLIPS = ("face_length=14 1/2", "overall=15 5/8", "tenon_thickness=.3125", "cope_depth=3/16")


@pytest.mark.parametrize("typed", NO_SLIPS)
def test_what_a_setting_may_be_off_is_no_slip(larder: Path, typed: str) -> None:
    assert log("--found", typed).code == 0


def test_a_slip_is_asked_again_at_the_prompts(larder: Path) -> None:
    typed = "151.25\nn\n15 1/8\n14 3/8\n.375\n.375\n14 1/4\n.375\nn\nn\n"
    ran = run("log", "larder", CROSS_BAR, typed=typed)
    assert "with the point moved it is 15 1/8 in" in " ".join(ran.err.split())
    assert "151.25" not in "".join(entries(larder))


def test_a_slip_struck_out_stays_in_the_file_and_counts_no_more(larder: Path) -> None:
    assert log(*found(**RIGHT)).code == 0
    assert log("--same", *found(back_length="14 3/4"), "--sure").code == 0
    assert "from 3/8 in" in log("--same", *found(back_length="14 49/64"), "--sure").out
    for _ in range(2):
        ran = log("--strike", "back_length")
        assert ran.code == 0, ran.err
    assert "from 3/8 in" not in ran.out
    back = [each for each in record()["pieces"][0]["readings"] if each["of"] == "back_length"]
    assert [each["struck"] for each in back] == [None, "2021-03-01", "2021-03-01"]
    log("--strike", "back_length")
    ran = log("--strike", "back_length")
    assert ran.code == 2 and "--strike: no reading of back_length counts" in ran.err


def test_an_act_from_which_nothing_new_is_known_has_no_advice(larder: Path) -> None:
    log(*LONG)
    log("--did", "advised")
    log("--kept", "on the wall")
    log("--verdict", "given up")
    advised, did, kept, closed = entries(larder)
    assert "\nadvice:\n" in advised and "\nadvised:\n" in advised
    for text, said in ((did, "did:\n"), (kept, "kept: on the"), (closed, "verdict: given up")):
        assert f"\n{said}" in text and "\nadv" not in text


def test_strike_at_the_prompts_takes_back_what_was_typed_last(larder: Path) -> None:
    typed = "15 1/4\nstrike\n15 1/8\n14 3/8\n.375\n.375\n14 1/4\n.375\nn\nn\n"
    assert run("log", "larder", CROSS_BAR, *DAY, typed=typed).code == 0
    over = [each for each in record()["pieces"][0]["readings"] if each["of"] == "overall"]
    assert [(each["found"]["words"], each["struck"]) for each in over] == [
        ("15 1/4 in", "2021-03-01"),
        ("15 1/8 in", None),
    ]


def test_no_dial_is_sent_past_its_greatest_figure(larder: Path) -> None:
    # The fence of this router table goes to 3 in; a face 10 in short asks it for 5 in more.
    for piece in ("4 1/4", "4 17/64"):
        ran = log(*THRICE * found(**(RIGHT | {"face_length": piece})), "--sure", "--did", "nothing")
        assert ran.code == 0, ran.err
        figures = re.findall(r"from [\d/ ]+ in to (-?)(\d+)", ran.out)
        assert not [each for each in figures if each[0] or int(each[1]) > 24]
        assert not re.findall(r"\b[1-9]\d\d+ %|1[1-9]\d %", ran.out)


def test_a_piece_dated_before_its_record_is_asked_about(larder: Path) -> None:
    log(*found(**RIGHT))
    early = ("--found", "overall=15 9/64", "--date", "2021-02-27")
    ran = run("log", "larder", CROSS_BAR, *early)
    assert ran.code == 1 and "before its record" in ran.err
    assert run("log", "larder", CROSS_BAR, *early, "--sure").code == 0


# ---------------------------------------------------------------------------- kept once


def test_the_same_command_again_keeps_nothing_twice(larder: Path) -> None:
    command = (*found(**RIGHT), "--verdict", "proved")
    assert log(*command).code == 0
    again = log(*command)
    assert again.code == 1 and "nothing is kept twice" in " ".join(again.err.split())
    assert len(entries(larder)) == 1
    assert log(*command, "--next").code == 0
    assert len(record()["pieces"]) == 2


def test_the_same_id_is_kept_once(larder: Path) -> None:
    for _ in range(2):
        ran = log(*found(**RIGHT), "--id", "bench7")
        assert ran.code == 0, ran.err
    assert len(entries(larder)) == 1
    assert log(*found(**RIGHT), "--id", "No!").code == 2
    assert log(*found(**RIGHT), "--id", "ench7", "--next").code == 0
    assert len(entries(larder)) == 2, "the end of another's letters is an act of its own"


def test_a_piece_without_its_advice_gets_it_at_the_next_run(larder: Path) -> None:
    typed = "15 1/8\n14 1/2\n"  # and the power goes
    assert run("log", "larder", CROSS_BAR, *DAY, typed=typed).code == 1
    ran = log("--did", "nothing")
    assert "kept without its advice" in ran.err
    assert any("advice:" in entry for entry in entries(larder))
    assert "kept without its advice" not in run("log", "larder", CROSS_BAR).err


def test_records_are_listed_and_found(larder: Path) -> None:
    assert log(*found(**RIGHT)).code == 0
    (head,) = (larder / "records").glob("*.yaml")
    for asked in (["records"], ["muntin"], []):
        assert head.stem in run("list", *asked).out
    assert head.stem not in run("list", "machines").out


def test_the_command_on_the_sheet_works_as_printed(larder: Path) -> None:
    names = sorted({*re.findall(r"setupsheets log (larder [\w/-]+)", sheet(larder))})
    assert names
    several = 0
    for name in names:
        ran = run("log", *name.split())
        if ran.code == 2 and "Which of these?" in ran.err:
            several += 1
            ran = run("log", *name.split(), typed="1\n")
        assert ran.code == 0, (name, ran.err)
        assert "Set the dials to" in ran.out or "Nothing is dialled" in ran.out
    assert several


# ------------------------------------------------------------------- copies, two records, elsewhere


def test_copies_of_a_synced_folder_are_told_and_count_once(larder: Path) -> None:
    assert log(*THRICE * found(**RIGHT), "--verdict", "proved").code == 0
    before = sheet(larder)
    (head,) = (larder / "records").glob("*.yaml")
    (entry,) = (larder / "records").glob("*/*.yaml")
    for path in (head, entry):
        copy = path.with_name(f"{path.stem} (conflicted copy 2021-03-02).yaml")
        copy.write_bytes(path.read_bytes())
    head.with_name("2021-03-01-another-name.yaml").write_bytes(head.read_bytes())
    told = run("check")
    assert told.code == 1
    said = " ".join(told.err.split())
    assert said.count(f"this is a copy of {head.name}") == 2  # by its name, and by its content
    assert said.count(f"this is a copy of {entry.name}") == 1
    assert len(json.loads(run("recall", "cross", "--json", *DAY).out)["found"]) == 1
    assert "this is a copy of" in run("list", "records").err
    ran = log(*found(**(RIGHT | {"overall": "15 9/64"})))
    assert ran.code == 0, ran.err
    for path in (larder / "records").rglob("*conflicted*"):
        path.unlink()
    (larder / "records" / "2021-03-01-another-name.yaml").unlink()
    entries_now = sorted((larder / "records").glob("*/*.yaml"))
    entries_now[-1].unlink()
    assert sheet(larder) == before


def test_a_copy_of_a_job_is_told(larder: Path) -> None:
    job = larder / "jobs" / "larder.yaml"
    job.with_name("larder (copy).yaml").write_bytes(job.read_bytes())
    assert "this is a copy of larder.yaml" in " ".join(run("check").err.split())


def test_the_order_of_a_day_s_records_is_that_of_their_beginning(larder: Path) -> None:
    for trial in range(6):  # random letters would put half of them the other way
        overall = f"15 {2 * trial + 1}/64"
        assert log("--found", f"overall={overall}", "--verdict", "given up").code == 0, trial
    told = json.loads(run("recall", "cross", "--json", *DAY).out)
    begun = []
    for number, _ in enumerate(told["found"], 1):
        each = json.loads(run("recall", "cross", "--json", "--number", str(number), *DAY).out)
        begun.append(each["recalled"]["record"]["begun"])
    assert len(begun) == 6 and begun == sorted(begun, reverse=True)


def test_two_open_records_are_told_and_the_earlier_is_used(larder: Path, tmp_path: Path) -> None:
    empty = shutil.copytree(larder / "records", tmp_path / "empty")
    log(*found(**RIGHT))
    (first,) = (larder / "records").glob("*.yaml")
    kept = shutil.copytree(larder / "records", tmp_path / "kept")
    shutil.rmtree(larder / "records")
    shutil.copytree(empty, larder / "records")
    log(*found(**(RIGHT | {"overall": "15 9/64"})))  # another clone, which knows nothing of it
    shutil.copytree(kept, larder / "records", dirs_exist_ok=True)
    ran = log(*found(**(RIGHT | {"overall": "15 5/32"})))
    assert f"{first.stem}, the earlier one, is used" in " ".join(ran.err.split())
    assert len([*first.with_suffix("").iterdir()]) == 2
    afresh = log(*found(**(RIGHT | {"overall": "15 11/64"})), "--afresh")
    assert afresh.code == 0
    assert "More than one" not in log(*found(**(RIGHT | {"overall": "15 3/16"}))).err


def test_a_set_up_begun_under_another_job_is_told(larder: Path) -> None:
    job = larder / "jobs" / "larder.yaml"
    job.with_name("dresser.yaml").write_bytes(job.read_bytes())
    assert run("log", "dresser", CROSS_BAR, *found(**RIGHT), *DAY).code == 0
    said = " ".join(log(*found(**RIGHT)).err.split())
    assert f"setupsheets log dresser {CROSS_BAR}" in said
    job.with_name("dresser.yaml").unlink()
    said = " ".join(log(*found(**RIGHT), "--afresh").err.split())
    assert "that job has no file any more; with one of that name setupsheets log dresser" in said


# ------------------------------------------------------------------- a move that does not show


def test_a_far_move_that_does_not_show_is_looked_at_before_its_dial_is_doubted(
    larder: Path,
) -> None:
    """One voice at each piece: what was moved by 1/16 and did not change the piece was most likely
    not moved; only when a piece shows it is it asked how the dial came to stand so."""
    log(*LONG)
    ran = log(*LONG, "--did", "advised", "--next")
    assert "See whether it stands at 7/16 in. If not, set it so" in ran.out
    assert "usually out" not in ran.err
    ran = log(*found(**RIGHT), "--did", "nothing")
    assert "See whether" not in ran.out
    said = " ".join(ran.err.split())
    assert "back cheek: stop: 1/16 in is more than a setting is usually out" in said
    assert "the next set-up goes by which of the two it was." in said


def test_at_the_prompts_too_it_is_asked_once_a_piece_shows_the_move(larder: Path) -> None:
    log(*LONG)
    log(*LONG, "--did", "advised", "--next")
    typed = "15 1/8\n14 3/8\n.375\n.375\n14 1/4\n.375\nnothing\n5/16\nn\nn\n"
    ran = run("log", "larder", CROSS_BAR, *DAY, typed=typed)
    assert "To what had it been dialled at first?" in ran.err
    assert "dialled:" in entries(larder)[-1]
