"""What `log` prints, read as a joiner reads it: no line at odds with another, none with a figure
that says nothing, one way of saying one thing.

Readings are invented; figures come from the larder job, sums are plain arithmetic.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.phone.phones import Phone, set_up_path
from tests.running import Ran, run

REBATE = "rebate-dado-stack"
DAY = ("--date", "2021-03-01")


def log(set_up: str, *options: str, **readings: str) -> Ran:
    ran = run("log", "larder", set_up, *DAY, *found(**readings), *options)
    assert ran.code == 0, ran.err
    return ran


def part(ran: Ran, title: str) -> list[str]:
    """The lines below a heading."""
    lines = ran.out.splitlines()
    at = next((n for n, line in enumerate(lines) if line == title), None)
    if at is None:
        return []
    below = lines[at + 1 :]
    end = next((n for n, line in enumerate(below) if not line.startswith("  ")), len(below))
    return [line.strip() for line in below[:end]]


def test_a_fence_that_plainly_creeps_is_clamped_before_any_part_is_cut(larder: Path) -> None:
    """.012 further out with every piece: what lies inside the limits yet does so for one part. No
    64th is told for .012 or .026, which neither is one."""
    log(REBATE, rebate_width=".440", rebate_floor=".750")
    log(REBATE, rebate_width=".452", rebate_floor=".752")
    ran = log(REBATE, rebate_width=".464", rebate_floor=".749")
    (why, *_) = part(ran, "What explains it:")
    assert why.startswith("rebate: fence creeps, .012 in more with every piece, now .026 in over")
    first, *rest = part(ran, "What to do:")
    assert first.startswith("rebate: fence: every piece is further out than the last. Find what")
    assert first.endswith("slips there and clamp it"), "it is not set again: it is not out yet"
    assert all("rebate: fence" not in line for line in rest), "not left alone as well"
    (then,) = part(ran, "Next:")
    assert then.startswith("Cut another test piece once it is clamped")


def test_what_creeps_by_every_account_is_clamped_whatever_else_is_out(vestibule: Path) -> None:
    """0.3 mm further out with every piece, while a floor 8 mm too low may be the height's or the
    stock's: neither account is likelier than not, and the fence creeps in both."""
    for place, width in enumerate(("11.0", "11.3", "11.6")):
        done = ("--did", "nothing") if place else ()
        readings = found(rebate_width=width, rebate_floor="30")
        ran = run("log", "vestibule", "rebate-rebate-bit", *DAY, "--sure", *readings, *done)
        assert ran.code == 0, ran.err
    accounts = [line for line in part(ran, "What explains it:") if "fence creeps, 0." in line]
    assert len(accounts) > 1
    assert part(ran, "What to do:")[0].startswith("rebate: fence: every piece is further out than")
    assert part(ran, "Next:")[0].startswith("Cut another test piece once it is clamped")


def test_only_what_is_asked_for_is_measured_again(larder: Path) -> None:
    """Back was read anew and is settled: only the face of the tenon is asked for."""
    wrong = RIGHT | {"back_length": "14 5/8", "face_to_tenon": ".437"}
    log(CROSS_BAR, "--sure", **wrong)
    ran = log(CROSS_BAR, "--same", back_length="14 3/8")
    said = part(ran, "What explains it:")
    back = next(line for line in said if line.startswith("Back of piece 1:"))
    assert back.endswith("it is left out of account") and "100 %" not in back
    face = next(line for line in said if line.startswith("Face to the tenon"))
    assert face.endswith("measure it again before moving anything")
    (then,) = part(ran, "Next:")
    assert "Face to the tenon" in then and "Back" not in then


def test_a_fit_is_no_misreading_of_nothing(larder: Path) -> None:
    log(CROSS_BAR, "--sure", **RIGHT | {"face_to_tenon": ".437"})
    log(CROSS_BAR, "--did", "nothing", **RIGHT)
    right = {name: size for name, size in RIGHT.items() if name != "cope_depth"}
    ran = log(CROSS_BAR, "--did", "nothing", **right | {"tenon_thickness": "tight"})
    said = part(ran, "What explains it:")
    assert any("a piece cut badly there (" in line for line in said), said
    assert "about 0 in" not in ran.out


