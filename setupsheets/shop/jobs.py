"""A job: one leaf (door, sash, cupboard door), how many, and how it is to be made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length
from setupsheets.shop.recipes import Makes


class Fill(StrEnum):
    """What stands in a field of the frame; both lie in the rebate behind a bead."""

    GLASS = "glass"
    PANEL = "panel"


class Through(StrEnum):
    """Which bars run through where bars cross; the others are broken between them."""

    CROSS = "cross"
    UPRIGHT = "upright"


@dataclass(frozen=True)
class Leaf:
    """The finished leaf's outside size."""

    width: Length
    height: Length


@dataclass(frozen=True)
class Stile:
    """Both stiles: section, width, and the horn left on at each end until the leaf is fitted."""

    section: str
    width: Length
    horn: Length = Length.ZERO
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class Rail:
    """One rail, named from top to bottom. ``haunch`` is what the tenon stands back from the
    rail's outer edge at a corner; a middle rail has none."""

    name: str
    width: Length
    section: str
    haunch: Length = Length.ZERO
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class FrameField:
    """What lies between two rails. One field of a leaf may leave ``sight_height`` out and takes
    what the others leave."""

    fill: Fill
    rows: int = 1
    columns: int = 1
    sight_height: Length | None = None
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class Bars:
    """The bars of the glazed fields. ``width`` where it differs from the section's own."""

    section: str
    width: Length | None = None
    through: Through = Through.CROSS
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class Joints:
    """Mortise depths from the sight edge and the gap left at their bottom."""

    rail_mortise: Length
    bar_mortise: Length
    bar_in_bar_mortise: Length | None = None
    gap: Length = Length.ZERO
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class Glazing:
    """Glass and the bead that holds it. ``clearance`` at each edge.

    ``bead_depth`` where the bead does not fill the rebate behind the pane.
    """

    thickness: Length
    clearance: Length
    bedding: Length = Length.ZERO
    bead_width: Length | None = None
    bead_depth: Length | None = None
    panel_thickness: Length | None = None
    panel_clearance: Length | None = None
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class Allowances:
    """What the rough blank has over the finished part."""

    length: Length = Length.ZERO
    width: Length = Length.ZERO
    thickness: Length = Length.ZERO


@dataclass(frozen=True)
class Job:
    """One job. ``recipes`` and ``cutters`` overrule the shop's first choices."""

    name: str
    title: str
    timber: str
    leaf: Leaf
    stiles: Stile
    rails: tuple[Rail, ...]
    fields: tuple[FrameField, ...]
    joints: Joints
    glazing: Glazing
    count: int = 1
    bars: Bars | None = None
    allowances: Allowances = field(default_factory=Allowances)
    recipes: Mapping[Makes, str] = field(default_factory=dict)
    inputs: Mapping[str, Length] = field(default_factory=dict)
    cutters: Mapping[str, str] = field(default_factory=dict)
    machines: Mapping[str, str] = field(default_factory=dict)
    notes: str = ""
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)
