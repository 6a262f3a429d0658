"""How many test pieces are due and why, for every place that says it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from setupsheets.lengths import Notation
from setupsheets.records.changes import last_day
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.records.standing import Stands
from setupsheets.wording.figures import about
from setupsheets.wording.lists import listed
from setupsheets.wording.made_sizes import fitted_lines
from setupsheets.wording.set_ups import change_words, verdict_words
from setupsheets.wording.titles import cause_title

DUE: Mapping[Stands, str] = {
    Stands.NOT: "It was not tested for this job.",
    Stands.OPEN: "Its record is {verdict}.",
    Stands.LEFT: "Its record was left {verdict}, on {date}, {ago} ago.{dials}",
    Stands.PROVED: "On {date} this set-up was {verdict}; nothing on record has changed since.",
    Stands.AGED: "On {date}, {ago} ago, this set-up was {verdict}.{dials}",
    Stands.REAIMED: (
        "On {date} this set-up was {verdict}, when other figures were to be made. Since then"
        " {since}.{fits}"
    ),
    Stands.TIGHTENED: (
        "On {date} this set-up was {verdict}, to wider limits than today's, and what was read does"
        " not prove it to these: {since}.{fits}"
    ),
    Stands.CHANGED: "On {date} this set-up was {verdict}. Since then {since}.{fits}",
}
"""Why so many are due."""

DIALS: Mapping[Stands, str] = {
    Stands.LEFT: (
        " Each dial counts as set again to its figure since then, unless it is said with the next"
        " piece that nothing was moved. Where they were set anew to other figures, begin another:"
        " setupsheets log {job} {set_up} --afresh."
    ),
    Stands.AGED: (" Dials that are set again come back near where they stood, not to it.{returns}"),
}
"""The same of the dials, where any is set."""

GIVEN_UP = "On {date} this set-up was {verdict}."
"""The same where the last record was given up."""


def due_line(due: PiecesDue, notation: Notation) -> str:
    """`Test pieces to get out: 3, one of them to spare. It was not tested for this job.`"""
    spare = ", one of them to spare" if due.stands not in (Stands.OPEN, Stands.PROVED) else ""
    return f"Test pieces to get out: {due.pieces}{spare}. {due_words(due, notation)}"


def due_words(due: PiecesDue, notation: Notation) -> str:
    """Why so many test pieces are due, and what is known of dials that are set again."""
    record = due.record
    if record is None:
        return DUE[due.stands]
    date = last_day(record)
    said = GIVEN_UP if due.stands is Stands.NOT else DUE[due.stands]
    dials = DIALS.get(due.stands, "") if record.settings else ""
    return said.replace("{dials}", dials).format(
        verdict=verdict_words(record),
        job=record.job,
        set_up=record.set_up,
        date=date,
        ago=_ago(date, due.today),
        since=changes_words(due, notation),
        fits="".join(f" {line}" for line in fitted_lines(due.fits, notation)),
        returns=_returns_words(due, notation),
    )


def changes_words(due: PiecesDue, notation: Notation) -> str:
    """What has changed that asks for them."""
    return "; ".join(change_words(change, notation) for change in due.since)


def _returns_words(due: PiecesDue, notation: Notation) -> str:
    """How near the records say that dials come back."""
    if not due.returns:
        return ""
    told = (f"{about(by, notation)} ({cause_title(c)})" for c, by in due.returns.items())
    return (
        " Going by the records and the years since, expect each to cut where it did, give or take"
        f" {listed(told)}."
    )


def _ago(date: datetime.date, today: datetime.date) -> str:
    """`40 days`, `7 months`, `a year`, `10 years`: whole ones, by the calendar."""
    early, late = sorted((date, today))
    months = 12 * (late.year - early.year) + late.month - early.month - (late.day < early.day)
    if months < _SOME:
        return f"{(late - early).days} days"
    if months == _YEAR:
        return "a year"
    return f"{months // _YEAR} years" if months >= _SOME * _YEAR else f"{months} months"


_YEAR = 12  # months
_SOME = 2  # months or years that are told as such; between one and two years it is the months
