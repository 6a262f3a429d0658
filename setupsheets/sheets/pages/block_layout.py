"""How a block of operations is laid out: which tables it has, and how wide their columns are."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby
from typing import TypeVar

from msgspec import Struct

from setupsheets.sheets.content.finished import (
    PARTS,
    TEST_PIECE,
    Dial,
    DrawnCut,
    Fact,
    MachineSheet,
    MeasureRow,
    OperationBlock,
    OperationRow,
    SettingRow,
)
from setupsheets.sheets.content.sharing import held_by
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.pages.heights import GAP, INLINE, LEAST, WIDE
from setupsheets.sheets.pages.printed_words import in_parts, target_parts, whole, width
from setupsheets.wording.operations import only_for

T = TypeVar("T")

BOX = 22.0  # mm: how wide a box for the pencil is
LENGTHS = "Lengths"
NUMBER = 13.0  # mm: a box to tick and an operation's number
LEAST_WORDS = 34.0  # mm: the least room for what a row is for
LONG_PARTS = 40  # letters that stand in that room beside one figure
FOUND = ("found 1", "found 2")


class RowLayout(Struct, frozen=True):
    """A block's rows: the widths of the columns in mm, over how many of them words and figures to
    set reach, and the heads of the boxes. ``below`` are measures in rows of their own, two in
    each, under what is set; else a row holds the one that it has. Of operations for which one
    figure is set and nothing read ``abreast`` stand in a row."""

    columns: tuple[float, ...]
    words: int
    sets: tuple[int, ...]
    boxes: tuple[str, ...]
    below: int
    abreast: int = 1

    @property
    def after_set(self) -> int:
        """How many columns are left in a row of a dial that is set once."""
        return len(self.columns) - 1 - self.words - self.sets[0]


def row_layout(block: OperationBlock) -> RowLayout:
    """The layout of a block's rows."""
    figures = [row.settings[at].set_to for row in block.rows for at, _ in moved_dials(block)]
    figures += [dial.once.set_to for dial in dials_once(block) if dial.once]
    needed = round(max((_set_wide(each) for each in figures), default=0.0), 1)
    if in_rows(block) and not read_at_once(block):
        return _with_rows_below(block, needed)
    words = round(WIDE / 2 - NUMBER - needed, 1)
    if words >= LEAST_WORDS and block.shared and _is_set_alone(block):
        return RowLayout((NUMBER, words, needed) * 2, 1, (1,), (), below=0, abreast=2)
    many = max(len(moved_dials(block)), 1 if block.dials else 0)
    boxes = (*FOUND, "moved") if in_rows(block) else ()
    read = [_should_wide(block), *[BOX] * len(boxes)] if boxes else []
    left = WIDE - NUMBER - sum(read)
    each = round(min(needed, (left - LEAST_WORDS) / many), 1) if many else 0.0
    columns = (NUMBER, round(left - many * each, 1), *[each] * many, *read)
    return RowLayout(columns, 1, (1,) * many, boxes, below=0)


def _with_rows_below(block: OperationBlock, needed: float) -> RowLayout:
    """Two targets with two boxes each, or three with one, then a box for what was moved; the figure
    to set reaches over as many columns from the right as it needs."""
    least, three = 12.0, max(len(row.measures) for row in block.rows) == 3
    below, found = (3, FOUND[:1]) if three else (2, FOUND)
    boxes = [BOX] * len(found)
    should = min(_should_wide(block), (WIDE - NUMBER - least) / below - sum(boxes))
    rest = WIDE - NUMBER - below * (should + sum(boxes))
    read = (*[should, *boxes] * below, round(rest, 1))
    reach = next(n for n in range(1, len(read)) if sum(read[-n:]) >= needed)
    return RowLayout((NUMBER, *read), len(read) - reach, (reach,), found, below)


def side_by_side(row: OperationRow, many: int) -> Iterator[Sequence[MeasureRow]]:
    """What a row measures, ``many`` things at a time."""
    yield from (row.measures[at : at + many] for at in range(0, len(row.measures), many))


def moved_dials(block: OperationBlock) -> list[tuple[int, Dial]]:
    """The dials that are set anew for each row, with their places; all of them where each row
    holds its reading as well."""
    every = read_at_once(block)
    return [(at, dial) for at, dial in enumerate(block.dials) if every or dial.once is None]


