"""What the test pieces come to, as a maker reads it: for terminal, sheet, record and JSON alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from setupsheets.corrections.advice import ExpectedReading
from setupsheets.corrections.limiting import Reason
from setupsheets.corrections.shown import UnfollowedMove
from setupsheets.lengths import Length, Notation
from setupsheets.machining.checking.joint import Joint
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.blanks import BlankFound
from setupsheets.records.record import BLANK_LENGTH, RecordedMeasure
from setupsheets.shop.machines import FineBy
from setupsheets.wording.advice import per_cent, recommendation_line
from setupsheets.wording.explanations import blank_made, explanation_lines, left_words
from setupsheets.wording.figures import about
from setupsheets.wording.fine_moves import fine_move
from setupsheets.wording.joinery_notes import note_texts
from setupsheets.wording.lists import listed, lowered
from setupsheets.wording.made_sizes import fitted_lines
from setupsheets.wording.proofs import joint_words
from setupsheets.wording.titles import cause_title, machine_title, titles_in

WHAT_TO_DO, NEXT = "What to do:", "Next:"
"""The headings of what a hand acts on."""

WHAT_EXPLAINS = "What explains it:"
"""The heading of what the readings say, whatever is done then."""

CUT_NEXT = (
    "What was done is written. Cut the next test piece so, and read it: it tells what is to be"
    " done then."
)

SEEN = 0.1
"""The narrowest gap in a joint that a maker sees, mm: a sheet of paper goes in. Common practice, no
source."""


def answer_sections(
    found: Answer | DryFitAnswer, notation: Notation, joint: Joint | None = None
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """An answer's headings, each with its lines, and for an end how the ``joint`` will lie on its
    mate then. Where it is settled what was done no move is told any more."""
    fits = found.record.fits if isinstance(found, Answer) else {}
    first = ((line, ()) for line in fitted_lines(fits, notation))
    moved = isinstance(found, Answer) and found.moved
    explained = (WHAT_EXPLAINS, explained_words(found, notation))
    if isinstance(found, Answer) and found.settled:
        return (*first, explained, (NEXT, (next_words(found),)))
    sections: tuple[tuple[str, tuple[str, ...]], ...] = (
        explained,
        (WHAT_TO_DO, _to_do(found, notation)),
        (
            f"What to expect of the parts {'then' if moved else 'as it stands'}:",
            tuple(_expected(found, notation)),
        ),
        (NEXT, (next_words(found),)),
        (
            "The joint to expect, laid on its mate:",
            (joint_words(joint, notation.small, SEEN),) if joint else (),
        ),
    )
    return (*first, *(section for section in sections if section[1]))


def answer_lines(
    found: Answer | DryFitAnswer, notation: Notation, joint: Joint | None = None
) -> tuple[str, ...]:
    """The same as lines, those of a heading set in."""
    return tuple(
        line
        for title, lines in answer_sections(found, notation, joint)
        for line in (title, *(f"  {each}" for each in lines))
    )


def advice_lines(found: Answer | DryFitAnswer, notation: Notation) -> tuple[str, ...]:
    """What to do, what to leave alone and what next: what a record keeps of an answer."""
    return (*_to_do(found, notation), next_words(found))


def blank_lines(blanks: Sequence[BlankFound], notation: Notation) -> tuple[str, ...]:
    """What becomes of each blank that is cut already, and how many of them can be used."""
    saved = sum(not blank.short for blank in blanks)
    return (
        *(f"blank {blank.number}: {_blank_use(blank, notation)}" for blank in blanks),
        f"{saved} of {len(blanks)} blanks can be used for this part",
    )


def _blank_use(blank: BlankFound, notation: Notation) -> str:
    if blank.good:
        return "good as it is"
    if not blank.short:
        return f"trim {notation.show(blank.longer)} off"
    use = (
        f"still serves for: {', '.join(blank.serves)}" if blank.serves else "serves as a test piece"
    )
    return f"{notation.show(-blank.longer)} too short; {use}"


def explained_words(found: Answer | DryFitAnswer, notation: Notation) -> tuple[str, ...]:
    """What explains the readings, a line each."""
    if isinstance(found, DryFitAnswer):
        told = note_texts(found.findings, notation)
        return told or ("Everything that was measured is within tolerance.",)
    last, limit = len(found.record.pieces) - 1, found.recommendation.limit
    return explanation_lines(
        found.explanations,
        titles_in(found.record),
        notation,
        again={(name, last) for name in found.again},
        moved=found.moved,
        looked_at={each.cause for each in found.record.settings if each.looked_at},
        stayed={each.cause for each in found.record.settings} - {*found.record.moves},
        differ=_DIFFER.get(limit.reason, "") if limit and not limit.said else "",
    )


_DIFFER: Mapping[Reason, str] = {
    "scatter": "the pieces differ from each other",
    "pieces or readings": "the pieces differ from each other, or their readings do",
    "unsteady readings": "the readings differ from each other",
}


def _to_do(found: Answer | DryFitAnswer, notation: Notation) -> tuple[str, ...]:
    if isinstance(found, DryFitAnswer):
        return ()
    if found.held:
        unseen = () if found.measured_again else found.unfollowed
        first = tuple(_unfollowed_words(move, found, notation) for move in unseen)
        return first + tuple(_beyond_words(cause, found, notation) for cause in found.beyond)
    return (
        *(_creeping_words(cause, moved=cause in found.moved) for cause in found.creeping),
        *(move_words(cause, found, notation) for cause in found.moved),
        *_left_alone(found),
    )


def _left_alone(found: Answer) -> Iterator[str]:
    """What is not to be moved, and why, where that is not that it reads right."""
    titles: dict[str, list[str]] = {"": [], _TILL_SHOWN: [], _UNREAD: []}
    doubted = _in_doubt(found)
    for move in found.advice.moves:
        cause = move.cause.name
        if move.leave_alone and cause not in found.creeping:
            why = _TILL_SHOWN if cause in doubted else "" if move.told else _UNREAD
            titles[why].append(cause_title(cause))
    return (
        f"leave alone{why.format('it' if len(each) == 1 else 'them')}: {', '.join(each)}"
        for why, each in titles.items()
        if each
    )


_TILL_SHOWN = ", until the next piece shows whether that was so"
_UNREAD = ", as nothing measured so far tells of {}"


def _in_doubt(found: Answer) -> set[str]:
    """The causes to which the likeliest account lays what will be out, and that are not moved
    yet."""
    if found.recommendation.kind != "another test piece":
        return set()
    out = [m for m, item in outcomes(found) if not m.allows(Length.from_float(item.mean))]
    hang = {cause for measure in out for cause in measure.moved_by}
    told = (each for account in found.explanations.ranked[:1] for each in account.causes)
    return {each.cause.name for each in told if each.how != "ordinary"} & hang


def _creeping_words(cause: str, *, moved: bool) -> str:
    return (
        f"{cause_title(cause)}: every piece is further out than the last. Find what slips there and"
        f" clamp it{' before it is set again' * moved}"
    )


def _unfollowed_words(move: UnfollowedMove, found: Answer, notation: Notation) -> str:
    """That a move does not show, and what to look at before anything is moved again."""
    name, record, titles = move.cause.name, found.record, titles_in(found.record)
    by, dial = abs(Length.from_float(move.amount)), found.dials.get(name)
    reads = "reads" if len(move.unchanged) == 1 else "read"
    how = "as far the other way" if move.wrong_way else "as on the piece before"
    still = f"{listed(titles[each] for each in move.unchanged)} {reads} {how}"
    before = f"before piece {move.piece + 1}, yet {still}"
    if name not in {setting.cause for setting in record.settings}:
        done = f"made {notation.mark(by)} {blank_made(name, more=move.amount > 0)}"
        return f"{cause_title(name)}: to be {done} {before}. See whether this piece was"
    stands = record.dialled(name)
    told = notation.dialled(by, dial.finest) if dial else notation.small(by)
    look, so = "See whether it was. If not, do that now", "was"
    if dial and dial.nearest(stands) == stands:
        figure = notation.dialled(stands, dial.finest)
        look, so = f"See whether it stands at {figure}. If not, set it so", "does"
    elif move.wrong_way:
        way = (dial.more if move.amount > 0 else dial.less) if dial else "as was said"
        told = f"{notation.small(by)}, {way},"
        look, so = (
            "See which way it went. If the wrong one, back it off to where it stood before and set"
            " it by as much from there, from the other side",
            "went right",
        )
    return (
        f"{cause_title(name)}: moved by {told} {before}. {look}, and say of the next piece that"
        f" nothing was moved; if it {so}, something else cuts there: find that before it is moved"
        " again"
    )


def next_words(found: Answer | DryFitAnswer) -> str:
    """What to do next, in one line."""
    if isinstance(found, DryFitAnswer):
        return "Glue up." if found.ready else "Put that right and measure again before any glue."
    if found.slipped and not found.measured_again:
        return (
            "Once that is put right and the dial set to its figure, begin the record of this set-up"
            " afresh."
        )
    if found.to_look_at:
        return "See where it stands, or measure this piece again, before anything is moved or cut."
    if found.unfollowed and not found.measured_again:
        return "Cut another test piece once that is seen to, with nothing else moved."
    if found.creeping and found.recommendation.kind == "another test piece":
        return "Cut another test piece once it is clamped, to see that it stays where it is set."
    if found.settled:
        return CUT_NEXT
    bases = {measure.name: measure.basis for measure in found.record.measures}
    record = found.record
    blanks = {each: f"the {each.removeprefix('blank.')} of its blank" for each in record.blanks}
    last = record.pieces[-1] if record.pieces else None
    read = {each.of for each in last.counted} if last else set()
    ever = {each.of for piece in record.pieces for each in piece.counted}
    afresh = f"setupsheets log {record.job} {record.set_up} --afresh"
    return recommendation_line(
        found.recommendation,
        {**titles_in(record), **blanks},
        bases,
        moved=bool(found.moved),
        read=read,
        unread=[name for name in bases if name not in ever] if last else (),
        afresh=afresh if found.at_an_end else "",
    )


def verdict_word(found: Answer | DryFitAnswer) -> str:
    """What to do next in a word or two, the same ones every time, for a program to act on."""
    if isinstance(found, Answer):
        return "another test piece" if found.settled else found.recommendation.kind
    return "cut parts" if found.ready else "look at the parts"


def move_words(cause: str, found: Answer, notation: Notation) -> str:
    """What is to be moved from where to where, or what is to be done about the blanks."""
    record, amount = found.record, found.moved[cause]
    left = _left_words(cause, found, notation)
    if cause not in {setting.cause for setting in record.settings}:
        return f"{cause_title(cause)}: {_blanks_by(cause, amount, notation)}{left}"
    dial, old = found.dials.get(cause), record.dialled(cause)

    def told(figure: Length) -> str:
        return dial_words(cause, figure, found, notation)

    more, less = (dial.more, dial.less) if dial else ("further", "back")
    way, setting = more if amount > Length.ZERO else less, record.setting(cause)
    where = f"{cause_title(cause)} on the {lowered(machine_title(setting))}"
    if cause in found.shims:
        by = dial.fine_by if dial else FineBy.SHIMS
        shims = found.shims[cause]
        act = fine_move(setting.setting, amount, shims, notation, by, paper=found.paper)
        return f"{where}: {notation.small(abs(amount))}, {way}: {act}{left}"
    return f"{where}: from {told(old)} to {told(old + amount)} ({told(abs(amount))}, {way}){left}"


def _left_words(cause: str, found: Answer, notation: Notation) -> str:
    """What a move leaves of the error that the likeliest account tells, where it is not all of it,
    and why: which measures come out right so, by what else is in them, or that it is allowed."""
    told = (each for account in found.explanations.ranked[:1] for each in account.causes)
    suspect = next((each for each in told if each.cause.name == cause), None)
    if suspect is None:
        return ""
    left, off = left_words(suspect, found.moved[cause], notation)
    if not off:
        return ""
    titles = titles_in(found.record)
    hang = [(m, item, m.moved_by[cause]) for m, item in outcomes(found) if m.moved_by.get(cause)]
    right = [
        titles[measure.name]
        for measure, item, by in hang
        if len(measure.moved_by) > 1 and abs(item.mean) < abs(float((left * by).mm)) / 2
    ]
    leaves = f"; that leaves {'them' if suspect.cause.kind == 'blank' else 'it'} {off}"
    if right:
        return (
            f"{leaves}, so that {listed(right)} {'comes' if len(right) == 1 else 'come'} out right"
        )
    allowed = all(m.allows(Length.from_float(i.mean)) and m.allows(left * b) for m, i, b in hang)
    return f"{leaves}, which the limits allow" if allowed else leaves


def dial_words(cause: str, figure: Length, found: Answer, notation: Notation) -> str:
    """A figure of a setting, by its dial's marks where the answer knows them."""
    dial = found.dials.get(cause)
    return notation.dialled(figure, dial.finest) if dial else notation.show(figure)


