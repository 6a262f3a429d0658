"""What stands on the sheets, finished: every string as it is printed, in the order in which it is.

Nothing here computes. `content` makes these from a plan; the templates lay them out; JSON shows
them as they are. An empty string or tuple is a thing that is absent and is not shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.sheets.content.finished_parts import PartsSheet
from setupsheets.sheets.drawings.drawing import Drawing

PARTS = "Parts"
"""The label of the fact that names an operation's parts."""
TEST_PIECE = "the test piece"
"""What is measured where it is not the leaf."""


class Fact(Struct, frozen=True):
    """A short label and what there is to say under it."""

    label: str
    words: str


class SettingRow(Struct, frozen=True):
    """One setting: what it is, the exact aim, what history says, what to set, and how it moves.
    ``left`` tells that it stands so already, and since when."""

    title: str
    aim: str
    history: str
    set_to: str
    finest: str
    more: str
    blocks: str = ""
    left: str = ""


class MeasureRow(Struct, frozen=True):
    """One thing to measure on a test piece; ``how`` names the instrument as well."""

    title: str
    how: str
    target: str
    tolerance: str


class CautionLine(Struct, frozen=True):
    """A caution, the basis that it stands on, and which cuts it is for where it does not stand with
    all of them."""

    words: str
    basis: str
    of: str = ""


class DrawnCut(Struct, frozen=True):
    """A cut as it is drawn, or a code, and the line below it."""

    drawing: Drawing
    note: str


class OperationRow(Struct, frozen=True):
    """One operation of a block: the set-up that it belongs to, its parts, the facts that are its
    own, what to set and measure."""

    number: str
    set_up: str
    parts: str
    facts: tuple[Fact, ...]
    settings: tuple[SettingRow, ...]
    measures: tuple[MeasureRow, ...]

    def fact(self, label: str) -> str:
        """What a fact of its own says; empty where it has none of that label."""
        return next((fact.words for fact in self.facts if fact.label == label), "")


class Dial(Struct, frozen=True):
    """One dial of a block; ``title`` and ``history`` only where they hold for all its rows, and
    ``once`` the row that stands for all of them where it has one figure: ``again`` are the numbers
    of those for which it is set anew."""

    title: str
    finest: str
    more: str
    history: str
    once: SettingRow | None
    again: tuple[str, ...]


class OperationBlock(Struct, frozen=True):
    """Operations that are set up and done alike, each a row; most blocks have one row alone.

    ``number`` counts through the whole route: ``7``, ``7–9`` or ``28, 32``. What is told once holds
    for all rows; what holds for some of them names their operations.
    """

    number: str
    title: str
    facts: tuple[Fact, ...]
    cuts: tuple[DrawnCut, ...]
    where: tuple[Drawing, ...]
    rows: tuple[OperationRow, ...]
    log_line: str
    measured_on: str
    boxes: tuple[str, ...]
    findings: tuple[str, ...]
    charts: tuple[Drawing, ...]
    jigs: tuple[Fact, ...]
    reach: tuple[str, ...]
    support: tuple[str, ...]
    centres: tuple[str, ...]
    stops: tuple[str, ...]
    plans: tuple[Drawing, ...]
    joints: tuple[Drawing, ...]
    fits: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[CautionLine, ...]
    last: tuple[str, ...]
    stop_lines: tuple[Fact, ...]
    codes: tuple[DrawnCut, ...] = ()

    @property
    def shared(self) -> bool:
        """Whether several operations share the block."""
        return len(self.rows) > 1

    @property
    def dials(self) -> tuple[Dial, ...]:
        """What is set for every row, in the order of the rows' settings."""
        numbers = [row.number for row in self.rows]
        settings = zip(*(row.settings for row in self.rows), strict=True)
        return tuple(_dial(rows, numbers) for rows in settings)

    @property
    def own_facts(self) -> tuple[str, ...]:
        """The labels of the facts that differ from row to row, in their order."""
        return tuple(dict.fromkeys(fact.label for row in self.rows for fact in row.facts))

    @property
    def has_measures(self) -> bool:
        """Whether anything is measured."""
        return any(row.measures for row in self.rows)

    @property
    def has_blocks(self) -> bool:
        """Whether any setting is made with set-up blocks."""
        return any(each.blocks for row in self.rows for each in row.settings)

    @property
    def has_history(self) -> bool:
        """Whether the records say anything about any setting."""
        return any(each.history for row in self.rows for each in row.settings)

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Every drawing in it, in the order in which they stand."""
        cuts = (cut.drawing for cut in self.cuts)
        return (*cuts, *self.where, *self.charts, *self.joints, *self.plans)


def _same(row: SettingRow, other: SettingRow) -> bool:
    return replace(row, left="") == replace(other, left="")


def _dial(rows: Sequence[SettingRow], numbers: Sequence[str]) -> Dial:
    """What several rows of one setting have in common."""
    first = rows[0]
    anew = (number for row, number in zip(rows, numbers, strict=True) if not row.left)
    titles, histories = {row.title for row in rows}, {row.history for row in rows}
    return Dial(
        title=min(titles, key=len),
        finest=first.finest,
        more=first.more,
        history=first.history if len(histories) == 1 else "",
        once=first if all(_same(row, first) for row in rows[1:]) else None,
        again=tuple(number for number in anew if number != numbers[0]),
    )


class MachineSheet(Struct, frozen=True):
    """One machine's operations in the order of the route; ``facts`` and ``cautions`` hold for all
    of them, ``dials`` tell how finely each dial moves and which way is more, ``cutters`` what is
    noted of each; notes are as a user wrote them."""

    machine: str
    title: str
    summary: str
    notes: str
    facts: tuple[Fact, ...]
    dials: tuple[Fact, ...]
    cutters: tuple[Fact, ...]
    cautions: tuple[CautionLine, ...]
    legend: str
    operations: tuple[OperationBlock, ...]
    next_line: str


def drawings_of(sheets: Iterable[MachineSheet]) -> tuple[Drawing, ...]:
    """Every drawing on machines' sheets, in the order in which they stand."""
    blocks = (block for sheet in sheets for block in sheet.operations)
    return tuple(drawing for block in blocks for drawing in block.drawings)


