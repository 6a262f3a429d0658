"""What stands on the sheets, finished: every string as it is printed, in the order in which it is.

Nothing here computes. `content` makes these from a plan; the templates lay them out; JSON shows
them as they are. An empty string or tuple is a thing that is absent and is not shown.
"""

from __future__ import annotations

from dataclasses import dataclass

from setupsheets.sheets.content.finished_parts import PartsSheet
from setupsheets.sheets.drawings.drawing import Drawing


@dataclass(frozen=True)
class Fact:
    """A short label and what there is to say under it."""

    label: str
    words: str


@dataclass(frozen=True)
class SettingRow:
    """One setting: what it is, the exact aim, what history says, what to set, and how it moves.

    ``number`` and ``parts`` tell rows apart where several operations share one block.
    """

    number: str
    parts: str
    title: str
    aim: str
    history: str
    set_to: str
    finest: str
    more: str
    blocks: str = ""


@dataclass(frozen=True)
class MeasureRow:
    """One thing to measure on a test piece; ``how`` names the instrument as well."""

    title: str
    how: str
    target: str
    tolerance: str


@dataclass(frozen=True)
class CautionLine:
    """A caution and the basis that it stands on."""

    words: str
    basis: str


@dataclass(frozen=True)
class OperationBlock:
    """One operation as it is set up and done, or several that differ only in their figures;
    ``number`` counts through the whole route: ``7`` or ``7–9``."""

    number: str
    title: str
    facts: tuple[Fact, ...]
    drawing: Drawing | None
    drawing_note: str
    settings: tuple[SettingRow, ...]
    measures: tuple[MeasureRow, ...]
    log_line: str
    findings: tuple[str, ...]
    chart: Drawing | None
    jigs: tuple[Fact, ...]
    reach: tuple[str, ...]
    support: tuple[str, ...]
    centres: tuple[str, ...]
    stops: tuple[str, ...]
    plans: tuple[Drawing, ...]
    joint: Drawing | None
    fits: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[CautionLine, ...]
    last: str
    stop_line: str

    @property
    def shared(self) -> bool:
        """Whether several operations share the block."""
        return any(row.number for row in self.settings)

    @property
    def one_setting(self) -> SettingRow | None:
        """The setting that all rows of a shared block are figures of; None where there are more."""
        kinds = {(row.title, row.finest, row.more) for row in self.settings}
        return self.settings[0] if self.shared and len(kinds) == 1 else None

    @property
    def has_blocks(self) -> bool:
        """Whether any setting is made with set-up blocks."""
        return any(row.blocks for row in self.settings)

    @property
    def has_history(self) -> bool:
        """Whether the records say anything about any setting."""
        return any(row.history for row in self.settings)


@dataclass(frozen=True)
class MachineSheet:
    """One machine's operations in the order of the route; ``cautions`` hold for all of them."""

    machine: str
    title: str
    summary: str
    notes: str
    cautions: tuple[CautionLine, ...]
    legend: str
    operations: tuple[OperationBlock, ...]
    next_line: str


@dataclass(frozen=True)
class RouteRow:
    """One line of the route. ``verdict`` says whether to cut a test piece or go."""

    number: str
    title: str
    machine: str
    parts: str
    verdict: str


@dataclass(frozen=True)
class CountRow:
    """How many of one part, and how long to leave its blank."""

    part: str
    count: str
    blank: str


@dataclass(frozen=True)
class TestRow:
    """How many test pieces of one set-up, of what, and how much longer to leave first blanks."""

    set_up: str
    pieces: str
    of: str
    longer: str


@dataclass(frozen=True)
class Cover:
    """The first page. ``not_ready`` is its first line where something cannot be made or held, and
    ``obstacles`` name each such thing."""

    not_ready: str
    obstacles: tuple[str, ...]
    facts: tuple[Fact, ...]
    notes: str
    counts: tuple[CountRow, ...]
    tests: tuple[TestRow, ...]
    proofs: tuple[Fact, ...]
    unproved: tuple[Drawing, ...]
    route: tuple[RouteRow, ...]
    cautions: tuple[CautionLine, ...]
    unknown: tuple[str, ...]

    @property
    def any_longer(self) -> bool:
        """Whether any first blanks are to be left longer."""
        return any(row.longer for row in self.tests)


@dataclass(frozen=True)
class SheetContent:
    """Everything on the sheets of one job."""

    title: str
    date: str
    fingerprint: str
    cover: Cover
    machines: tuple[MachineSheet, ...]
    parts: PartsSheet

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Every drawing on the sheets, in the order in which they stand."""
        blocks = [block for sheet in self.machines for block in sheet.operations]
        found: list[Drawing | None] = [*self.cover.unproved]
        found += [
            item
            for block in blocks
            for item in (block.drawing, block.chart, block.joint, *block.plans)
        ]
        return (*(item for item in found if item is not None), *self.parts.drawings)
