"""What machines and cutters are called for short, and which way the work goes past them.

Every table is complete, so that a kind of machine or cutter that is added is worded or missed by
the tests: nothing is called by another's name.
"""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.machining.operations import Operation
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import MeasuredTo, Work

CUTTERS: Mapping[CutterType, str] = {
    CutterType.SAW_BLADE: "blade",
    CutterType.DADO_STACK: "stack",
    CutterType.STRAIGHT_BIT: "bit",
    CutterType.REBATE_BIT: "bit",
    CutterType.SLOT_CUTTER: "cutter",
    CutterType.STICKING_BIT: "bit",
    CutterType.COPE_BIT: "bit",
    CutterType.MORTISE_CHISEL: "chisel",
    CutterType.DRILL_BIT: "bit",
    CutterType.KNIFE: "knives",
    CutterType.MOULDING_BLOCK: "cutter block",
    CutterType.REBATE_BLOCK: "cutter block",
}

SIDES: Mapping[MeasuredTo, str] = {
    MeasuredTo.NEAR: "near side",
    MeasuredTo.FAR: "far side",
    MeasuredTo.CENTRE: "centre",
}

_ALONG = "forwards along the fence, from the front of the saw"
_ACROSS = "sled or mitre gauge forwards past the blade, and back"
_STILL = "hold the part still on table and fence; move the saw"
_PAST = "right to left along the fence, against the rotation"
_SLED = "right to left on the sled, against the rotation"
_TURNS = "against the rotation: right to left where the spindle turns anticlockwise from above"
_AGAINST = f"along the fence {_TURNS}"
_ON_A_TABLE = f"clamped to a sliding table, {_TURNS}"
_UNUSUAL = "as the machine's own manual says"
_BY_HAND = ""


def _feeds(blank: str, edge: str, end: str, mortise: str, halving: str) -> Mapping[Work, str]:
    return {
        Work.BLANK: blank,
        Work.EDGE: edge,
        Work.END: end,
        Work.MORTISE: mortise,
        Work.HALVING: halving,
        Work.HAND: _BY_HAND,
    }


# Which way the work or the cutter travels. Common practice, no source: always against the rotation.
FEEDS: Mapping[MachineType, Mapping[Work, str]] = {
    MachineType.TABLE_SAW: _feeds(_ALONG, _ALONG, _ACROSS, _UNUSUAL, _ACROSS),
    MachineType.CROSSCUT_SAW: _feeds(_STILL, _UNUSUAL, _STILL, _UNUSUAL, _STILL),
    MachineType.ROUTER_TABLE: _feeds(_PAST, _PAST, _SLED, _UNUSUAL, _SLED),
    MachineType.SPINDLE_MOULDER: _feeds(_AGAINST, _AGAINST, _ON_A_TABLE, _UNUSUAL, _ON_A_TABLE),
    MachineType.MORTISER: _feeds(
        *(_UNUSUAL, _UNUSUAL, _UNUSUAL),
        *("clamp; straight down; move along between plunges", _UNUSUAL),
    ),
    MachineType.DRILL_PRESS: _feeds(
        *(_UNUSUAL, _UNUSUAL, _UNUSUAL),
        *("clamp; straight down; move along between holes", _UNUSUAL),
    ),
    MachineType.PLANER: _feeds(
        "with the grain running out behind, thickest piece first",
        *(_UNUSUAL, _UNUSUAL, _UNUSUAL, _UNUSUAL),
    ),
    MachineType.BENCH: _feeds(_BY_HAND, _BY_HAND, _BY_HAND, _BY_HAND, _BY_HAND),
}


def cutter_word(operation: Operation) -> str:
    """What the operation's cutter is called for short: blade, stack, bit, chisel."""
    return CUTTERS[operation.cutter.type] if operation.cutter else "cutter"


def feed(operation: Operation) -> str:
    """Which way the work goes past the cutter; empty for hand work."""
    return FEEDS[operation.machine.type][operation.asks.work]
