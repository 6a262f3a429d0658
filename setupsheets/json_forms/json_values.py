"""Values as JSON: lengths exact and in words, and of each thing only what its table names."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from setupsheets.joinery.fits.dry_fit import DryFitCheck
from setupsheets.joinery.fits.tolerance_stacks import Contribution, ToleranceStack
from setupsheets.joinery.frame.lights import Lights
from setupsheets.joinery.frame.opening import FittedEdge
from setupsheets.joinery.members.glass import OrderLine
from setupsheets.joinery.members.parts import (
    Bead,
    End,
    Halving,
    Mortise,
    Pane,
    Part,
    Stretch,
    Tenon,
)
from setupsheets.joinery.members.stick import Spacers, Stick, StickMark
from setupsheets.joinery.stock.bead_boards import BeadBoard
from setupsheets.joinery.stock.cutlist import BoardNeed, CutRow, Scarf, Size
from setupsheets.joinery.stock.packing import Boards, Packing
from setupsheets.joinery.stock.seasons import Moistures, SeasonalMovement
from setupsheets.joinery.stock.weights import Weight
from setupsheets.lengths import Length, Notation
from setupsheets.machining.setting.block_stacks import BlockStack
from setupsheets.records.record import RecordedPiece, RecordedReading
from setupsheets.shop.jobs import Leaf
from setupsheets.shop.sections import Section

SHOWN: Final[Mapping[type, tuple[str, ...]]] = MappingProxyType(
    {
        Part: (
            "name", "role", "section", "count", "thickness", "width", "sight", "face", "back",
            "overall", "horn", "sight_edges", "ends", "stretches",
        ),
        End: ("mate", "mortise_depth", "gap", "reach", "tenon"),
        Tenon: (
            "thickness", "width", "from_face", "from_lower", "from_upper", "haunch_depth",
            "twin_gap",
        ),
        Stretch: ("edge", "start", "end", "stopped"),
        Mortise: (
            "part", "holds", "edge", "start", "centre", "end", "thickness", "from_face", "depth",
        ),
        Halving: ("part", "crosses", "from_face", "start", "end", "depth"),
        Pane: (
            "field", "fill", "count", "width", "height", "thickness", "opening_width",
            "opening_height",
        ),
        Bead: ("field", "count", "length", "width", "depth"),
        Lights: ("field", "direction", "bars", "sight_size", "openings"),
        Leaf: ("width", "height"),
        FittedEdge: ("name", "clearance", "bevel", "loss"),
        Stick: ("part", "marks"),
        StickMark: ("line", "of", "edge", "at", "mark", "off"),
        Spacers: ("field", "direction", "bars", "bar_width", "sight", "drift"),
        OrderLine: ("fill", "count", "width", "height", "thickness", "tolerance", "fields"),
        CutRow: ("name", "kind", "count", "finished", "rough", "first_longer"),
        Size: ("length", "width", "thickness"),
        BeadBoard: ("fields", "count", "strips", "length", "wide", "width", "depth"),
        BoardNeed: ("width", "thickness", "packing", "scarfs"),
        Packing: ("boards", "count", "total", "bound", "proven"),
        Boards: ("length", "count", "offcut"),
        Scarf: ("name", "count", "pieces", "length", "joint"),
        ToleranceStack: ("of", "fit", "aim", "worst", "statistical", "contributions"),
        Contribution: ("setting", "tolerance", "sensitivity"),
        DryFitCheck: ("name", "sort", "size", "tolerance"),
        Moistures: ("made", "dry", "damp"),
        SeasonalMovement: ("what", "size", "dry", "damp", "room", "cover"),
        Weight: ("timber", "glass", "leaf"),
        BlockStack: ("blocks", "shims", "wanted", "total", "off"),
        RecordedPiece: ("date", "longer", "readings", "advice", "moved", "notes"),
        RecordedReading: ("of", "found", "fit", "by", "pieces", "struck"),
    }
)  # fmt: skip
"""What is told of each thing, by the name of its field or of what follows from its fields."""


def length(value: Length, words: str) -> dict[str, str]:
    """A length: exact millimetres as a whole number or a fraction, `12573/40`, and its words."""
    return {"mm": str(value.mm), "words": words}


def value(told: Any, notation: Notation) -> Any:
    """Anything that is told, as JSON has it; numbers to six places, dates as ISO 8601 writes them.

    Raises TypeError for a class that `SHOWN` says nothing of, so that none shows itself.
    """
    if isinstance(told, Length):
        return length(told, notation.show(told))
    if isinstance(told, Mapping):
        return {str(key): value(item, notation) for key, item in told.items()}
    if isinstance(told, tuple | list):
        return [value(item, notation) for item in told]
    if type(told) in SHOWN:
        return {name: value(getattr(told, name), notation) for name in SHOWN[type(told)]}
    return _leaf(told)


def _leaf(told: object) -> str | int | float | bool | None:
    if told is None or isinstance(told, str | bool | int):
        return told
    if isinstance(told, Fraction | float):
        number = round(float(told), 6)
        return int(number) if number == int(number) else number
    if isinstance(told, datetime.date):
        return told.isoformat()
    if isinstance(told, Section):
        return told.name
    raise TypeError(f"nothing of {type(told).__name__} is told")
