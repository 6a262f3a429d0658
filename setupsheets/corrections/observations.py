"""What is measured on a test piece, with which instrument, and how far that can be trusted.

All lengths are floats in millimetres, as deviations from the target.
"""

from collections.abc import Mapping
from enum import StrEnum
from functools import lru_cache
from math import exp, hypot, inf, pi, sqrt
from typing import Literal, TypeAlias

from msgspec import Struct, field

_NEGLIGIBLE_SHARE = 1e-3
"""Share of a reading's variance below which common rounding is left out."""


Miss: TypeAlias = Literal["spoils", "eased", "unseen"]
"""What a part beyond a limit costs: the part, some time by hand, or nothing."""


class Fit(StrEnum):
    """A fit in its mate where no number was taken, as a record file spells it."""

    TIGHT = "tight"
    FITS = "fits"
    LOOSE = "loose"


class InstrumentModel(Struct, frozen=True):
    """A rule, a caliper, a gauge: the spread of one reading, its finest mark, and misreading it.

    sd and resolution are mm; misreading_probability is the chance that a reading is a slip of the
    eye, misreading_sd the spread of such a slip where it is none of `marks`: those are the whole
    fractions, mm, by which an eye most often slips (a whole inch, 1/8, 1/16).
    ValueError where sd and resolution are both 0: no reading is perfect.
    """

    name: str
    sd: float
    resolution: float = 0.0
    # Common practice, no source.
    misreading_probability: float = 0.01
    misreading_sd: float = 5.0
    marks: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Refuse perfect instruments and spreads below 0."""
        if self.sd < 0 or self.resolution < 0 or self.sd + self.resolution == 0:
            raise ValueError(f"{self.name}: sd or resolution must be more than 0")
        if not 0 <= self.misreading_probability < 0.5:
            raise ValueError(f"{self.name}: misreading_probability expected 0 up to 0.5")

    @property
    def uncertainty(self) -> float:
        """The standard uncertainty of one reading, mm: sd and resolution/sqrt 12 squared.

        Source: JCGM 100:2008 (GUM), F.2.2.1 for the resolution, 5.1.2 for the combination.
        """
        return hypot(self.sd, self.resolution / sqrt(12))

    @property
    def shared_variance(self) -> float:
        """The part of the variance, mm^2, that reading the same thing again does not average out.

        A rule read to a 64th gives the same 64th again and again unless hand and eye waver by a
        good part of it. The variance of the rounding error's mean over a normal spread sd, for a
        length anywhere between two marks, is sum d^2/(2 pi^2 k^2) exp(-4 pi^2 k^2 sd^2/d^2)
        (B. Widrow's theory of quantization); it is d^2/12 without any spread, and taken as 0 where
        it is a negligible share.
        """
        shared = _lasting_rounding(self.sd, self.resolution)
        return shared if shared > _NEGLIGIBLE_SHARE * self.uncertainty**2 else 0.0

    @property
    def own_variance(self) -> float:
        """The part of the variance that every reading has of its own, mm^2."""
        return max(self.uncertainty**2 - self.shared_variance, 1e-6 * self.uncertainty**2)


class MeasurementModel(Struct, frozen=True):
    """Something that can be measured on a piece, and what it depends on.

    low and high are the limits of the deviation from target, mm; infinite where the measurement
    only helps to find causes. sensitivities give, for each cause by name, the change of the
    measurement for a change of the cause by 1: the measurement's row of H. scatter_sd is the
    difference from piece to piece that no setting explains; stray_probability is the chance that
    a piece was cut badly there (not held against the stop), stray_sd by how much. tight_when says
    whether `tight` means over size (a tenon) or under size (a mortise). missed_low and missed_high
    say what a part beyond that limit costs.
    """

    name: str
    low: float = -inf
    high: float = inf
    sensitivities: Mapping[str, float] = field(default_factory=dict)
    scatter_sd: float = 0.0
    # Common practice, no source.
    stray_probability: float = 0.003
    stray_sd: float = 2.0
    tight_when: Literal["over", "under"] = "over"
    missed_low: Miss = "spoils"
    missed_high: Miss = "spoils"

    def __post_init__(self) -> None:
        """Refuse limits that do not have the target between them."""
        if not self.low < 0 < self.high:
            raise ValueError(
                f"{self.name}: limits expected low < 0 < high; found {self.low!r}, {self.high!r}"
            )
        if self.scatter_sd < 0:
            raise ValueError(f"{self.name}: scatter_sd expected 0 or more")

    @property
    def limit(self) -> float:
        """How far it may be off on its narrower side, mm."""
        return min(self.high, -self.low)

    def interval(self, fit: Fit) -> tuple[float, float]:
        """The deviations that a fit stands for, mm."""
        if fit is Fit.FITS:
            return self.low, self.high
        over = (fit is Fit.TIGHT) == (self.tight_when == "over")
        return (self.high, inf) if over else (-inf, self.low)


class Reading(Struct, frozen=True):
    """One reading: what was measured, the deviation from its target in mm or a fit, and by what.

    pieces is 2 where it was taken over a pair of short test pieces, one end each: the scatter
    from piece to piece then counts twice.
    """

    measurement: str
    value: float | Fit
    instrument: InstrumentModel
    pieces: int = 1


class BlankReading(Struct, frozen=True):
    """The blank of this very piece, measured before it was worked: its deviation in mm."""

    cause: str
    value: float
    instrument: InstrumentModel


class TestPiece(Struct, frozen=True):
    """A test piece: the moves made before it was cut, and what was read from it.

    moves gives by cause how far it was meant to be moved, mm, in the setting's own direction, 0
    where it was set again to the same figure; fine
    names those that were moved by shims, against a gauge or by a thread. untold gives, by cause,
    the moves that may have been made before it though nobody has said so: see `untold`.
    Several readings of one measurement share the piece's scatter but not the reading's error.
    """

    readings: tuple[Reading, ...] = ()
    moves: Mapping[str, float] = field(default_factory=dict)
    blanks: tuple[BlankReading, ...] = ()
    fine: frozenset[str] = frozenset()
    untold: Mapping[str, tuple[float, ...]] = field(default_factory=dict)


@lru_cache(maxsize=64)
def _lasting_rounding(sd: float, resolution: float) -> float:
    """Sum the series of Instrument.shared_variance, mm^2."""
    if resolution == 0:
        return 0.0
    waver = 4 * (pi * sd / resolution) ** 2
    terms = (exp(-waver * k * k) / (k * k) for k in range(1, 200))
    return min(sum(terms) * (resolution / pi) ** 2 / 2, resolution**2 / 12)