def dials_once(block: OperationBlock) -> list[Dial]:
    """The dials that are set once, where rows do not hold them."""
    return [] if read_at_once(block) else [dial for dial in block.dials if dial.once]


def _set_wide(words: str) -> float:
    """How wide a cell is in mm that holds a figure to set on one line, at least for its heading."""
    number, unit, rest = in_parts(words)
    sizes = (INLINE[f"span.{kind}"].size for kind in ("figure", "unit", "rest"))
    figure, mark, over = (
        width(each, size, True)
        for each, size in zip((number, f" {unit}", rest), sizes, strict=True)
    )
    return max(24.0, figure + mark, over) + 4


def _should_wide(block: OperationBlock) -> float:
    """How wide a cell is in mm that holds a target behind its letter, what that is full or scant by
    on a line of its own, and its tolerance on one line."""
    found = [each for row in block.rows for each in row.measures]
    targets = (
        (0 if at else width(letter(each), 11, True) + 2) + width(words, 13, True)
        for each in found
        for at, words in enumerate(target_parts(each.target))
    )
    within = (width(whole(each.tolerance)) for each in found)
    return round(max(24.0, *targets, *within) + 3, 1)


def _is_set_alone(block: OperationBlock) -> bool:
    """Whether one figure is set for each row and nothing read."""
    return len(block.dials) == len(moved_dials(block)) == 1 and not block.has_measures


def read_at_once(block: OperationBlock) -> bool:
    """Whether one figure is set and one reading taken for each row, so that a row holds both; some
    rows may have none. One row alone is none where its parts take more room than its figure."""
    titles = {each.title for row in block.rows for each in row.measures}
    alone = all(len(row.measures) < 2 for row in block.rows)
    short = block.shared or len(block.rows[0].parts) <= LONG_PARTS
    return len(block.dials) == 1 and len(titles) == 1 and alone and short


def in_rows(block: OperationBlock) -> bool:
    """Whether what is read stands with the rows of what is set: there is room under one figure."""
    room = read_at_once(block) or (block.shared and len(moved_dials(block)) < 2)
    return block.has_measures and bool(block.dials) and room


def letter(measure: MeasureRow) -> str:
    """The letter of a thing to measure in its drawing; empty where it has none."""
    name, colon, _ = measure.title.partition(": ")
    return name if colon and len(name) == 1 else ""


def names_measures(block: OperationBlock) -> bool:
    """Whether things to measure stand by their names beside their boxes: where they have no letter
    that a drawing and the words beside it explain."""
    return any(not letter(each) for row in block.rows for each in row.measures)


def dial_columns(block: OperationBlock, across: float) -> list[float]:
    """The widths of the columns of a table of dials: what is set, and its figure."""
    figure = max(_set_wide(dial.once.set_to) for dial in block.dials if dial.once) + 6
    return [round(across - figure, 1), round(figure, 1)]


def measure_columns(block: OperationBlock, across: float, boxes: Sequence[str]) -> list[float]:
    """The widths of the columns of a table of measures ``across`` mm wide."""
    number = [14.0] if block.shared else []
    left = across - sum(number) - BOX * len(boxes)
    return [*number, round(left, 1), *[BOX] * len(boxes)]


def is_by_hand(block: OperationBlock) -> bool:
    """Whether nothing is set or measured: words alone, that run on behind their title."""
    return not (block.dials or block.has_measures or block.drawings)


def runs_of(blocks: Iterable[T], kind: Callable[[T], bool]) -> Iterator[tuple[bool, list[T]]]:
    """Blocks in order, and whether they are several of a kind one after another."""
    for alike, found in groupby(blocks, kind):
        run = list(found)
        yield (alike and len(run) > 1, run)


def runs_by_hand(blocks: Sequence[OperationBlock]) -> Iterator[tuple[bool, list[OperationBlock]]]:
    """Blocks in order, and whether they are several of words alone, which stand in two columns."""
    return runs_of(blocks, is_by_hand)


