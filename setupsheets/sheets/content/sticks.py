"""Story sticks and spacer blocks as they stand on the parts sheets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from setupsheets.joinery.frame.layout import bars_in
from setupsheets.joinery.members.parts import Joinery, Mortise
from setupsheets.joinery.members.stick import Line, Spacers, Stick, StickMark
from setupsheets.lengths import Length, Notation
from setupsheets.sheets.content.finished_parts import PartsBlock, Table
from setupsheets.sheets.drawings.stick_drawing import Zone, story_stick
from setupsheets.shop.jobs import Job
from setupsheets.wording.lists import listed, many
from setupsheets.wording.places import LIES, edge_name

_ZONES = {
    Line.MORTISE_START: (Line.MORTISE_END, "mortise"),
    Line.HALVING_START: (Line.HALVING_END, "halving"),
    Line.LOCK_START: (Line.LOCK_END, "lock"),
    Line.HINGE_START: (Line.HINGE_END, "hinge, on the hinge stile"),
}
_ENDS_OF_ZONES = frozenset(end for end, _ in _ZONES.values())


def stick_blocks(
    sticks: Sequence[Stick], joinery: Joinery, notation: Notation
) -> Iterator[PartsBlock]:
    """One block for all parts that are marked alike: the stick drawn with a number at each mark,
    and by these numbers what it is and where."""
    alike: dict[tuple[object, ...], list[Stick]] = {}
    for stick in sticks:
        key = (LIES[stick.role].datum, tuple(_rows(stick, joinery, notation)))
        alike.setdefault(key, []).append(stick)
    for number, group in enumerate(alike.values(), 1):
        stick, parts = group[0], listed(each.part for each in group)
        rows = tuple(_rows(stick, joinery, notation))
        drawing = story_stick(f"stick-{number:02}", parts, stick, zones(stick), notation)
        yield PartsBlock(
            f"stick-{number:02}",
            f"Story stick: {parts}",
            " ".join(_words(stick, joinery, notation, first=number == 1)),
            drawing,
            Table(("No.", "Mark", "On", "At", "To", "Size"), rows, counts=(0,)),
            worked=any(mark.line in _ZONES for mark in stick.marks),
        )


def _words(stick: Stick, joinery: Joinery, notation: Notation, *, first: bool) -> Iterator[str]:
    """What all figures of a stick have alike; how to mark from one line is said at the first."""
    again = "; never step one off from another" if first else ""
    yield f"Every figure from {LIES[stick.role].datum}, the flag{again}."
    if common := _common(stick, joinery, notation):
        yield common


def _common(stick: Stick, joinery: Joinery, notation: Notation) -> str:
    """What all mortises of a part have alike, where they do: how wide they are and how far from the
    face."""
    alike = {_across(each, notation) for each in _mortises(stick.part, joinery)}
    return f"Mortises {alike.pop()}." if len(alike) == 1 else ""


def _mortises(part: str, joinery: Joinery) -> list[Mortise]:
    return [each for each in (*joinery.mortises, *joinery.haunches) if each.part == part]


def _across(mortise: Mortise, notation: Notation) -> str:
    wide, back = notation.show(mortise.thickness), notation.show(mortise.from_face)
    return f"{wide} wide, {back} from the face"


def zones(stick: Stick) -> list[Zone]:
    """What stands in each row of the table: a mortise, a halving or the lock between its two marks,
    or one mark alone."""
    return [
        Zone(mark.mark, _end_of(mark, stick).mark if mark.line in _ZONES else mark.mark)
        for mark in stick.marks
        if mark.line not in _ENDS_OF_ZONES
    ]


def _end_of(mark: StickMark, stick: Stick) -> StickMark:
    """The mark at which a zone ends that starts at another: the next of its kind, part and edge."""
    ends = _ZONES[mark.line][0]
    return next(
        other
        for other in stick.marks
        if (other.line, other.of, other.edge) == (ends, mark.of, mark.edge) and other.at > mark.at
    )


def _rows(stick: Stick, joinery: Joinery, notation: Notation) -> Iterator[tuple[str, ...]]:
    told = (mark for mark in stick.marks if mark.line not in _ENDS_OF_ZONES)
    for number, mark in enumerate(told, 1):
        edge = edge_name(joinery.part(stick.part), mark.edge) if mark.edge is not None else ""
        if mark.line not in _ZONES:
            yield str(number), mark.line.value, edge, notation.show(mark.at), "", ""
            continue
        what, end = _ZONES[mark.line][1], _end_of(mark, stick)
        yield (
            str(number),
            f"{what} for the {mark.of}" if mark.of else what,
            edge,
            notation.show(mark.at),
            notation.show(end.at),
            _size(mark, stick.part, joinery, notation),
        )


def _size(mark: StickMark, part: str, joinery: Joinery, notation: Notation) -> str:
    """A mortise's depth, and its width and place across the thickness where not all of the part
    have them alike; a halving's depth and side."""
    show, found = notation.show, _mortises(part, joinery)
    alike = len({_across(each, notation) for each in found}) == 1
    for mortise in found:
        if mark.line is Line.MORTISE_START and (mortise.holds, mortise.start) == (mark.of, mark.at):
            across = "" if alike else f"{_across(mortise, notation)}, "
            return f"{across}{show(mortise.depth)} deep"
    for halving in joinery.halvings:
        at = (halving.part, halving.crosses, halving.start)
        if mark.line is Line.HALVING_START and at == (part, mark.of, mark.at):
            return f"{show(halving.depth)} deep, from the {'face' if halving.from_face else 'back'}"
    return ""


def spacers_block(spacers: Sequence[Spacers], job: Job, notation: Notation) -> PartsBlock:
    """Blocks between the bars and middle stiles on the face, and the check that all together fill
    the field."""
    held = dict.fromkeys(f"{_between(each, job)}s" for each in spacers)
    return PartsBlock(
        "spacers",
        "Spacer blocks, between sight edges on the face",
        f"Cut to the mark, they hold the {listed(held)} apart at the glue-up and check the marks"
        " before the first mortise.",
        table=Table(
            (
                "Field",
                "Direction",
                "Blocks",
                "Between them",
                "All together",
                "Blocks as marked come out",
            ),
            tuple(_spacer_row(each, job, notation) for each in spacers),
            (0,),
        ),
    )


def _between(each: Spacers, job: Job) -> str:
    return "bar" if bars_in(job.fields[each.field - 1]) else "middle stile"


def _spacer_row(each: Spacers, job: Job, notation: Notation) -> tuple[str, ...]:
    blocks = ", ".join(f"{count} × {notation.mark(size)}" for size, count in each.blocks)
    return (
        str(each.field),
        "across" if each.direction == "columns" else "up",
        blocks,
        f"{many(each.bars, _between(each, job))} of {notation.show(each.bar_width)}",
        notation.show(each.sight),
        _drift(each.drift, notation) if each.adds_up else "NOT the field: the marks are wrong",
    )


def _drift(drift: Length, notation: Notation) -> str:
    if not drift:
        return "exact"
    return f"{notation.small(abs(drift))} too {'long' if drift > Length.ZERO else 'short'}"
