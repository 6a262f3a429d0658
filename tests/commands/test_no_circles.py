"""Answers that would go in circles: each says what it says and stays with it, or comes to an act.

Readings are invented; targets and limits come from the examples' jobs, sums are plain arithmetic.
"""

from __future__ import annotations

import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from tests.commands.conftest import EXAMPLES
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.commands.test_said_at_the_bench import part
from tests.running import Ran, run

DAY = ("--date", "2021-03-01")
FURTHER = ("--did", "nothing", "--next")


def log(job: str, set_up: str, *options: str, **readings: str) -> Ran:
    ran = run("log", job, set_up, *DAY, *found(**readings), *options)
    assert ran.code == 0, ran.err
    return ran


@pytest.fixture
def shop(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """An example without its records, by its name."""
    name: str = request.param
    shutil.copytree(EXAMPLES / name, tmp_path / name, ignore=shutil.ignore_patterns("records"))
    monkeypatch.chdir(tmp_path / name)
    return name


def one_after_the_other(
    job: str, set_up: str, measure: str, values: Sequence[str], more: Mapping[str, str]
) -> list[Ran]:
    """Pieces of which one measure reads so, nothing having been moved."""
    return [
        log(job, set_up, *(FURTHER if place else ()), **{**more, measure: value})
        for place, value in enumerate(values)
    ]


# ------------------------------------------------------------------------- what differs too much

# By more than its limits between one piece and the next: .008 in either side, 0.2 mm.
TO_AND_FRO = {
    "a moulding's depth": (
        "larder",
        "sticking-router-table",
        "sticking_depth",
        ".362 .388 .361 .389 .362 .388 .361 .389",
        {"sticking_width": ".375"},
    ),
    "a mortise's wall": (
        "larder",
        "mortise-chisel/stile-for-cross-bar",
        "near_wall",
        ".384 .365 .386 .364 .385 .366",
        {},
    ),
    "millimetres": (
        "vestibule",
        "sticking-router-table",
        "sticking_depth",
        "9.72 10.31 9.69 10.3 9.7 10.28",
        {},
    ),
}


@pytest.mark.parametrize(
    ("shop", "case"), [(case[0], name) for name, case in TO_AND_FRO.items()], indirect=["shop"]
)
def test_from_the_second_pair_on_it_is_said_that_pieces_or_readings_differ(
    shop: str, case: str
) -> None:
    _, set_up, measure, values, more = TO_AND_FRO[case]
    said = one_after_the_other(shop, set_up, measure, values.split(), more)
    for ran in said[3:]:
        (then,) = part(ran, "Next:")
        assert then.startswith("Out of reach: ") and "differs more from piece to piece" in then
        assert "Read it once more on this piece. If it reads the same, the pieces differ" in then
        assert part(ran, "What to do:")[0].startswith("leave alone: "), "nothing is moved before"
        at_best = int(then.partition("At best ")[2].partition(" %")[0])
        assert at_best < 60, then
    same = log(shop, set_up, "--same", **{measure: values.split()[-1]})
    (then,) = part(same, "Next:")
    assert "hold the work harder against stop and fence" in then.lower()
    assert "Read it once more" not in then and then.endswith(
        f"Once that is cured, begin its record afresh: setupsheets log {shop} {set_up} --afresh."
    )


def test_a_reading_that_does_not_come_again_is_what_differs(larder: Path) -> None:
    _, set_up, measure, values, more = TO_AND_FRO["a moulding's depth"]
    one_after_the_other("larder", set_up, measure, values.split()[:4], more)
    (then,) = part(log("larder", set_up, "--same", sticking_depth=".364"), "Next:")
    assert "reads otherwise each time that one piece is read" in then
    assert "hold the instrument square" in then and "stop and fence" not in then


@pytest.mark.parametrize(
    "values", [".370 .374 .378 .382", ".375 .375 .390 .375 .376", ".373 .377 .373 .377 .374"]
)
def test_what_creeps_is_odd_once_or_differs_a_little_does_not_differ_too_much(
    larder: Path, values: str
) -> None:
    """Two thousandths to and fro stand within .008 in; what creeps is named and clamped."""
    more = {"sticking_width": ".375"}
    set_up = "sticking-router-table"
    said = one_after_the_other("larder", set_up, "sticking_depth", values.split(), more)
    assert not [ran for ran in said if "Out of reach" in ran.out]
    creeps = [ran for ran in said if "every piece is further out than the last" in ran.out]
    assert creeps == ([said[3]] if "370" in values else [])


# ----------------------------------------------------------------- a dial that stands as it is said

HALF_OVER = {
    "larder": ("sticking-router-table", "sticking.height", "3/8", "7/8 in", {
        "sticking_width": ".375", "sticking_depth": ".875"}),
    "vestibule": ("sticking-router-table", "sticking.height", "10 mm", "22 mm", {
        "sticking_width": "9.5", "sticking_depth": "22"}),
}  # fmt: skip


@pytest.mark.parametrize("shop", HALF_OVER, indirect=True)
def test_a_dial_that_was_looked_at_is_not_to_be_looked_at_again(shop: str) -> None:
    """Moved by what is measured it would stand below nought. It stands as was said: its scale has
    slipped, and nobody looks again."""
    set_up, cause, figure, as_if, wrong = HALF_OVER[shop]
    log(shop, set_up, "--sure", **wrong)
    ran = log(shop, set_up, "--sure", *FURTHER, **wrong)
    assert "See whether it stands at " in ran.out and "if it does, say that too" in ran.out
    assert f'If it had not, say so: --dialled "{cause}=' in " ".join(ran.err.split())
    ran = log(shop, set_up, "--dialled", f"{cause}={figure}")
    assert "usually out" not in ran.err and "See whether it stands" not in ran.out
    ran = log(shop, set_up, "--same", "--sure", sticking_depth=wrong["sticking_depth"])
    for place in range(3, 10):
        (act,) = part(ran, "What to do:")
        assert f"and what was measured is as if it stood at {as_if}. See that no other" in act
        assert "the scale has slipped: put it right against a rule" in act
        assert part(ran, "Next:")[0].endswith("begin the record of this set-up afresh.")
        assert "over, by its dial: " in part(ran, "What explains it:")[0], f"piece {place}"
        ran = log(shop, set_up, "--sure", *FURTHER, **wrong)


def test_at_the_prompts_enter_says_that_it_was_looked_at(larder: Path) -> None:
    set_up, cause, _, _, wrong = HALF_OVER["larder"]
    log("larder", set_up, "--sure", **wrong)
    log("larder", set_up, "--did", "nothing")
    # Width, depth, right as typed; Enter; no further piece.
    typed = ".375\n.875\ny\n\nn\n"
    ran = run("log", "larder", set_up, *DAY, typed=typed)
    assert ran.code == 0, ran.err
    assert ran.err.count("To what had it been dialled at first?") == 1
    assert "the scale has slipped" in ran.out.rpartition("What to do:")[2]
    assert cause in "".join(path.read_text() for path in larder.glob("records/2021*/*.yaml"))


def test_a_dial_found_as_said_leaves_the_next_one_in_doubt(larder: Path) -> None:
    """Face to the tenon hangs on the face cheek's height and on the blank's thickness: where the
    dial stands as said it is the blank, and that is asked for."""
    wrong = {**RIGHT, "tenon_thickness": ".25", "face_to_tenon": ".5"}
    log("larder", "cope-crosscut-saw/cross-bar", "--sure", **wrong)
    before = log("larder", "cope-crosscut-saw/cross-bar", "--sure", *FURTHER, **wrong)
    assert any("face cheek: height" in line for line in part(before, "What explains it:"))
    after = log("larder", "cope-crosscut-saw/cross-bar", "--dialled", "face_cheek.height=7/8")
    assert part(after, "What explains it:")[0].startswith("blanks: thickness 1/8 in thick")
    assert "the thickness of its blank" in part(after, "Next:")[0]
    act = log("larder", "cope-crosscut-saw/cross-bar", "--sure", *FURTHER, **wrong)
    assert "from 7/8 in to 1 in" in part(act, "What to do:")[0], "nobody can: by what is measured"


# --------------------------------------------------------------------- how a record stands by now


def test_correct_says_how_its_record_stands(larder: Path) -> None:
    def said(day: str) -> str:
        ran = run("correct", "larder", CROSS_BAR, *found(**RIGHT), "--date", day)
        assert ran.code == 0, ran.err
        return " ".join(ran.err.split())

    assert "record" not in said("2021-03-01")
    log("larder", CROSS_BAR, **RIGHT | {"face_length": "14 9/32"})
    told = said("2021-03-02")
    assert told.startswith("Its record is open after 1 test piece, not proved. After test piece 1")
    assert "nobody has said whether that was done before this piece." in told
    assert told.endswith("These readings are weighed with it, and nothing is kept.")
    left = said("2021-05-01")
    assert left.startswith("Its record was left open after 1 test piece, not proved, on 2021-03-01")
    log("larder", CROSS_BAR, "--did", "advised", "--verdict", "given up", **RIGHT)
    told = said("2021-03-02")
    assert told.startswith("On 2021-03-01 this set-up was given up after 2 test pieces.")
    assert told.endswith("weighed without its test pieces, and nothing is kept.")
    ends = ("--afresh", "--next", "--verdict", "proved", "--although", "it fits")
    log("larder", CROSS_BAR, *ends, **RIGHT)
    assert said("2021-03-02").startswith("Its record is proved with 1 test piece. These readings")
    assert said("2031-03-02").startswith("On 2021-03-01, 10 years ago, this set-up was proved")
    assert len(list(larder.glob("records/*.yaml"))) == len(["given up", "proved"])


def unsure(ran: Ran) -> float:
    """How closely the back's length is told to be known, in inches."""
    (line,) = (each for each in ran.out.splitlines() if each.startswith("  Back, shoulder"))
    return float(line.partition("give or take ")[2].partition(" in")[0])


def test_dials_that_were_left_for_long_count_as_set_again(larder: Path) -> None:
    """Who says that nothing was moved since knows more than who says nothing."""
    spread = {}
    for how, said in {"stood": ("--did", "nothing"), "unknown": (), "soon": ()}.items():
        for path in [*larder.glob("records/*.yaml"), *larder.glob("records/*/*.yaml")]:
            path.unlink()
        log("larder", CROSS_BAR, **RIGHT)
        day = "2021-03-02" if how == "soon" else "2021-05-02"
        ran = run("log", "larder", CROSS_BAR, "--date", day, "--next", *said, *found(**RIGHT))
        assert ("Each dial counts as set again to its figure since then" in ran.err) is (
            how != "soon"
        )
        spread[how] = unsure(ran)
    assert spread["soon"] == spread["stood"] < spread["unknown"]


@pytest.mark.parametrize("answer", ["nothing", ""])
def test_at_the_prompts_it_is_asked_whether_the_dials_still_stand(
    larder: Path, answer: str
) -> None:
    log("larder", CROSS_BAR, **RIGHT)
    typed = f"{answer}\n" + "\n".join(RIGHT.values()) + "\nn\nn\n"
    ran = run("log", "larder", CROSS_BAR, "--date", "2021-05-02", typed=typed)
    assert ran.code == 0, ran.err
    asked = "Nothing was said of these dials since 2021-03-01: they may have been set again."
    assert ran.err.count(asked) == 1 and "Enter if nobody knows" in ran.err
    told = "".join(path.read_text() for path in larder.glob("records/*/*.yaml"))
    assert ("did: {}" in told) is bool(answer)


def test_a_dial_that_no_reading_hangs_on_may_be_moved(larder: Path) -> None:
    """The face cheek's stop shows in no measure: it was a ValueError."""
    log("larder", CROSS_BAR, **RIGHT)
    ran = log("larder", CROSS_BAR, "--next", "--did", "face_cheek.stop=1/64", **RIGHT)
    assert "face cheek: stop 13/32 in" in ran.out  # 25/64 and 1/64


# ------------------------------------------------------------------------ shims on the wrong side

WRONG_SIDE = {
    "larder": (".375", (".385", ".395", ".376"), "moved by .008 in, bit down,"),
    "vestibule": ("10", ("10.3", "10.6", "10.02"), "moved by 0.25 mm, bit down,"),
}


@pytest.mark.parametrize("shop", WRONG_SIDE, indirect=True)
def test_shims_on_the_wrong_side_are_told_and_the_move_counts_once_it_is_made(shop: str) -> None:
    """As much more as it was to be less: it is set up from the other side, and no figure is moved
    twice for it."""
    width, (first, wrong, right), moved = WRONG_SIDE[shop]
    set_up = "sticking-router-table"
    log(shop, set_up, sticking_width=width, sticking_depth=first)
    ran = log(shop, set_up, "--did", "advised", sticking_width=width, sticking_depth=wrong)
    (act,) = part(ran, "What to do:")
    assert act.startswith(f"sticking: height: {moved} before piece 2, yet Face to the bottom")
    assert "reads as far the other way. See which way it went. If the wrong one, back it off" in act
    stands = ran.out.splitlines()[-1]
    ran = log(shop, set_up, "--did", "nothing", sticking_width=width, sticking_depth=right)
    assert part(ran, "Next:")[0].startswith("Cut the parts: ")
    assert ran.out.splitlines()[-1] == stands, "where it was to go"


def test_shims_that_went_the_right_way_are_not_doubted(larder: Path) -> None:
    set_up = "sticking-router-table"
    log("larder", set_up, sticking_width=".375", sticking_depth=".385")
    for depth in (".376", ".380", ".383"):
        ran = run("correct", "larder", set_up, *DAY, *found(sticking_depth=depth))
        assert "the other way" not in ran.out


# --------------------------------------------------------------------------------- words for a fit

# As far as the limit that was felt to be passed, each beside its word.
BY_A_WORD = {
    "larder": {"loose": (".016 in", ".008 in"), "tight": (".008 in", ".008 in")},
    "vestibule": {"loose": ("0.4 mm", "0.2 mm"), "tight": ("0.2 mm", "0.2 mm")},
}


@pytest.mark.parametrize(
    ("shop", "word"),
    [(shop, word) for shop, words in BY_A_WORD.items() for word in words],
    indirect=["shop"],
)
def test_a_word_moves_a_setting_no_further_than_it_tells(shop: str, word: str) -> None:
    """1/64 and 1/128 in, 0.4 and 0.2 mm by the recipe; what is further out is seen and gets a
    number. Where it feels so still, it goes as far again."""
    fits = {"sticking_width": word, "sticking_depth": word}
    acts = part(log(shop, "sticking-router-table", **fits), "What to do:")
    by = [act.partition("router table: ")[2].partition(", ")[0] for act in acts if "table" in act]
    assert tuple(by) == BY_A_WORD[shop][word]
    again = {"sticking_width": "fits", "sticking_depth": word}
    (act, *_) = part(log(shop, "sticking-router-table", "--did", "advised", **again), "What to do:")
    assert f"height on the router table: {by[1]}, " in act, "it was seen and is out still"


def test_a_number_moves_it_as_far_as_it_is_out(larder: Path) -> None:
    (act, *_) = part(log("larder", "sticking-router-table", sticking_depth=".358"), "What to do:")
    assert "router table: .014 in, bit up" in act, "further than by a word"


# ------------------------------------------------------------- what was done otherwise than advised


def test_a_stop_that_was_moved_the_wrong_way_is_looked_at(larder: Path) -> None:
    """1/8 long is 1/16 at the stop; after it went the wrong way it is 1/4 long. Twice as far on top
    of a figure that it does not stand at is not advised."""
    log("larder", CROSS_BAR, "--sure", **RIGHT | {"back_length": "14 1/2"})
    ran = log("larder", CROSS_BAR, "--same", back_length="14 1/2")
    assert "from 3/8 in to 7/16 in" in part(ran, "What to do:")[0]
    ran = log(
        "larder", CROSS_BAR, "--did", "advised", "--sure", **RIGHT | {"back_length": "14 5/8"}
    )
    assert part(ran, "Next:")[0].startswith("Measure this piece again") and "See" not in ran.out
    ran = log("larder", CROSS_BAR, "--same", back_length="14 5/8")
    (act,) = part(ran, "What to do:")
    assert "moved by 1/16 in before piece 2, yet Back reads as far the other way. See" in act
    assert "See whether it stands at 7/16 in. If not, set it so" in act
    log("larder", CROSS_BAR, "--did", "nothing", **RIGHT)
    twice = {name: RIGHT[name] for name in ("back_length", "face_length")}
    ran = log("larder", CROSS_BAR, "--same", **twice)
    assert part(ran, "Next:")[0].startswith("Cut the parts")
    assert "back cheek: stop 7/16 in" in ran.out.splitlines()[-1]


def test_what_no_setting_moves_is_laid_to_its_cutter(larder: Path) -> None:
    """The mortise reads 1/64 wide, piece by piece: no fence and no depth is to blame."""
    wide = {"near_wall": ".375", "mortise_width": ".390", "mortise_depth": ".878"}
    log("larder", "mortise-chisel/stile-for-cross-bar", **wide)
    for _ in range(3):
        ran = log("larder", "mortise-chisel/stile-for-cross-bar", *FURTHER, **wide)
        (then,) = part(ran, "Next:")
        assert then.startswith("Out of reach: Width of the mortise hangs on no setting, it comes")
        assert "take one that cuts to size" in then and "near wall" not in then


def test_what_was_never_measured_is_asked_for_with_the_next_piece(larder: Path) -> None:
    """Read thickness alone, and no piece can tell the rest."""
    said = one_after_the_other("larder", CROSS_BAR, "tenon_thickness", [".39"] * 3, {})
    assert all("Measure more of this piece" in ran.out for ran in said[:2])
    (then,) = part(said[2], "Next:")
    assert then.startswith("Cut another test piece: ")
    assert "Measure on it what was on none so far: Overall" in then and then.endswith("cope.")
    (then,) = part(log("larder", CROSS_BAR, *FURTHER, **RIGHT), "Next:")
    assert "on none so far" not in then


@pytest.mark.parametrize("shop", ["vestibule"], indirect=True)
def test_how_a_cutter_cuts_is_no_scatter_of_its_fence(shop: str) -> None:
    """A groove 0.3 mm wide on every piece, which its limits allow: the fence stands as it did."""
    groove = {"near_wall": "10", "groove_depth": "12", "one_cut_width": "12.3"}
    log(shop, "groove-straight-bit", **groove)
    ran = log(shop, "groove-straight-bit", *FURTHER, **groove)
    assert part(ran, "Next:")[0].startswith("Cut the parts: 9")
    assert "most of all Width of the groove 0." in part(ran, "What explains it:")[0]
    wall = next(line for line in ran.out.splitlines() if "near wall: 10 mm give or take" in line)
    assert wall.partition("give or take ")[2].startswith("0.0"), wall


@pytest.mark.parametrize("shop", ["larder", "vestibule"], indirect=True)
def test_who_takes_nothing_twice_is_not_asked_to_for_ever(shop: str) -> None:
    """A back that lies to and fro by a mark of the rule, and each piece is read
    once, whatever is asked. With the fourth it is not asked any more, with the eighth it ends."""
    right, set_up = RIGHT, CROSS_BAR
    backs = ["14 3/8", "14 25/64", "14 23/64"] * 3
    if shop == "vestibule":
        set_up, backs = "cope-crosscut-saw/end-cross-bar-into-stile", ["280", "280.5", "279.5"] * 3
        right = {"overall": "300", "tenon_thickness": "12", "face_to_tenon": "10"}
        right |= {"face_length": "276", "cope_depth": "10"}
    said = one_after_the_other(shop, set_up, "back_length", backs[:8], right)
    asked = ["Measure" in part(ran, "Next:")[0] for ran in said]
    assert not any(asked[3:]), asked
    assert part(said[7], "Next:")[0].startswith(("Cut the parts", "Out of reach"))
