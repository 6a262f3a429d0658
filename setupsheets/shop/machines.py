"""Machines: what each can be set to, how finely, and what has happened to it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length
from setupsheets.shop.machine_kinds import MACHINE_KINDS, MachineKind, MachineType


class SettingName(StrEnum):
    """What a hand moves on a machine; every setting of a recipe, a machine and a record is one."""

    FENCE = "fence"
    HEIGHT = "height"
    STOP = "stop"
    DEPTH = "depth"
    THICKNESS = "thickness"


ACROSS = frozenset({SettingName.FENCE, SettingName.STOP})
"""Settings that say how far from the cutter the part lies, to one side of it."""


class SetBy(StrEnum):
    """How a setting is made, which says how far it may be from what was aimed at."""

    LINE = "line"
    RULE = "rule"
    SCALE = "scale"
    STOP = "stop"
    DIAL = "dial"
    BLOCK = "block"
    GAUGE = "gauge"


class FineBy(StrEnum):
    """How a setting is moved finer than by its marks: shims behind it, a dial gauge that it is
    tapped against, a thread of its own."""

    SHIMS = "shims"
    GAUGE = "gauge"
    THREAD = "thread"


class MachineSetting(Struct, frozen=True):
    """One thing that a hand moves on one machine.

    ``finest`` is the finest move it really takes; ``more`` and ``less`` say in the machine's own
    terms which way a larger or smaller figure goes; ``spread`` and ``resetting`` (standard
    deviations) overrule what ``set_by`` makes usual. ``fine_by`` is how it is moved finer than by
    its marks, ``fine_step`` by how little where that is no shim.
    """

    title: str
    finest: Length
    set_by: SetBy
    more: str
    less: str
    greatest: Length | None = None
    spread: Length | None = None
    resetting: Length | None = None
    fine_by: FineBy = FineBy.SHIMS
    fine_step: Length | None = None

    def nearest(self, length: Length) -> Length:
        """The figure nearest to ``length`` that the setting can be moved to; a tie is even."""
        return length.rounded_to(self.finest)


class MachineEvent(Struct, frozen=True):
    """Something that ends what a dial was known for: fence re-aligned, scale moved, new insert.

    ``time`` is when on that day, which tells it from a set-up that was proved on the same one.
    ``resets`` names the dials, none named means all. ``moved_to`` is the name of the file that the
    same machine has from that day; such an event resets only what it names.
    """

    date: datetime.date
    what: str
    resets: tuple[SettingName, ...] = ()
    moved_to: str = ""
    time: str = ""

    def reset(self, setting: SettingName) -> bool:
        """Whether what a dial was known for counts no more from that day."""
        return setting in self.resets or not (self.resets or self.moved_to)


class Machine(Struct, frozen=True):
    """One machine of the shop. ``speeds`` in revolutions a minute."""

    name: str
    title: str
    type: MachineType
    settings: Mapping[SettingName, MachineSetting]
    speeds: tuple[int, ...] = ()
    fence_height: Length | None = None
    table_opening: Length | None = None
    events: tuple[MachineEvent, ...] = ()
    notes: str = ""
    marks: Marks = NOWHERE

    @property
    def kind(self) -> MachineKind:
        """What is known of every machine of its type."""
        return MACHINE_KINDS[self.type]
