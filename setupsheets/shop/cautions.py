"""Cautions, each with the condition that brings it out and the basis it stands on."""

from __future__ import annotations

from msgspec import Struct

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.formulas import Formula
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import Work


class Caution(Struct, frozen=True):
    """One caution. Empty lists mean "any"; ``general`` ones stand on the cover."""

    name: str
    text: str
    basis: str
    general: bool = False
    machines: tuple[MachineType, ...] = ()
    cutters: tuple[CutterType, ...] = ()
    work: tuple[Work, ...] = ()
    when: Formula | None = None


class Cautions(Struct, frozen=True):
    """A file of cautions that belong together."""

    name: str
    title: str
    cautions: tuple[Caution, ...]
    marks: Marks = NOWHERE
