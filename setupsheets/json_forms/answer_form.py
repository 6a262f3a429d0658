"""`correct --json` and `log --json`: what the readings of a test piece come to."""

from __future__ import annotations

from typing import Any

from setupsheets.json_forms.document import form
from setupsheets.json_forms.fitted_form import fitted_told
from setupsheets.json_forms.json_values import length, value
from setupsheets.lengths import Length, Notation
from setupsheets.machining.planning.fitted_ends import designed_for
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.wording.answers import (
    dial_words,
    explained_words,
    move_words,
    next_words,
    outcomes,
    verdict_word,
)
from setupsheets.wording.bench import dials_line
from setupsheets.wording.titles import cause_title

_MICRON = Length.millimetres("1/1000")


def correct_form(
    opened: OpenSetUp, found: Answer | DryFitAnswer, blanks: tuple[str, ...]
) -> dict[str, Any]:
    """Advice that was kept nowhere; ``blanks`` say what is to be done with those cut already."""
    told = answer_told(found, opened.notation)
    return form("correct", fitted_to=_fitted(opened), answer=told, blanks=list(blanks))


def log_form(opened: OpenSetUp, found: Answer | DryFitAnswer | None) -> dict[str, Any]:
    """Advice on what a record has, None where it has no readings, and how the dials stand now, in
    words."""
    told = answer_told(found, opened.notation) if found is not None else None
    dials = dials_line(opened.record, opened.notation)
    record, fitted = str(opened.path), _fitted(opened)
    return form("log", record=record, dials=dials, fitted_to=fitted, answer=told)


def _fitted(opened: OpenSetUp) -> list[dict[str, Any]]:
    return fitted_told(opened.record.fits, designed_for(opened.set_up), opened.notation)


def answer_told(found: Answer | DryFitAnswer, notation: Notation) -> dict[str, Any]:
    """An answer: what explains the readings, what to move, what to expect; chances 0 to 1.

    What is inferred is told to a micron. Where it is settled what was done, nothing is advised.
    """
    told = found if isinstance(found, Answer) else None
    advised = None if told and told.settled else told
    untouched = told.advice.untouched if told else float(found.ready)
    errors = {} if told and told.settled else found.errors

    def inferred(size: Length) -> dict[str, str]:
        return length(size.rounded_to(_MICRON), notation.small(size))

    return {
        "verdict": str(verdict_word(found)),
        "next": next_words(found),
        "right_after_moves": value(advised.advice.probability if advised else untouched, notation),
        "right_as_it_stands": value(untouched, notation),
        "explanations": list(explained_words(found, notation)),
        "moves": [_move(cause, advised, notation) for cause in advised.moved] if advised else [],
        "left_alone": [cause_title(cause) for cause in advised.left_alone] if advised else [],
        "expected": [
            {
                "measure": measure.name,
                "title": measure.title,
                "target": length(measure.target, notation.show(measure.target)),
                "off": inferred(Length.from_float(item.mean)),
                "give_or_take": inferred(Length.from_float(item.sd)),
                "inside": value(item.probability, notation),
            }
            for measure, item in (outcomes(advised) if advised else ())
        ],
        "out_after_moves": {cause: inferred(error) for cause, error in errors.items()},
        "measure_again": list(found.again),
    }


def _move(cause: str, found: Answer, notation: Notation) -> dict[str, Any]:
    amount, set_ = found.moved[cause], cause in {item.cause for item in found.record.settings}
    old = found.record.dialled(cause) if set_ else None

    def stands(figure: Length) -> dict[str, str]:
        return length(figure, dial_words(cause, figure, found, notation))

    return {
        "cause": cause,
        "title": cause_title(cause),
        "words": move_words(cause, found, notation),
        "by": length(amount, notation.small(amount)),
        "from": None if old is None else stands(old),
        "to": None if old is None else stands(old + amount),
        "by_shims": cause in found.by_shims,
    }
