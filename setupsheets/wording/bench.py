"""What `log` says at the bench beside the advice: what it must know first, what stands against a
proof, what the dials stand at."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from setupsheets.lengths import Length, Notation
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.calling_proved import Objections
from setupsheets.records.changes import last_day
from setupsheets.records.entry import Entry, folded
from setupsheets.records.index import Facts
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.record import Record
from setupsheets.records.standing import Stands
from setupsheets.records.told import Told
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.machines import MachineSetting
from setupsheets.wording.advice import per_cent, short_of
from setupsheets.wording.explanations import blank_made
from setupsheets.wording.lists import listed
from setupsheets.wording.made_sizes import mate_lines
from setupsheets.wording.open_together import beside_words, one_counts_words
from setupsheets.wording.pieces_due import changes_words, due_line, due_words
from setupsheets.wording.set_ups import verdict_words
from setupsheets.wording.titles import cause_title, titles_in


def beside_lines(opened: OpenSetUp, *, begins: bool) -> tuple[str, ...]:
    """What is to be known before anything is kept: other open records of the same set-up, what its
    ends go into; where it ``begins``, also that this is not known yet, and the test pieces due."""
    mates = mate_lines(opened.mates, opened.set_up.counts, opened.notation, unread=begins)
    before = (*others_words(opened), *begun_anew_words(opened, begins=begins), *mates)
    due = opened.due if opened.set_up.is_tried else None
    if due and due.stands is Stands.LEFT:
        return (*before, due_words(due, opened.notation))
    return (*before, due_line(due, opened.notation)) if due and begins else before


def stands_words(opened: OpenSetUp) -> str:
    """How the record of a set-up stands that readings are weighed with, or that they do not belong
    to any more; empty where there is none. Nothing is kept of them."""
    due, record = opened.due, opened.record
    if opened.path is None:
        known = due is not None and due.record is not None
        alone = "These readings are weighed without its test pieces, and nothing is kept."
        return f"{due_words(due, opened.notation)} {alone}" if due and known else ""
    stands = f"Its record is {verdict_words(record)}."
    if due is not None:
        stands = due_words(due, opened.notation)
    if record.pending:
        stands = f"{stands} {unanswered_words(record, opened.notation)}"
    return f"{stands} These readings are weighed with it, and nothing is kept."


def others_words(opened: OpenSetUp) -> tuple[str, ...]:
    """That more than one record of the set-up is open and which of them is used; that it is open
    under another job or name."""
    told = [
        f"{facts.set_up} of the job {facts.job} was begun on {facts.date}, by the same recipe "
        f"for the same section, and is open: {_gone_on_with(facts, opened)}. This begins a record "
        "of its own."
        for facts in opened.elsewhere
    ]
    if opened.others:
        record, others = opened.record, (each.head.name for each in opened.others)
        names = (record.name, *others)
        if unlike := opened.unlike_others():
            counts = one_counts_words(record.set_up, names)
            told.append(f"{counts} {unlike_words(opened, unlike)}")
        else:
            words = beside_words(record.job, record.set_up, names)
            told.append(f"{words} To begin anew in place of all: --afresh.")
    told += [
        f"{part.head.name}, which is one record with this, was called {verdict} without the test "
        "pieces that are not in it. That does not count: give --verdict on all of them."
        for part in opened.told.joined
        if (verdict := folded(part.head, part.entries).verdict) is not Verdict.OPEN
        and opened.record.verdict is Verdict.OPEN
    ]
    return tuple(told)


def begun_anew_words(opened: OpenSetUp, *, begins: bool) -> tuple[str, ...]:
    """That a new record is begun though there is one, and why: other figures are to be made, since
    its ends are fitted otherwise or the job or a recipe asks for others; something was done to a
    machine; it was proved long ago. Where it ``begins``, that stands with the test pieces due."""
    due = opened.due
    if due is None or due.record is None or due.stands.goes_on or due.stands is Stands.NOT:
        return ()
    if due.stands is not Stands.REAIMED:
        said = f"This begins a record of its own. {due_words(due, opened.notation)}"
        return () if begins else (said,)
    what = "is of ends that were fitted otherwise"
    if not due.fits and due.record.fitted_to == opened.record.fitted_to:
        what = "was read when other figures were to be made"
        what += "" if begins else f" ({changes_words(due, opened.notation)})"
    return (
        f"Record {due.record.name} {what}. This begins a record of its own; the dials go on from"
        " where that one left them, by as much as the figures differ.",
    )


def _gone_on_with(facts: Facts, opened: OpenSetUp) -> str:
    """How to go on with a record of another job; a job that was renamed takes none along."""
    command = f"setupsheets log {facts.job} {facts.set_up}"
    if opened.shop.has("job", facts.job):
        return f"to go on with that one, {command}"
    return f"that job has no file any more; with one of that name {command} goes on with it"


def joined_words(told: Told, entry: Entry) -> str:
    """That records are one from now on, or are not any more."""
    pieces = len(told.record.pieces)
    count = "1 test piece counts" if pieces == 1 else f"{pieces} test pieces count"
    names = listed(entry.joins or entry.apart)
    if entry.joins:
        return (
            f"{names} and {told.head.name} are one record now: {count}, each once, and what follows"
            " goes into the latter. No file was changed; --apart takes them apart again."
        )
    return f"{names} and {told.head.name} are apart again: {count} in the latter by itself."


def unlike_words(opened: OpenSetUp, names: Sequence[str]) -> str:
    """Why two open records cannot be one."""
    titles = dict(titles_in(opened.record))
    titles |= {name: cause_title(name) for name in names if "." in name}
    return (
        "They cannot be joined: the open records do not have the same "
        f"{listed(titles.get(name, name) for name in names)}; the job, the recipe, the machine or"
        " the cutter was changed between them. To go on with the later one, call the "
        'earlier one given up: --verdict "given up". To begin anew in place of all: --afresh.'
    )


def unanswered_words(record: Record, notation: Notation, *, same: bool = False) -> str:
    """That it was not said what was done about the last advice."""
    moves = listed(_move(record, cause, notation) for cause in record.pending)
    return (
        f"After test piece {len(record.pieces)} it was advised to {moves}, and nobody has said"
        f" whether that {'has been done since' if same else 'was done before this piece'}."
    )


def cured_question(found: Answer | DryFitAnswer) -> str:
    """What is asked before a piece is read into a record that is at an end; empty for any other."""
    if not isinstance(found, Answer) or not (limit := found.recommendation.limit):
        return ""
    if not found.at_an_end:
        return ""
    subject = titles_in(found.record)[limit.subject]
    return f"Is what put {subject} out of reach cured? Then its record begins afresh"


def left_words(record: Record) -> str:
    """That a record was left for so long that nobody knows whether its dials still stand."""
    return (
        f"Nothing was said of these dials since {last_day(record)}: they may have been set again."
    )


def unanswered_options(record: Record, notation: Notation) -> str:
    """The three ways to say what was done, at the command line."""
    return (
        "Say it with this piece: --did advised, or --did nothing, or what was really moved, as in "
        f'--did "{a_move(record.pending, notation)}".'
    )


def a_move(moved: Mapping[str, Length], notation: Notation) -> str:
    """The first of some moves as it is typed: `cope.fence=-1/64 in`."""
    cause, amount = next(iter(moved.items()))
    return f"{cause}={notation.write(amount)}"


def untold_words(record: Record, moved: Mapping[str, Length], notation: Notation) -> str:
    """That the readings look as if something had been put right."""
    as_if = listed(_as_if(record, cause, amount, notation) for cause, amount in moved.items())
    return (
        f"These readings look as if {as_if} since test piece {len(record.pieces)}, and nobody has"
        " said so."
    )


def untold_options(moved: Mapping[str, Length], notation: Notation) -> str:
    """How to say at the command line that it was put right."""
    told = " ".join(f'--did "{cause}={notation.write(each)}"' for cause, each in moved.items())
    return f"Say with this piece what was done: {told}, or --did nothing."


def _as_if(record: Record, cause: str, amount: Length, notation: Notation) -> str:
    dials = {setting.cause: setting.dial for setting in record.settings}
    if cause in dials:
        old, dial = record.dialled(cause), dials[cause]
        now = _figure(old + amount, dial, notation)
        return f"{cause_title(cause)} had been moved from {_figure(old, dial, notation)} to {now}"
    by = notation.show(abs(amount))
    return f"{cause_title(cause)} had been made {by} {blank_made(cause, more=amount > Length.ZERO)}"


def _move(record: Record, cause: str, notation: Notation) -> str:
    amount = record.pending[cause]
    dials = {setting.cause: setting.dial for setting in record.settings}
    if cause not in dials:
        by, blank = notation.show(abs(amount)), cause.partition(".")[2]
        if amount < Length.ZERO:
            return f"take {by} off the {blank} of the blanks"
        return f"make the {blank} of the next blanks {by} larger"
    old, dial = record.dialled(cause), dials[cause]
    if dial and cause in record.pieces[-1].advised_by_shims:
        way = dial.more if amount > Length.ZERO else dial.less
        return f"move {cause_title(cause)} by {notation.small(abs(amount))}, {way}"
    return (
        f"move {cause_title(cause)} from {_figure(old, dial, notation)} to "
        f"{_figure(old + amount, dial, notation)}"
    )


def _figure(figure: Length, dial: MachineSetting | None, notation: Notation) -> str:
    return notation.dialled(figure, dial.finest) if dial else notation.show(figure)


def dials_line(record: Record, notation: Notation) -> str:
    """What every dial of the set-up stands at now, or before the first piece is to be set to;
    advice that nobody has said to be done is not in it."""
    stand = ", ".join(
        f"{cause_title(each.cause)} " + _figure(record.dialled(each.cause), each.dial, notation)
        for each in record.settings
    )
    if not stand:
        return "Nothing is dialled for this."
    return f"{'The dials stand at' if record.pieces else 'Set the dials to'}: {stand}."


def verdict_line(opened: OpenSetUp) -> str:
    """That a record is closed, how, and where its test piece hangs; or that one that was called
    proved is open again. Empty for any other."""
    record = opened.record
    if record.verdict is Verdict.OPEN:
        called = [entry.verdict for entry in opened.told.entries if entry.verdict is not None]
        return REOPENED if called[-1:] == [Verdict.PROVED] else ""
    kept = f" Its test piece is kept: {record.kept}." if record.kept else ""
    return f"This set-up is {verdict_words(record)}.{kept}"


REOPENED = (
    "This set-up was called proved, and a test piece since then lies outside its limits: it is open"
    " again until it is called so anew."
)
"""What a check piece does that is not right."""


def doubted_dial_words(
    opened: OpenSetUp, cause: str, amount: Length, looked_for: Collection[str] = ()
) -> str:
    """That a setting is found further off than it usually is: its dial, or how it was set? Of those
    that are ``looked_for``, of which the answer says so, to what it was to be dialled."""
    setting = opened.record.setting(cause)
    by = opened.notation.show(abs(amount))
    figure = _figure(setting.dialled, setting.dial, opened.notation)
    if cause in looked_for:
        return f"{cause_title(cause)} was to be dialled to {figure} at first."
    return (
        f"{cause_title(cause)}: {by} is more than a setting is usually out. Either its dial reads "
        f"wrong, or it had not been dialled to {figure} at first; the next set-up goes by which of "
        "the two it was."
    )


def not_dialled_words(opened: OpenSetUp, cause: str, amount: Length, found: Length) -> str:
    """That a figure is none that a setting can have been dialled to, by what the pieces read."""
    setting, show = opened.record.setting(cause), opened.notation.show
    return (
        f"by its test pieces {cause_title(cause)} stood at about {show(setting.dialled - amount)} "
        f"if it was set wrong: {show(found)} is nowhere near that"
    )


def doubted_dial_options(opened: OpenSetUp, cause: str, amount: Length) -> str:
    """How to say that it had been set wrong, or that it had not."""
    write, said = opened.notation.write, opened.record.setting(cause).dialled
    return (
        "If it had been set wrong, say to what it was dialled:"
        f' --dialled "{cause}={write(said - amount)}". If it had not, say so:'
        f' --dialled "{cause}={write(said)}".'
    )


def same_again_words(record: Record, *, again: bool) -> str:
    """That the same readings were kept a moment ago."""
    number = len(record.pieces)
    if again:
        return (
            f"Test piece {number} was measured again today with just these readings, and they are "
            "kept."
        )
    return f"These are the readings of test piece {number}, which are kept: nothing is kept twice."


def same_again_options(*, again: bool) -> str:
    """What to say at the command line where they are to be kept once more."""
    if again:
        return "To keep them once more say --next."
    return (
        "If it is a further piece that reads the same, say --next; if it is the same piece measured"
        " again, --same."
    )


def objection_words(against: Objections) -> str:
    """Why a set-up is not proved."""
    why = []
    if against.unread:
        why.append("no test piece of it was read")
    if against.outside:
        why.append(f"{listed(against.outside)} of the last piece lies outside its limits")
    if against.share is not None:
        share = short_of(against.share, against.needed)
        why.append(
            f"{share} of parts would be right as the machines stand, and the shop asks for"
            f" {per_cent(against.needed)}"
        )
    return f"Not proved: {'; '.join(why)}."


ALTHOUGH = "To call it proved all the same, say why, and the sheet will say it too"
"""What a verdict of proved asks for that the test pieces do not bear out."""

ALTHOUGH_OPTION = f'{ALTHOUGH}: --although "...".'
"""The same at the command line."""


def broken_off_words(record: Record) -> str:
    """That the last piece was kept without its advice."""
    return (
        f"Test piece {len(record.pieces)} is kept without its advice: log was broken off then. This"
        " is what it comes to:"
    )


def came_between_words() -> str:
    """That somebody else has added to the record meanwhile."""
    return (
        "Somebody else has added to this record meanwhile; your readings are kept beside theirs. "
        "This is what all of them come to:"
    )
