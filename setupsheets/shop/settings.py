"""shop.yaml: the unit, the finest mark, instruments, set-up blocks and first choices of a shop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.shop.tolerances import Tolerances


@dataclass(frozen=True)
class Instrument:
    """What lengths are measured with. ``spread`` is the standard deviation of one reading,
    ``resolution`` the finest step that is read."""

    title: str
    spread: Length
    resolution: Length


@dataclass(frozen=True)
class FirstChoices:
    """What to take where a job does not say: by machine type, cutter type and what is made."""

    machines: Mapping[str, str] = field(default_factory=dict)
    cutters: Mapping[str, str] = field(default_factory=dict)
    recipes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class ShopSettings:
    """The shop's own file. ``sure_enough`` is the probability at which parts are cut."""

    name: str
    title: str
    unit: Unit
    finest: Fraction
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    blocks: tuple[Length, ...] = ()
    shims: tuple[Length, ...] = ()
    first_choice: FirstChoices = field(default_factory=FirstChoices)
    sure_enough: Fraction = Fraction(9, 10)
    tolerances: Tolerances = field(default_factory=Tolerances)
    notes: str = ""
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)

    @property
    def finest_mark(self) -> Length:
        """The finest mark as a length."""
        return self.notation.finest_mark

    @property
    def notation(self) -> Notation:
        """How this shop writes lengths."""
        return Notation(self.unit, self.finest)