def own_facts(block: OperationBlock, sheet: MachineSheet) -> list[Fact]:
    """The facts of a block, without the parts where those stand in a row, or are the leaf; how
    short parts lie in their lengths once a machine."""
    told = read_at_once(block) or block.measured_on != TEST_PIECE
    facts = [fact for fact in block.facts if not (told and fact.label == PARTS)]
    if not _tells_lengths(block, sheet):
        return _without_lengths(facts)
    lengths = _by_rows(block, lambda row: row.fact(LENGTHS))
    return [*facts, *(Fact(LENGTHS, words) for words in lengths)]


def row_facts(row: OperationRow) -> Sequence[Fact]:
    """The facts of a row; how short parts lie in their lengths stands with those of its block."""
    return _without_lengths(row.facts)


def _tells_lengths(block: OperationBlock, sheet: MachineSheet) -> bool:
    """Whether a block is the first of its machine that tells how short parts lie in their
    lengths."""
    telling = (
        each.number
        for each in sheet.operations
        for facts in (each.facts, *(row.facts for row in each.rows))
        if any(fact.label == LENGTHS for fact in facts)
    )
    return block.number == next(telling, "")


def _without_lengths(facts: Sequence[Fact]) -> list[Fact]:
    return [fact for fact in facts if fact.label != LENGTHS]


def own_title(row: SettingRow, dial: Dial) -> str:
    """What the title of a row's setting says beyond that of all rows: `spacer counted in`."""
    return row.title.removeprefix(dial.title).removeprefix(", ")


def known_of(words: str, sheet: MachineSheet) -> str:
    """What is known of a dial, where the head of its machine's sheet does not say it."""
    return "" if any(dial.words.endswith(f"; {words}.") for dial in sheet.dials) else words


def histories(block: OperationBlock, at: int, sheet: MachineSheet) -> list[str]:
    """What is known of a dial that is moved row by row."""
    return _by_rows(block, lambda row: known_of(row.settings[at].history, sheet))


def _by_rows(block: OperationBlock, told: Callable[[OperationRow], str]) -> list[str]:
    """What is told of rows, each thing once with the operations that it is for."""
    held = held_by({int(row.number): filter(None, (told(row),)) for row in block.rows})
    return [only_for(words, numbers, len(block.rows)) for words, numbers in held.items()]


def ways_to_measure(block: OperationBlock) -> list[tuple[str, str]]:
    """How each thing is measured, told once."""
    found = ((each.title, each.how) for row in block.rows for each in row.measures if each.how)
    return list(dict.fromkeys(found))


def figures(block: OperationBlock) -> list[DrawnCut]:
    """The drawings at a block's head: the cut, and at its right the piece that it leaves with what
    to measure, where both have room."""
    return [*block.cuts, *([] if apart(block) else _measured(block))]


def apart(block: OperationBlock) -> list[DrawnCut]:
    """The drawings of what to measure that have no room at the right of the cut."""
    every = [*block.cuts, *_measured(block)]
    return _measured(block) if _across(every) > WIDE else []


def _measured(block: OperationBlock) -> list[DrawnCut]:
    note = "After the cut." if block.cuts else ""
    return [DrawnCut(drawing, note) for drawing in block.where]


def _across(drawn: Sequence[DrawnCut]) -> float:
    return sum(each.drawing.width + GAP for each in drawn) - GAP


def leave_room(drawn: Sequence[DrawnCut]) -> bool:
    """Whether words have room at the right of drawings."""
    return WIDE - _across(drawn) - GAP >= LEAST


def in_drawn_rows(drawn: Iterable[DrawnCut]) -> list[list[DrawnCut]]:
    """Drawings in rows, as many in each as have room beside each other."""
    rows: list[list[DrawnCut]] = []
    for each in drawn:
        if rows and _across([*rows[-1], each]) <= WIDE:
            rows[-1].append(each)
        else:
            rows.append([each])
    return rows


def uncaptioned(drawing: Drawing) -> DrawnCut:
    """A drawing that needs no words below it."""
    return DrawnCut(drawing, "")


FILTERS = (
    *(moved_dials, dials_once, read_at_once, in_rows, row_layout, side_by_side, letter),
    *(dial_columns, measure_columns, names_measures, own_facts, row_facts, own_title, known_of),
    *(is_by_hand, runs_by_hand, ways_to_measure, figures, apart, leave_room, in_drawn_rows),
    histories,
    uncaptioned,
)
"""What the templates ask of a block."""
