"""Timbers: how much they move with moisture, how heavy they are, how they work."""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from setupsheets.files.faults import NOWHERE, Marks


class Timber(Struct, frozen=True):
    """``radial`` and ``tangential`` are the movement for 1 % of moisture content, as a fraction of
    the size, good from 6 to 14 %; ``density`` in kg/m3 at about 12 %. ``source`` is that of the
    movement, ``density_source`` that of the density. ``hard`` timber wants lighter passes.
    ``radial`` is for whoever reads the file: all is worked out from ``tangential``, the larger."""

    name: str
    title: str
    radial: Fraction
    tangential: Fraction
    source: str
    density: Fraction | None = None
    density_source: str = ""
    hard: bool = True
    also_called: tuple[str, ...] = ()
    notes: str = ""
    marks: Marks = NOWHERE