def _beyond_words(cause: str, found: Answer, notation: Notation) -> str:
    """That the readings ask of a dial what it cannot give, and what to look at."""
    dial, stands = found.dials[cause], found.record.dialled(cause)
    most = f" to {notation.show(dial.greatest)}" if dial.greatest is not None else " upwards"
    figure = notation.dialled(stands, dial.finest)
    machine = lowered(machine_title(found.record.setting(cause)))
    if cause in found.slipped:
        cuts = notation.dialled(stands - found.beyond[cause], dial.finest)
        return (
            f"{cause_title(cause)} on the {machine} stands at {figure} by its scale, as was found,"
            f" and what was measured is as if it stood at {cuts}. See that no other cut reaches"
            " there. If none does, the scale has slipped: put it right against a rule, and note"
            " that under events in the machine's file"
        )
    return (
        f"move nothing: the readings ask {cause_title(cause)} on the {machine} for a figure that it"
        f" cannot stand at (it goes from 0{most}). See whether it stands at {figure}. If not, say"
        " to what it was dialled; if it does, say that too, and measure the piece again, every line"
        " of it"
    )


def _blanks_by(cause: str, amount: Length, notation: Notation) -> str:
    """Blanks can be trimmed or planed; where they are too small only the next ones can be made
    larger."""
    by, larger = notation.show(abs(amount)), blank_made(cause, more=True)
    smaller = blank_made(cause, more=False)
    if amount < Length.ZERO and cause == BLANK_LENGTH:
        return f"trim the blanks already cut by {by}, and cut the next ones so"
    if amount < Length.ZERO:
        return f"take {by} off the blanks already made, and make the next ones so"
    return (
        f"make the next blanks {by} {larger}; those already made are too small for this part and"
        f" still serve as test pieces or {smaller} parts"
    )


