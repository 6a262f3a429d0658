"""What cuts: blades, stacks, bits, cutters and chisels, each with the shape it takes out."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length
from setupsheets.shop.sections import Sticking


class CutterType(StrEnum):
    """Kinds of cutter, by the cross-section of the cut they make."""

    SAW_BLADE = "saw_blade"
    DADO_STACK = "dado_stack"
    STRAIGHT_BIT = "straight_bit"
    REBATE_BIT = "rebate_bit"
    SLOT_CUTTER = "slot_cutter"
    STICKING_BIT = "sticking_bit"
    COPE_BIT = "cope_bit"
    MORTISE_CHISEL = "mortise_chisel"
    DRILL_BIT = "drill_bit"
    KNIFE = "knife"
    MOULDING_BLOCK = "moulding_block"
    REBATE_BLOCK = "rebate_block"


class CutShape(StrEnum):
    """What a kind of cutter takes out of the wood."""

    BLADE = "as wide as its kerf, round seen from the side"
    CYLINDER = "everything up to its top, round seen from above"
    DISC = "as high as its kerf, round seen from above"
    MOULDING = "its profile, round seen from above"
    COPE = "all but its profile, round seen from above"
    PLUNGED = "as wide as it is, straight down"
    KNIVES = "everything above them"


CUT_SHAPES: Mapping[CutterType, CutShape] = {
    CutterType.SAW_BLADE: CutShape.BLADE,
    CutterType.DADO_STACK: CutShape.BLADE,
    CutterType.STRAIGHT_BIT: CutShape.CYLINDER,
    CutterType.REBATE_BIT: CutShape.CYLINDER,
    CutterType.SLOT_CUTTER: CutShape.DISC,
    CutterType.STICKING_BIT: CutShape.MOULDING,
    CutterType.COPE_BIT: CutShape.COPE,
    CutterType.MORTISE_CHISEL: CutShape.PLUNGED,
    CutterType.DRILL_BIT: CutShape.PLUNGED,
    CutterType.KNIFE: CutShape.KNIVES,
    CutterType.MOULDING_BLOCK: CutShape.MOULDING,
    CutterType.REBATE_BLOCK: CutShape.CYLINDER,
}


class DadoStack(Struct, frozen=True):
    """What a dado stack can be made up from: two outside blades, each cutting ``outside`` wide, and
    what chippers and shims there are to go between them."""

    outside: Length
    chippers: tuple[Length, ...] = ()
    shims: tuple[Length, ...] = ()


class CutterEvent(Struct, frozen=True):
    """The cutter was sharpened or replaced on a date, at a ``time`` of that day where it is told:
    its own size may have changed."""

    date: datetime.date
    what: str
    time: str = ""


class Cutter(Struct, frozen=True):
    """One cutter. Which fields it has depends on its type; the schema says which.

    ``kerf`` is the width of cut of a blade or stack and the thickness of a slot cutter; ``width``
    that of a chisel; ``profile`` the moulding that a sticking bit leaves or a cope bit fits over;
    ``reach`` how long a tenon may be that passes over a cope bit before it meets the spindle;
    ``teeth`` and ``grind`` are for whoever reads the file: nothing is worked out from them.
    """

    name: str
    title: str
    type: CutterType
    diameter: Length | None = None
    kerf: Length | None = None
    width: Length | None = None
    length: Length | None = None
    profile: Sticking | None = None
    reach: Length | None = None
    teeth: int | None = None
    grind: str | None = None
    greatest_speed: int | None = None
    stack: DadoStack | None = None
    events: tuple[CutterEvent, ...] = ()
    notes: str = ""
    marks: Marks = NOWHERE

    @property
    def shape(self) -> CutShape:
        """What it takes out of the wood."""
        return CUT_SHAPES[self.type]

    @property
    def cut_width(self) -> Length:
        """Width of the plain cut it makes: kerf, chisel width or bit diameter."""
        for width in (self.kerf, self.width, self.diameter):
            if width is not None:
                return width
        raise ValueError(f"cutter {self.name} has no kerf, width or diameter")
