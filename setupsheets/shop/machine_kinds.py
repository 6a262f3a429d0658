"""Kinds of machine: all that the program must know of one stands in its row of one table.

No field of a row has a default: a new kind says everything or is refused, so that nothing of it is
half supported. What it takes out of the wood follows from where its cutter stands
(`machining/cutting/silhouettes.py`), what is said of it from the tables of `wording/machines.py`.
Lengths and speeds are common practice, no published source, unless a source is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.shop.cutters import CutterType


class MachineType(StrEnum):
    """Kinds of machine, by where the cutter stands: the geometry of a cut follows from it."""

    TABLE_SAW = "table_saw"
    CROSSCUT_SAW = "crosscut_saw"
    ROUTER_TABLE = "router_table"
    SPINDLE_MOULDER = "spindle_moulder"
    MORTISER = "mortiser"
    DRILL_PRESS = "drill_press"
    PLANER = "planer"
    BENCH = "bench"


class Stand(StrEnum):
    """Where a machine's cutter stands to the part on its table."""

    BLADE_BELOW = "blade through the table"
    BLADE_ABOVE = "blade over the table"
    UPRIGHT = "upright spindle behind a fence"
    PLUNGING = "straight down to a depth"
    KNIVES_ABOVE = "knives over the whole width"
    HANDS = "in the hand"

    @property
    def above(self) -> bool:
        """Whether the cutter comes at the part from above."""
        return self in (Stand.BLADE_ABOVE, Stand.PLUNGING, Stand.KNIVES_ABOVE)


class PassDepth(Struct, frozen=True):
    """How much one pass may take, in soft timber and in hard."""

    soft: Length
    hard: Length


class MachineKind(Struct, frozen=True):
    """One kind of machine.

    ``cutters``: those it holds, each with the depth of a pass, None for one that takes all at once.
    ``open_table``: the cutter comes up through an opening that a part cannot stand on.
    ``holds_fast``: its own vice or clamp holds the part. ``shortest``: the shortest part that hands
    can hold to it, None where they need not. ``unmarked``: revolutions a minute for a cutter
    without a maker's limit, up to each diameter; any larger one has the last row's. ``rim``:
    slowest and fastest speed of a cutter's rim for feed by hand, m/s, None where none is known.
    """

    stand: Stand
    cutters: Mapping[CutterType, PassDepth | None]
    open_table: bool
    holds_fast: bool
    shortest: Length | None
    unmarked: tuple[tuple[Length, int], ...]
    rim: tuple[int, int] | None

    @property
    def upright(self) -> bool:
        """Whether the cutter stands behind a fence, so that ``far`` is how far it comes out."""
        return self.stand is Stand.UPRIGHT


_FOOT = Length("12 in")
_PLAIN = PassDepth(Length("3/8 in"), Length("1/4 in"))
_MOULDED = PassDepth(Length("1/4 in"), Length("3/16 in"))
_BLOCK = PassDepth(Length("3/8 in"), Length("1/4 in"))
_SAW: Mapping[CutterType, PassDepth | None] = {
    CutterType.SAW_BLADE: None,
    CutterType.DADO_STACK: None,
}

MACHINE_KINDS: Mapping[MachineType, MachineKind] = {
    MachineType.TABLE_SAW: MachineKind(
        stand=Stand.BLADE_BELOW,
        cutters=_SAW,
        open_table=True,
        holds_fast=False,
        shortest=_FOOT,
        unmarked=(),
        rim=None,
    ),
    MachineType.CROSSCUT_SAW: MachineKind(
        stand=Stand.BLADE_ABOVE,
        cutters=_SAW,
        open_table=False,
        holds_fast=False,
        shortest=_FOOT,
        unmarked=(),
        rim=None,
    ),
    MachineType.ROUTER_TABLE: MachineKind(
        stand=Stand.UPRIGHT,
        cutters={
            CutterType.STRAIGHT_BIT: _PLAIN,
            CutterType.REBATE_BIT: _PLAIN,
            CutterType.SLOT_CUTTER: _PLAIN,
            CutterType.STICKING_BIT: _MOULDED,
            CutterType.COPE_BIT: _MOULDED,
        },
        open_table=True,
        holds_fast=False,
        shortest=_FOOT,
        # The low end of what is usual: sources differ up to twofold.
        unmarked=(
            (Length("1 in"), 18000),
            (Length("2 in"), 12000),
            (Length("2 1/2 in"), 9000),
            (Length("4 in"), 6000),
        ),
        rim=None,
    ),
    MachineType.SPINDLE_MOULDER: MachineKind(
        stand=Stand.UPRIGHT,
        cutters={CutterType.MOULDING_BLOCK: _BLOCK, CutterType.REBATE_BLOCK: _BLOCK},
        open_table=True,
        holds_fast=False,
        shortest=_FOOT,
        unmarked=(),
        rim=(40, 70),  # a machine's manual, for feed by hand
    ),
    MachineType.MORTISER: MachineKind(
        stand=Stand.PLUNGING,
        cutters={CutterType.MORTISE_CHISEL: None},
        open_table=False,
        holds_fast=True,
        shortest=None,
        unmarked=(),
        rim=None,
    ),
    MachineType.DRILL_PRESS: MachineKind(
        stand=Stand.PLUNGING,
        cutters={CutterType.DRILL_BIT: None},
        open_table=False,
        holds_fast=True,
        shortest=None,
        unmarked=(),
        rim=None,
    ),
    MachineType.PLANER: MachineKind(
        stand=Stand.KNIVES_ABOVE,
        cutters={CutterType.KNIFE: None},
        open_table=False,
        holds_fast=False,
        shortest=_FOOT,
        unmarked=(),
        rim=None,
    ),
    MachineType.BENCH: MachineKind(
        stand=Stand.HANDS,
        cutters={},
        open_table=False,
        holds_fast=False,
        shortest=None,
        unmarked=(),
        rim=None,
    ),
}