def test_before_the_first_piece_the_dials_are_to_be_set(larder: Path) -> None:
    ran = run("log", "larder", CROSS_BAR, *DAY)
    assert ran.out.startswith("Set the dials to: back cheek: stop 3/8 in, ")
    assert "The dials stand at" not in ran.out
    assert "The dials stand at: back cheek: stop 3/8 in, " in log(CROSS_BAR, **RIGHT).out


def test_what_shims_move_is_asked_about_as_it_was_advised(larder: Path) -> None:
    moved = log("sticking-router-table", sticking_width=".375", sticking_depth=".390")
    (act, *_) = part(moved, "What to do:")
    amount, way = act.partition("router table: ")[2].split(":")[0].split(", ")
    ran = run("log", "larder", "sticking-router-table", *DAY, *found(sticking_depth=".375"))
    assert f"it was advised to move sticking: height by {amount}, {way}, and nobody" in ran.err


def test_a_joint_is_not_told_to_be_out_where_its_size_is_told_to_be_right(larder: Path) -> None:
    """The tenon is expected at its 3/8 in give or take more than what it may be out: nobody knows
    of any play."""
    thick = RIGHT | {"tenon_thickness": ".438"}
    log(CROSS_BAR, "--sure", **thick)
    ran = log(CROSS_BAR, "--same", tenon_thickness=".438")
    (size,) = (line for line in part(ran, "What to expect of the parts then:") if "tenon:" in line)
    assert size.startswith("Thickness of the tenon: 3/8 in give or take .0")
    assert "of play" not in ran.out and "The joint to expect" not in ran.out


def test_what_differs_from_piece_to_piece_is_no_usual_error_of_setting(larder: Path) -> None:
    """Nothing was moved, and the moulding's depth goes to and fro by more than its limits."""
    said: list[Ran] = []
    for depth in (".362", ".388", ".361", ".389", ".362", ".388"):
        done = ("--did", "nothing", "--next") if said else ()
        readings = {"sticking_width": ".375", "sticking_depth": depth}
        said.append(log("sticking-router-table", *done, **readings))
    out = [each for each in said if any("Out of reach" in line for line in part(each, "Next:"))]
    assert out, [part(each, "Next:") for each in said]
    for each in out:
        why = part(each, "What explains it:")
        assert any(line.startswith("no setting is out, the pieces differ") for line in why), why
        assert not any("usual small errors" in line for line in why)
    every = " ".join(line for each in said for line in part(each, "What explains it:"))
    assert "was cut badly and Face to the bottom" not in every


def test_a_dial_out_by_more_than_its_figure_is_looked_at(larder: Path) -> None:
    """A height of 3/8 set to 7/8 reads 1/2 over: moved by that it would stand below nought. Once it
    is said what it had been dialled to it goes from there to 3/8 (plain arithmetic)."""
    wrong = {"sticking_width": "23/64", "sticking_depth": "7/8"}
    log("sticking", "--sure", **wrong)
    ran = log("sticking", "--sure", "--next", "--did", "nothing", **wrong)
    (look,) = part(ran, "What to do:")
    assert look.startswith("move nothing: ")
    assert "See whether it stands at 3/8 in. If not, say to what it was dialled" in look
    assert part(ran, "Next:")[0].startswith("See where it stands, or measure this piece again")
    assert '--dialled "sticking.height=7/8 in"' in " ".join(ran.err.split())
    ran = log("sticking", "--dialled", "sticking.height=7/8")
    assert any("from 7/8 in to 3/8 in" in line for line in part(ran, "What to do:"))
    assert "more than a setting is usually out" not in ran.err, "it was looked at"


def test_at_the_prompts_it_is_told_what_to_move_once_the_dial_was_looked_at(larder: Path) -> None:
    """7/8 is said where 3/8 was meant: from there to 3/8 it goes, and that is asked after."""
    wrong = {"sticking_width": "23/64", "sticking_depth": "7/8"}
    log("sticking", "--sure", **wrong)
    log("sticking", "--did", "nothing")
    typed = "23/64\n7/8\ny\n7/8\nadvised\nn\nn\nn\n"
    ran = run("log", "larder", "sticking", *DAY, typed=typed)
    assert ran.code == 0, ran.err
    assert "To what had it been dialled at first?" in ran.err
    assert "from 7/8 in to 3/8 in" in ran.out.partition("Next:\n")[2], "told after it was said"
    assert "What was done?" in ran.err
    assert "sticking: height 3/8 in" in ran.out.splitlines()[-1]


