"""shop.yaml: the unit, finest mark, instruments, blocks, tolerances, first choices of a shop."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Self

from msgspec import Struct, field
from msgspec.structs import asdict

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.shop.shop_terms import in_shop_terms

CUT_TOLERANCE = Length("1/16 in")  # 3 to 6 mm glass: ASTM C1036, as quoted by others
_SIXTEENTH, _THIRTY_SECOND, _SIXTY_FOURTH, _HALF_OF_IT = (
    Length(f"1/{n} in") for n in (16, 32, 64, 128)
)


def rough_mark(finest: Length) -> Length:
    """What rough wood is measured up to, four finest marks: 1/16 in or 2 mm where those are a
    sixty-fourth or half a millimetre (common practice, no source)."""
    return 4 * finest


class Instrument(Struct, frozen=True):
    """What lengths are measured with. ``spread`` is the standard deviation of one reading,
    ``resolution`` the finest step that is read."""

    title: str
    spread: Length
    resolution: Length


class Tolerances(Struct, frozen=True):
    """How far each kind of setting may be out, to either side: common practice, all inputs.

    ``glass`` is ASTM C1036's cut size as quoted by others, ``opening`` the Architectural Woodwork
    Standards' (1st edition, 2009) size of a door.
    """

    shoulder: Length = _SIXTY_FOURTH
    tenon_end: Length = _THIRTY_SECOND
    mortise_depth: Length = _THIRTY_SECOND
    cheek: Length = _HALF_OF_IT
    mortise_width: Length = _HALF_OF_IT
    rebate: Length = _HALF_OF_IT
    width: Length = _SIXTY_FOURTH
    mark: Length = _SIXTY_FOURTH
    glass: Length = CUT_TOLERANCE
    opening: Length = _SIXTEENTH

    def in_terms_of(self, unit: Unit) -> Self:
        """The same as a shop of that unit gives them."""
        return type(self)(**{n: in_shop_terms(size, unit) for n, size in asdict(self).items()})


_time = re.compile(r"([0-9./ ]*[0-9])? *(minutes?|min|hours?|h)").fullmatch
_MINUTES = {"m": 1, "h": 60}


def minutes(text: str) -> Fraction:
    """How many minutes `10 minutes` or `half an hour` is; ValueError for what is no time."""
    plain = text.strip().lower().replace("half an hour", "30 min").replace("an hour", "1 h")
    if (match := _time(plain)) and match[1]:
        try:
            return sum(map(Fraction, match[1].split()), Fraction(0)) * _MINUTES[match[2][0]]
        except (ValueError, ZeroDivisionError):
            pass
    raise ValueError(f"expected a time such as 10 minutes or 1 1/2 hours; found {text!r}")


class Costs(Struct, frozen=True):
    """What things cost in time at the bench, wood counted as time: a further test piece, one move
    of a setting, one part eased by hand, one part made anew. Without ``spoilt_part`` that is what
    is usual for the part and its timber. Usual values: common practice, no source.

    Raises ValueError for what is no time.
    """

    test_piece: str = "10 minutes"
    re_setting: str = "5 minutes"
    easing: str = "5 minutes"
    spoilt_part: str = ""

    def __post_init__(self) -> None:
        for text in (self.test_piece, self.re_setting, self.easing):
            minutes(text)
        if self.spoilt_part:
            minutes(self.spoilt_part)


class FirstChoices(Struct, frozen=True):
    """What to take where a job does not say: by machine type, cutter type and what is made."""

    machines: Mapping[str, str] = field(default_factory=dict)
    cutters: Mapping[str, str] = field(default_factory=dict)
    recipes: Mapping[str, str] = field(default_factory=dict)


class ShopSettings(Struct, frozen=True):
    """The shop's own file. ``sure_enough`` is the probability at which parts are cut, ``scatter``
    how much a measure differs from piece to piece (a standard deviation), where that is known;
    ``address`` is where phones reach it."""

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
    costs: Costs = field(default_factory=Costs)
    scatter: Length | None = None
    address: str = ""
    notes: str = ""
    marks: Marks = NOWHERE

    @property
    def finest_mark(self) -> Length:
        """The finest mark as a length."""
        return self.notation.finest_mark

    @property
    def notation(self) -> Notation:
        """How this shop writes lengths."""
        return Notation(self.unit, self.finest)