class RouteRow(Struct, frozen=True):
    """One line of the route. ``verdict`` says whether to cut a test piece or go, ``pieces`` how
    many are to be expected; ``first`` is the number of its first operation."""

    number: str
    first: str
    title: str
    machine: str
    parts: str
    verdict: str
    pieces: int


class CountRow(Struct, frozen=True):
    """How many of one part, and how long to leave its blank."""

    part: str
    count: str
    blank: str


class TestRow(Struct, frozen=True):
    """How many test pieces of one set-up, of what, and how much longer to leave first blanks."""

    set_up: str
    pieces: str
    of: str
    longer: str


class Cover(Struct, frozen=True):
    """The first page. ``not_ready`` is its first line where something cannot be made or held, and
    ``obstacles`` name each such thing; ``drawings`` show what is made; ``left_out`` is what is
    printed only where it is asked for; ``besides`` is what is got out that is no part of the
    frame; ``saved`` is what the order of the route saves."""

    not_ready: str
    obstacles: tuple[str, ...]
    facts: tuple[Fact, ...]
    notes: str
    counts: tuple[CountRow, ...]
    besides: str
    tests: tuple[TestRow, ...]
    proofs: tuple[Fact, ...]
    drawings: tuple[Drawing, ...]
    unproved: tuple[Drawing, ...]
    left_out: str
    route: tuple[RouteRow, ...]
    saved: tuple[str, ...]
    cautions: tuple[CautionLine, ...]
    unknown: tuple[str, ...]

    @property
    def any_longer(self) -> bool:
        """Whether any first blanks are to be left longer."""
        return any(row.longer for row in self.tests)


class MachinePages(Struct, frozen=True):
    """One machine's sheet by itself, with what the cover says that nobody may work without: what is
    not ready, and the cautions for every machine."""

    title: str
    date: str
    fingerprint: str
    not_ready: str
    obstacles: tuple[str, ...]
    cautions: tuple[CautionLine, ...]
    machines: tuple[MachineSheet, ...]

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Every drawing on the sheet, in the order in which they stand."""
        return drawings_of(self.machines)


class SheetContent(Struct, frozen=True):
    """Everything on the sheets of one job."""

    title: str
    date: str
    fingerprint: str
    cover: Cover
    machines: tuple[MachineSheet, ...]
    parts: PartsSheet

    @property
    def legend(self) -> str:
        """What the machines' drawings mean; empty where there are none."""
        return next((sheet.legend for sheet in self.machines if sheet.legend), "")

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Every drawing on the sheets, in the order in which they stand."""
        found = drawings_of(self.machines)
        return (*self.cover.drawings, *self.cover.unproved, *found, *self.parts.drawings)