def test_at_the_prompts_a_dial_is_looked_at_before_the_piece_is_measured_again(
    larder: Path,
) -> None:
    """The words ask for that first, and it takes no caliper."""
    wrong = {"sticking_width": "23/64", "sticking_depth": "7/8"}
    log("sticking", "--sure", **wrong)
    log("sticking", "--did", "nothing")
    ran = run("log", "larder", "sticking", *DAY, typed="23/64\n7/8\ny\n\nn\n")
    assert ran.code == 0, ran.err
    before, _, after = ran.err.partition("To what had it been dialled at first?")
    assert after and "Measure that now?" not in before
    assert "stands at 3/8 in by its scale, as was found" in ran.out.rpartition("What to do:")[2]


def test_what_a_set_up_is_called_is_said(larder: Path) -> None:
    """And where its test piece hangs; nothing of the sort of one that is open."""
    assert "This set-up is" not in log(CROSS_BAR, **RIGHT).out
    ran = log(CROSS_BAR, "--verdict", "proved", "--kept", "peg 4")
    said = "This set-up is proved with 1 test piece. Its test piece is kept: peg 4."
    assert ran.out.splitlines()[-2] == said
    typed = "\n".join((".375", ".375", "y", "peg 5")) + "\n"
    ran = run("log", "larder", "sticking", *DAY, typed=typed)
    said = "This set-up is proved with 1 test piece. Its test piece is kept: peg 5."
    assert ran.out.splitlines()[-2].strip() == said, ran.out


@pytest.mark.parametrize(
    ("shims", "width", "told"),
    [
        ("[]", ".385", "2 strips of paper (.004 in each)"),
        ('["0.05 mm", "0.1 mm"]', ".380", "shims .004 in + .002 in"),
    ],
)
def test_a_setting_is_moved_by_what_the_shop_has(
    larder: Path, shims: str, width: str, told: str
) -> None:
    """Paper of .1 mm, .004 in, where there are no shims; the leaves of a metric feeler in an inch
    shop, .002 and .004 in."""
    settings = larder / "shop.yaml"
    text = settings.read_text("utf-8")
    settings.write_text(re.sub(r"(?m)^shims: .*$", f"shims: {shims}", text), "utf-8")
    ran = log("sticking", sticking_width=width, sticking_depth=".375")
    (act, *_) = part(ran, "What to do:")
    assert f"clamp blocks against its back, then {told} between it and them" in act


def test_a_check_piece_outside_its_limits_says_that_the_proof_is_over(larder: Path) -> None:
    log(CROSS_BAR, **RIGHT)
    log(CROSS_BAR, "--next", "--verdict", "proved", **RIGHT)
    again = "called proved, and a test piece since then lies outside its limits: it is open again"
    right = log(CROSS_BAR, "--next", **RIGHT)
    assert "This set-up is proved with 3 test pieces." in right.out and again not in right.out
    wrong = log(CROSS_BAR, "--next", "--sure", **RIGHT | {"face_length": "14 21/64"})
    assert again in wrong.out and "This set-up is" not in wrong.out
    phone = Phone(larder).open(f"{set_up_path('larder', CROSS_BAR)}/answer")
    assert "4 test pieces read" in phone.words and again in phone.words
    closed = log(CROSS_BAR, "--verdict", "given up").out
    assert "This set-up is given up after 4 test pieces." in closed and again not in closed


def exactly(text: str) -> Fraction:
    """The figure of `9/32 in`, `1 1/4 in`, `0.95 mm`."""
    return sum(map(Fraction, text.rpartition(" ")[0].split()), Fraction(0))


LEFT = re.compile(r"that leaves (?:it|them) (\S+ (?:in|mm)) (\w+)")


