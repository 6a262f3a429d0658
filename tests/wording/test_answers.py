"""What to do after a test piece, in words: figures moved from and to, blanks, expectations."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.corrections.advice import Advice, ExpectedReading, Move
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.explain import (
    Explanation,
    Explanations,
    SuspectCause,
    SuspectReading,
)
from setupsheets.corrections.prediction import Misses
from setupsheets.corrections.shown import UnfollowedMove
from setupsheets.corrections.stopping import Recommendation
from setupsheets.json_forms.answer_form import answer_told
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.shop.machines import MachineSetting, SetBy
from setupsheets.wording.answers import advice_lines, answer_lines, move_words
from setupsheets.wording.explanations import explanation_lines
from setupsheets.wording.figures import about
from setupsheets.wording.titles import cause_title, titles_in
from tests.records.made_up import NOTATION, RECORD, inches

STOP, FENCE = "back_cheek.stop", "cope.fence"
DIAL = MachineSetting("Stop", inches("1/64"), SetBy.RULE, "stop away", "stop closer")


def answer(*, dials: bool = True, **moved: str) -> Answer:
    """An answer to the made-up record, its stop at 15/32 in and its fence at 13/16 in."""
    amounts = {cause.replace("__", "."): inches(amount) for cause, amount in moved.items()}
    moves = [Move(Cause(cause), float(by.mm), 0.0, 0.1) for cause, by in amounts.items()]
    alone = Move(Cause("cope.height"), 0.0, 0.0, 0.1)
    return Answer(
        record=RECORD,
        explanations=Explanations((), (), unexplained=True),
        advice=Advice(
            (*moves, alone),
            (ExpectedReading("back_length", 0.0, 0.1, 0.9),),
            0.9,
            0.2,
            Misses(0.9, 0.0, 0.05, 0.05),
        ),
        recommendation=Recommendation("cut parts", 0.9),
        moved=amounts,
        dials={STOP: DIAL, FENCE: DIAL} if dials else {},
    )


# Worked by hand from 15/32 in: 1/16 in more is 17/32, 1/16 in less 13/32.
MOVES = {
    "more": ("1/16", "from 15/32 in to 17/32 in (1/16 in, stop away)"),
    "less": ("-1/16", "from 15/32 in to 13/32 in (1/16 in, stop closer)"),
}


@pytest.mark.parametrize("case", MOVES)
def test_a_dial_is_moved_from_where_it_stands(case: str) -> None:
    amount, words = MOVES[case]
    told = answer(back_cheek__stop=amount)
    assert move_words(STOP, told, NOTATION) == f"back cheek: stop on the crosscut-saw: {words}"


def test_no_dial_is_sent_where_it_cannot_stand() -> None:
    told = replace(answer(), beyond={STOP: Length("-1/2 in")})
    lines = answer_lines(told, NOTATION)
    assert not told.ready
    assert lines[lines.index("What to do:") + 1] == (
        "  move nothing: the readings ask back cheek: stop on the crosscut-saw for a figure that "
        "it cannot stand at (it goes from 0 upwards). See whether it stands at 15/32 in. If not, "
        "say to what it was dialled; if it does, say that too, and measure the piece again, every "
        "line of it"
    )
    assert lines[lines.index("Next:") + 1] == (
        "  See where it stands, or measure this piece again, before anything is moved or cut."
    )
    assert not [line for line in lines if "expect" in line]


@pytest.mark.parametrize(("amount", "way"), [("1/16", "further"), ("-1/16", "back")])
def test_a_dial_of_a_machine_that_is_gone_is_moved_all_the_same(amount: str, way: str) -> None:
    told = answer(dials=False, back_cheek__stop=amount)
    assert move_words(STOP, told, NOTATION).endswith(f"(1/16 in, {way})")


def test_blanks_are_trimmed_or_the_next_ones_cut_larger() -> None:
    trim, larger = answer(blank__length="-1/4"), answer(blank__length="1/4")
    assert move_words("blank.length", trim, NOTATION) == (
        "blanks: length: trim the blanks already cut by 1/4 in, and cut the next ones so"
    )
    assert move_words("blank.length", larger, NOTATION) == (
        "blanks: length: make the next blanks 1/4 in longer; those already made are too small for"
        " this part and still serve as test pieces or shorter parts"
    )


@pytest.mark.parametrize(
    ("size", "more", "less"), [("thickness", "thicker", "thinner"), ("width", "wider", "narrower")]
)
def test_what_a_plane_takes_off_is_not_trimmed(size: str, more: str, less: str) -> None:
    off = (inches(by) for by in ("-7/64", "1/64"))
    too_large, too_small = (replace(answer(), moved={f"blank.{size}": by}) for by in off)
    said = move_words(f"blank.{size}", too_large, NOTATION)
    assert said.endswith(": take 7/64 in off the blanks already made, and make the next ones so")
    said = move_words(f"blank.{size}", too_small, NOTATION)
    assert f"make the next blanks 1/64 in {more}; " in said and said.endswith(f"or {less} parts")


@pytest.mark.parametrize(
    ("unit", "mark", "error", "told"),
    [  # Plain arithmetic: a mark is told where it is off by a tenth of the error at most.
        (Unit.MM, "1/2", 0.3, "0.3 mm over"),
        (Unit.MM, "1/2", -0.24, "0.24 mm under"),
        (Unit.MM, "1/2", 1.92, "2 mm over"),
        (Unit.MM, "1/2", 1.72, "1.72 mm over"),
        (Unit.IN, "1/64", 0.39, "1/64 in over"),
        (Unit.IN, "1/64", 0.3048, ".012 in over"),
        (Unit.IN, "1/64", -2.8, "7/64 in under"),
    ],
)
def test_an_error_is_told_as_it_is_and_at_a_mark_where_that_is_as_good(
    unit: Unit, mark: str, error: float, told: str
) -> None:
    ranked = (Explanation(0.9, (off(STOP, "setting", error),), ()),)
    found = Explanations(ranked, (), False)
    (line,) = explanation_lines(found, titles_in(RECORD), Notation(unit, Fraction(mark)))
    assert line == f"back cheek: stop {told}, by a slip or by its dial: 90 %"


def test_a_record_keeps_what_to_do_and_what_next() -> None:
    told = answer(back_cheek__stop="1/16")
    assert advice_lines(told, NOTATION) == (
        move_words(STOP, told, NOTATION),
        "leave alone: cope: height",
        "Cut the parts: 90 % of them will be inside every limit.",
    )
    assert "  all of them right: 90 %" in answer_lines(told, NOTATION)


def test_json_has_the_figures_and_the_words() -> None:
    told = answer_told(answer(back_cheek__stop="1/16", blank__length="-1/4"), NOTATION)
    stop, blank = told["moves"]
    # 1/16, 15/32 and 17/32 in, an inch being 25.4 mm by definition (ISO 31-1)
    assert (stop["cause"], stop["by"]["mm"], stop["from"]["mm"], stop["to"]["mm"]) == (
        STOP,
        "127/80",
        "381/32",
        "2159/160",
    )
    assert stop["to"]["words"] == "17/32 in"
    assert (blank["by"]["mm"], blank["from"], blank["to"]) == ("-127/20", None, None)
    assert (told["right_after_moves"], told["right_as_it_stands"]) == (0.9, 0.2)
    assert told["verdict"] == "cut parts"


def test_a_dry_fit_that_is_right_is_glued_up() -> None:
    told = answer_told(DryFitAnswer(()), NOTATION)
    assert (told["verdict"], told["right_after_moves"]) == ("cut parts", 1)
    assert told["next"] == "Glue up."


def test_what_causes_and_measures_are_called() -> None:
    assert cause_title("back_shoulder.stop") == "back shoulder: stop"
    titles = titles_in(replace(RECORD, pieces=()))
    assert titles == {
        "blank.length": "blanks: length",
        "back_cheek.stop": "back cheek: stop",
        "cope.fence": "cope: fence",
        "back_length": "Back",
        "half": "# a title that YAML must quote",
    }


def off(name: str, kind: Any, error: float, how: Any = "blunder") -> SuspectCause:
    return SuspectCause(Cause(name, kind), how, 0, error, error, 0.01, ())


SLIP = ", by a slip or by its dial"


@pytest.mark.parametrize(
    ("cause", "kind", "over", "under"),
    [
        ("blank.length", "blank", "1/4 in long", "1/4 in short"),
        ("blank.width", "blank", "1/4 in wide", "1/4 in narrow"),
        ("blank.thickness", "blank", "1/4 in thick", "1/4 in thin"),
        (
            STOP,
            "setting",
            "1/4 in over, by a slip or by its dial",
            "1/4 in under, by a slip or by its dial",
        ),
    ],
)
def test_a_size_is_off_in_its_own_words(cause: str, kind: str, over: str, under: str) -> None:
    for error, words in ((6.35, over), (-6.35, under)):
        found = Explanations((Explanation(0.9, (off(cause, kind, error),), ()),), (), False)
        (line,) = explanation_lines(found, {cause: cause_title(cause)}, NOTATION)
        assert line == f"{cause_title(cause)} {words}: 90 %"


def test_one_doubt_is_told_once_and_as_sure_as_it_is() -> None:
    doubt = SuspectReading("misreading", 0, "back_length", 12.7, 0.51)
    ranked = (
        Explanation(0.5, (), (doubt,)),
        Explanation(0.49, (off(STOP, "setting", -6.35),), ()),
        Explanation(0.01, (off(FENCE, "setting", -6.35),), ()),
    )
    titles = {**titles_in(RECORD), "back_length": "Back"}
    found = Explanations(ranked, (doubt,), False)
    assert explanation_lines(found, titles, NOTATION, again={("back_length", 0)}) == (
        "Back of piece 1: as well as not a misreading, by about 1/2 in (51 %); measure it again"
        " before moving anything",
        "back cheek: stop 1/4 in under, by a slip or by its dial: 49 %",
    )
    sure = replace(doubt, probability=0.8)
    (line, *_) = explanation_lines(replace(found, readings=(sure,)), titles, NOTATION)
    assert line.startswith("Back of piece 1: likely a misreading, by about 1/2 in (80 %)")


def test_what_creeps_is_clamped_before_it_is_set_again() -> None:
    found = (Explanation(0.9, (off(STOP, "setting", -0.4, "drift"),), ()),)
    told = answer(back_cheek__stop="1/64")
    told = replace(
        told,
        explanations=Explanations(found, (), False),
        recommendation=Recommendation("another test piece", 0.9),
    )
    lines = answer_lines(told, NOTATION)
    assert lines[lines.index("What to do:") + 1].startswith(
        "  back cheek: stop: every piece is further out than the last. Find what slips"
    )
    assert lines[lines.index("Next:") + 1].startswith("  Cut another test piece once it is clamped")
    # Where it was moved and is not to be moved any more it has been seen to stay.
    still = replace(told, moved={})
    assert "clamp" not in "".join(answer_lines(still, NOTATION))


@pytest.mark.parametrize(
    ("cause", "amount", "words"),
    [
        (
            STOP,
            1.5875,
            "moved by 1/16 in before piece 2, yet Back reads as on the piece before. See",
        ),
        (
            STOP,
            1.5875,
            "whether it stands at 15/32 in. If not, set it so, and say of the next piece",
        ),
        (STOP, 1.5875, "if it does, something else cuts there: find that before it is moved again"),
        (
            "blank.length",
            -6.35,
            "to be made 1/4 in shorter before piece 2, yet Back reads as on the",
        ),
        ("blank.length", 6.35, "to be made 1/4 in longer before piece 2, yet Back reads as on"),
    ],
)
def test_a_move_that_does_not_show_comes_before_all_others(
    cause: str, amount: float, words: str
) -> None:
    move = UnfollowedMove(Cause(cause), amount, 1, ("back_length",))
    told = replace(
        answer(),
        recommendation=Recommendation("another test piece", 0.5),
        explanations=Explanations((), (), False, (move,)),
    )
    assert told.held
    lines = answer_lines(told, NOTATION)
    todo = lines[lines.index("What to do:") + 1 : lines.index("Next:")]
    assert len(todo) == 1 and todo[0].startswith(f"  {cause_title(cause)}: ") and words in todo[0]
    assert lines[lines.index("Next:") + 1] == (
        "  Cut another test piece once that is seen to, with nothing else moved."
    )
    cut = replace(told, recommendation=Recommendation("cut parts", 0.95))
    assert words not in "".join(answer_lines(cut, NOTATION))


@pytest.mark.parametrize(
    ("amount", "stands", "dials", "names", "words"),
    [
        (1.5875, "15/32", True, ("back_length",),
         "moved by 1/16 in before piece 2, yet Back reads as far the other way. See whether it"
         " stands at 15/32 in. If not, set it so, and say of the next piece that nothing was moved;"
         " if it does, something"),
        (0.1016, ".471", True, ("back_length", "half"),
         "moved by .004 in, stop away, before piece 2, yet Back and # a title that YAML must quote"
         " read as far the other way. See which way it went. If the wrong one, back it off to where"
         " it stood before and set it by as much from there, from the other side, and say of the"
         " next piece that nothing was moved; if it went right, something"),
        (-0.1016, ".471", True, ("back_length",), "moved by .004 in, stop closer, before piece 2"),
        (0.1016, ".471", False, ("back_length",),
         "moved by .004 in, as was said, before piece 2, yet Back reads as far the other way."),
    ],
)  # fmt: skip
def test_a_move_that_went_the_other_way_is_looked_at(
    amount: float, stands: str, dials: bool, names: tuple[str, ...], words: str
) -> None:
    """What stands on a mark is looked at there; what was moved by shims by which way it went."""
    first = replace(RECORD.settings[0], dialled=inches(stands))
    record = replace(RECORD, settings=(first, RECORD.settings[1]), pieces=(
        replace(RECORD.pieces[0], moved={}), RECORD.pieces[1]))  # fmt: skip
    move = UnfollowedMove(Cause(STOP), amount, 1, names, wrong_way=True)
    told = replace(
        answer(dials=dials),
        record=record,
        recommendation=Recommendation("another test piece", 0.5),
        explanations=Explanations((), (), False, (move,)),
    )
    lines = answer_lines(told, NOTATION)
    act = lines[lines.index("What to do:") + 1]
    assert act.startswith(f"  back cheek: stop: {words}")
    assert act.endswith("else cuts there: find that before it is moved again")


@pytest.mark.parametrize(
    ("mean", "sd", "words"),
    [
        # The target is 14 3/8 in; .005 in is .127 mm, 1/64 in .397 mm.
        (0.05, 0.1, "14 3/8 in give or take .004 in (to be 14 3/8 in)"),
        (0.127, 0.05, "14 3/8 in full by .005 in give or take .002 in (to be 14 3/8 in)"),
        (0.4, 0.25, "14 25/64 in give or take .010 in (to be 14 3/8 in)"),
    ],
)
def test_what_is_expected_is_told_as_closely_as_it_is_known(
    mean: float, sd: float, words: str
) -> None:
    told = answer()
    expected = (ExpectedReading("back_length", mean, sd, 0.9),)
    told = replace(told, advice=replace(told.advice, expected=expected))
    (line,) = (line for line in answer_lines(told, NOTATION) if "give or take" in line)
    assert "What to expect of the parts as it stands:" in answer_lines(told, NOTATION)
    assert line.endswith(words)


SPREADS = {".0554": ".055 in", ".0156": ".016 in", ".01": ".010 in", ".0003": "<.001 in"}


@pytest.mark.parametrize("amount", SPREADS)
def test_what_is_known_roughly_is_told_to_a_thousandth(amount: str) -> None:
    assert about(inches(amount), NOTATION) == SPREADS[amount]