def _expected_at(target: Length, item: ExpectedReading, notation: Notation) -> str:
    """An expected size: the target itself where it is as good as that, else to the nearest mark, or
    as fine as a caliper reads where it is known to less than half of one."""
    off = Length.from_float(item.mean)
    if abs(item.mean) <= item.sd:
        return notation.show(target)
    coarse = 2 * Length.from_float(item.sd) >= notation.finest_mark
    return (notation.mark if coarse else notation.show)(target + off)


def outcomes(found: Answer) -> Iterator[tuple[RecordedMeasure, ExpectedReading]]:
    """Each measure beside what is expected of a part cut after the moves."""
    measures = {measure.name: measure for measure in found.record.measures}
    return ((measures[item.measurement], item) for item in found.advice.expected)


def _expected(found: Answer | DryFitAnswer, notation: Notation) -> Iterator[str]:
    """How each measure of a part cut after the moves will come out."""
    if isinstance(found, DryFitAnswer) or found.held or not found.advice.expected:
        return
    for measure, item in outcomes(found):
        expected = _expected_at(measure.target, item, notation)
        sure = about(Length.from_float(item.sd), notation)
        target = notation.show(measure.target)
        yield f"{measure.title}: {expected} give or take {sure} (to be {target})"
    yield f"all of them right: {per_cent(found.advice.probability)}"