def test_a_trim_by_less_than_the_error_says_what_it_is_for(larder: Path) -> None:
    """Shoulders are 1/4 long and the ends 9/32: blanks of 9/32 over lose 1/4, so that both pairs of
    shoulders are right, and 9/32 - 1/4 = 1/32 stays (plain arithmetic)."""
    long = {"overall": "15 13/32", "back_length": "14 5/8", "face_length": "14 1/2"}
    ran = run("correct", "larder", CROSS_BAR, *DAY, *found(**RIGHT | long), "--sure")
    (why, *_) = part(ran, "What explains it:")
    assert why.startswith("blanks: length 9/32 in long: ")
    (act,) = [line for line in part(ran, "What to do:") if line.startswith("blanks: length: ")]
    cut = "trim the blanks already cut by 1/4 in, and cut the next ones so"
    assert (
        act == f"blanks: length: {cut}; that leaves them 1/32 in long, so that Back and Face"
        " come out right"
    )
    whole = {"overall": "15 3/8", "back_length": "14 5/8", "face_length": "14 1/2"}
    ran = run("correct", "larder", CROSS_BAR, *DAY, *found(**RIGHT | whole), "--sure")
    assert cut in ran.out and "that leaves" not in ran.out, "all of it is taken off"


def test_a_dial_that_is_not_put_quite_right_says_that_it_may_stand_so(vestibule: Path) -> None:
    """A mortise may be deeper than drawn and not shallower: 1.5 mm too deep, it is made .55 mm
    shallower by shims, and 1.5 - .55 = .95 stays (plain arithmetic)."""
    deep = found(near_wall="10", mortise_width="12.00", mortise_depth="16.50")
    deep += found(mortise_depth="16.50")
    ran = run("correct", "vestibule", "mortise-chisel/upright-bar-for-cross-bar", *DAY, *deep)
    why = part(ran, "What explains it:")[0]
    assert "chop: depth 1.5 mm over" in why
    (act,) = [line for line in part(ran, "What to do:") if line.startswith("chop: depth ")]
    moved = act.partition("mortiser: ")[2].partition(",")[0]
    (left, way), *_ = LEFT.findall(act)
    assert exactly("1.5 mm") - exactly(moved) == exactly(left) and way == "over"
    assert act.endswith(f"that leaves it {left} over, which the limits allow")


def test_what_may_be_a_misreading_is_read_again_though_another_dial_is_plainly_out(
    larder: Path,
) -> None:
    """A mortise 1/4 in shallow on one reading, as likely misread as not, and its wall .017 out: no
    stop is sent half the way, and nobody cuts a piece to see."""
    shallow = found(near_wall=".392", mortise_width=".374", mortise_depth="1.246")
    mortise = "mortise-chisel/stile-for-bottom-rail"
    ran = run("correct", "larder", mortise, *DAY, *shallow, "--sure")
    assert not part(ran, "What to do:"), "nothing is moved before"
    (then,) = part(ran, "Next:")
    assert then.startswith("Measure this piece again before anything else is cut: Depth of the ")


FAR = RIGHT | {"back_length": "13 7/8"}  # the stop 1/4 in too far: twice 1/4 short


def test_a_move_that_does_not_show_is_looked_at_once_its_reading_stands(larder: Path) -> None:
    """One thing at a time: read again first, and only what is read twice sends him to the stop; nor
    is the stop told there that it cannot be moved as far again."""
    log(CROSS_BAR, "--sure", **FAR)
    log(CROSS_BAR, "--sure", "--same", back_length="13 7/8")
    ran = log(CROSS_BAR, "--sure", "--did", "advised", **FAR)
    assert part(ran, "Next:")[0].startswith("Measure this piece again")
    assert not part(ran, "What to do:") and "See whether" not in ran.out
    ran = log(CROSS_BAR, "--sure", "--same", back_length="13 7/8")
    (look,) = part(ran, "What to do:")
    assert "yet Back reads as on the piece before. See whether it stands at 1/8 in" in look
    (then,) = part(ran, "Next:")
    assert then == "Cut another test piece once that is seen to, with nothing else moved."


def test_where_a_dial_is_to_be_looked_at_nothing_else_is_told_of_it(larder: Path) -> None:
    """The answer says to look; behind it stands only how to say what was found."""
    wrong = RIGHT | {"back_length": "13 3/8"}
    log(CROSS_BAR, "--sure", **wrong)
    ran = log(CROSS_BAR, "--sure", "--same", back_length="13 3/8")
    assert "See whether it stands at 3/8 in" in part(ran, "What to do:")[0]
    said = " ".join(ran.err.split())
    assert "the next set-up goes by" not in said
    assert said.startswith(
        "back cheek: stop was to be dialled to 3/8 in at first. If it had been set wrong, say to"
        ' what it was dialled: --dialled "back_cheek.stop=7/8 in".'
    )


