"""What is asked and told at the bench, whole: one figure or several, said before or after."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from msgspec.structs import replace

from setupsheets.records.calling_proved import Objections
from setupsheets.records.record import Record
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.bench import (
    a_move,
    broken_off_words,
    dials_line,
    objection_words,
    same_again_options,
    same_again_words,
    unanswered_options,
    unanswered_words,
    untold_options,
    untold_words,
)
from setupsheets.wording.open_together import beside_words
from setupsheets.wording.set_ups import verdict_words
from tests.records.made_up import HEAD, NOTATION, RECORD, inches

STOP, FENCE = "back_cheek.stop", "cope.fence"


def advised(record: Record, moves: Mapping[str, str], shims: tuple[str, ...] = ()) -> Record:
    """A record of one piece, with what was advised after it and nobody has answered."""
    amounts = {cause: inches(by) for cause, by in moves.items()}
    piece = replace(RECORD.pieces[0], answered=False, moved={}, advised=amounts,
                    advised_by_shims=shims)  # fmt: skip
    return replace(record, pieces=(piece,))


@pytest.mark.parametrize(
    ("moves", "words"),
    [
        ({"back_cheek.stop": "1/16"}, "move back cheek: stop from 13/32 in to 15/32 in"),
        ({"back_cheek.stop": "-1/16"}, "move back cheek: stop from 13/32 in to 11/32 in"),
        ({"blank.length": "-1/8"}, "take 1/8 in off the length of the blanks"),
        ({"blank.width": "1/8"}, "make the width of the next blanks 1/8 in larger"),
        (
            {"cope.fence": "1/64", "blank.length": "-1/8"},
            "move cope: fence from 13/16 in to 53/64 in and take 1/8 in off the length of the"
            " blanks",
        ),
    ],
)
def test_advice_that_nobody_answered_is_told_as_it_was_given(
    moves: dict[str, str], words: str
) -> None:
    record = advised(replace(HEAD, settings=RECORD.settings), moves)
    said = "After test piece 1 it was advised to {}, and nobody has said whether that {}."
    assert unanswered_words(record, NOTATION) == said.format(words, "was done before this piece")
    told = unanswered_words(record, NOTATION, same=True)
    assert told == said.format(words, "has been done since")
    cause, by = next(iter(record.pending.items()))
    assert unanswered_options(record, NOTATION) == (
        "Say it with this piece: --did advised, or --did nothing, or what was really moved, as in"
        f' --did "{cause}={NOTATION.write(by)}".'
    )
    assert a_move(record.pending, NOTATION) == f"{cause}={NOTATION.write(by)}"


@pytest.mark.parametrize(
    ("by", "way"), [(".004", "stop away from the blade"), ("-.004", "stop towards the blade")]
)
def test_what_was_to_be_moved_by_shims_is_told_by_how_much_and_which_way(by: str, way: str) -> None:
    words = unanswered_words(advised(HEAD, {STOP: by}, (STOP,)), NOTATION)
    assert f"advised to move back cheek: stop by .004 in, {way}, and nobody" in words


def test_what_looks_as_if_it_had_been_put_right_is_asked_after() -> None:
    record = replace(HEAD, pieces=RECORD.pieces[:1] * 3)
    stands = record.dialled(STOP)
    moved = {STOP: inches("1/16"), "blank.length": inches("-1/4")}
    old, new = (NOTATION.show(each) for each in (stands, stands + inches("1/16")))
    assert untold_words(record, moved, NOTATION) == (
        f"These readings look as if back cheek: stop had been moved from {old} to {new} and blanks:"
        " length had been made 1/4 in shorter since test piece 3, and nobody has said so."
    )
    longer = untold_words(record, {"blank.length": inches("1/4")}, NOTATION)
    assert "as if blanks: length had been made 1/4 in longer since" in longer
    assert untold_options(moved, NOTATION) == (
        'Say with this piece what was done: --did "back_cheek.stop=1/16 in" --did'
        ' "blank.length=-1/4 in", or --did nothing.'
    )


def test_what_the_dials_stand_at_and_what_they_are_set_to_first() -> None:
    begun = replace(RECORD, pieces=())
    assert dials_line(begun, NOTATION) == (
        "Set the dials to: back cheek: stop 13/32 in, cope: fence 13/16 in."
    )
    stand = dials_line(RECORD, NOTATION)
    assert stand == "The dials stand at: back cheek: stop 15/32 in, cope: fence 13/16 in."
    assert dials_line(replace(RECORD, settings=()), NOTATION) == "Nothing is dialled for this."


def test_the_same_readings_once_more_are_told_and_what_to_say_then() -> None:
    assert same_again_words(RECORD, again=True) == (
        "Test piece 2 was measured again today with just these readings, and they are kept."
    )
    assert same_again_words(RECORD, again=False) == (
        "These are the readings of test piece 2, which are kept: nothing is kept twice."
    )
    assert same_again_options(again=True) == "To keep them once more say --next."
    assert same_again_options(again=False) == (
        "If it is a further piece that reads the same, say --next; if it is the same piece measured"
        " again, --same."
    )
    assert broken_off_words(RECORD).startswith("Test piece 2 is kept without its advice: ")


@pytest.mark.parametrize(
    ("against", "words"),
    [
        (Objections(unread=True), "no test piece of it was read"),
        (Objections(outside=("Back", "Tenon")),
         "Back and Tenon of the last piece lies outside its limits"),
        (Objections(share=0.62, needed=0.9),
         "62 % of parts would be right as the machines stand, and the shop asks for 90 %"),
        (Objections(share=0.899, needed=0.9),
         "just under 90 % of parts would be right as the machines stand, and the shop asks for"
         " 90 %"),
        (Objections(outside=("Back",), share=0.3, needed=0.95),
         "Back of the last piece lies outside its limits; 30 % of parts would be right as the"
         " machines stand, and the shop asks for 95 %"),
    ],
)  # fmt: skip
def test_what_stands_against_a_proof_is_all_told(against: Objections, words: str) -> None:
    assert objection_words(against) == f"Not proved: {words}."


@pytest.mark.parametrize(
    ("verdict", "although", "words"),
    [
        (Verdict.OPEN, "", "open after 2 test pieces, not proved"),
        (Verdict.PROVED, "", "proved with 2 test pieces"),
        (Verdict.PROVED, "hidden", "taken with 2 test pieces, not proved: hidden"),
        (Verdict.GIVEN_UP, "", "given up after 2 test pieces"),
    ],
)
def test_where_a_record_stands(verdict: Verdict, although: str, words: str) -> None:
    record = replace(RECORD, verdict=verdict, although=although)
    assert verdict_words(record) == words
    one = replace(record, pieces=record.pieces[:1])
    assert verdict_words(one) == words.replace("2 test pieces", "1 test piece")


@pytest.mark.parametrize(("others", "does"), [(["late"], "does"), (["late", "last"], "do")])
def test_open_together(others: list[str], does: str) -> None:
    assert beside_words("gate", "cope/rail", ["early", *others]) == (
        f"More than one record of cope/rail is open. early, the earlier one, is used;"
        f" {' and '.join(others)} {does} not count beside it. To make one record of them:"
        " setupsheets log gate cope/rail --join."
    )
