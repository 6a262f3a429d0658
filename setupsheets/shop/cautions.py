"""Cautions, each with the condition that brings it out and the basis it stands on."""

from __future__ import annotations

from dataclasses import dataclass, field

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.formulas import Formula
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import Work


@dataclass(frozen=True)
class Caution:
    """One caution. Empty lists mean "any"; ``general`` ones stand on the cover."""

    name: str
    text: str
    basis: str
    general: bool = False
    machines: tuple[MachineType, ...] = ()
    cutters: tuple[CutterType, ...] = ()
    work: tuple[Work, ...] = ()
    when: Formula | None = None


@dataclass(frozen=True)
class Cautions:
    """A file of cautions that belong together."""

    name: str
    title: str
    cautions: tuple[Caution, ...]
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)