DIFFERING = (".362", ".388", ".361", ".389")


def test_what_differed_too_much_begins_afresh_once_it_is_cured(larder: Path) -> None:
    """It is asked before a further piece: until it is cured, that one belongs to the same record.
    The new one begins with the dial where the old one left it."""
    for place, depth in enumerate(DIFFERING):
        done = ("--did", "nothing") if place else ("--dialled", "sticking.height=25/64")
        log("sticking", *done, sticking_width=".375", sticking_depth=depth)
    asked = "Is what put Face to the bottom of the moulding out of reach cured? Then its record"
    ran = run("log", "larder", "sticking", *DAY, typed="n\n.375\n.362\nnothing\nn\n")
    assert ran.code == 0 and asked in ran.err and part(ran, "Next:")[0].startswith("Out of reach")
    assert "has been put right since" not in ran.out, "nothing was moved at all"
    assert len(list((larder / "records").glob("*.yaml"))) == 1
    ran = run("log", "larder", "sticking", *DAY, typed="y\n.375\n.375\nn\nn\n")
    assert ran.code == 0 and asked in ran.err
    assert "Set the dials to: sticking: fence 3/8 in, sticking: height 25/64 in." in ran.out
    assert "Out of reach" not in ran.out
    assert len(list((larder / "records").glob("*.yaml"))) == 2
    ran = run("log", "larder", "sticking", *DAY)
    assert asked not in ran.err, "that one differs in nothing"


def test_a_phone_leads_on_once_what_differed_too_much_is_cured(larder: Path) -> None:
    for place, depth in enumerate(DIFFERING):
        done = ("--did", "nothing") if place else ()
        log("sticking", *done, sticking_width=".375", sticking_depth=depth)
    phone = Phone(larder).open(f"{set_up_path('larder', 'sticking-router-table')}/answer")
    phone.press("That is cured: begin afresh")
    for typed in (".375", ".375"):
        phone.press("Keep it, next line", typed=typed)
    assert "1 test piece read" in phone.words and "Out of reach" not in phone.words
    assert "That is cured" not in phone.words


@pytest.mark.parametrize(
    ("costs", "then"),
    [
        ("", "Cut the parts: 9"),
        ("{spoilt_part: 40 hours, test_piece: 1 minute}", "Cut another test piece before so many"),
        ("{spoilt_part: 1 minute, test_piece: 3 hours}", "Cut the parts: 9"),
    ],
)
def test_dear_parts_and_cheap_test_pieces_ask_for_one_more(
    larder: Path, costs: str, then: str
) -> None:
    """The same piece each time, a hair off here and there."""
    if costs:
        with (larder / "shop.yaml").open("a") as file:
            file.write(f"costs: {costs}\n")
    hair = dict.fromkeys(("tenon_thickness", "face_to_tenon", "cope_depth"), ".377")
    (said,) = part(log(CROSS_BAR, **RIGHT | hair), "Next:")
    assert said.startswith(then)
    assert ("one piece more is likely to save more than it costs" in said) is ("another" in then)


def test_a_stop_that_crept_begins_afresh_once_it_is_clamped(larder: Path) -> None:
    """1/64 further with every piece, 1/32 shorter between the shoulders; set back to its figure it
    stands right, and nobody has moved it by any figure that could be told."""
    for place, back in enumerate(("14 3/8", "14 11/32", "14 5/16")):
        done = ("--did", "nothing") if place else ()
        ran = log(CROSS_BAR, "--sure", *done, **RIGHT | {"back_length": back})
    (then,) = part(ran, "Next:")
    assert "clamp it and set it again to its figure" in then
    again = f"Once that is cured, begin its record afresh: setupsheets log larder {CROSS_BAR}"
    assert then.endswith(f"{again} --afresh.")
    typed = "y\n" + "\n".join(RIGHT.values()) + "\nn\nn\nn\n"
    ran = run("log", "larder", CROSS_BAR, *DAY, typed=typed)
    assert ran.code == 0, ran.err
    assert "Is what put back cheek: stop out of reach cured?" in ran.err
    assert "back cheek: stop 3/8 in" in ran.out and "creeps" not in ran.out
