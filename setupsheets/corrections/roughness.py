"""How much rougher or finer a shop may work than its files say, before any test piece.

Nobody knows beforehand how pieces scatter, how closely a re-setting lands or how steadily a rule is
read: each is a spread of the files times a scale of its own, and the scales are uncertain. A few
shops stand for all of them; the readings say which of them this one is like. All of it is common
practice, no source.
"""

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.normal import Array, Flags, Indices

_CHANGED = 0.08
"""Chance that a shop now works otherwise than its earlier set-ups showed: common practice."""


class Roughness(Struct, frozen=True):
    """One such shop, and how likely it is before any reading.

    Its pieces scatter, its settings land and its readings waver so many times as much as the files
    say. coarse: a fine move lands no closer than any other.
    """

    probability: float
    pieces: float = 1.0
    landing: float = 1.0
    readings: float = 1.0
    coarse: bool = False


AS_SAID: tuple[Roughness, ...] = (Roughness(1.0),)
"""A shop exactly as its files say."""

SHOPS: tuple[Roughness, ...] = (
    Roughness(0.25),
    Roughness(0.09, pieces=0.6, landing=0.5, readings=0.7),
    Roughness(0.05, pieces=0.75, landing=0.7, readings=0.8),
    Roughness(0.14, pieces=1.4, landing=1.4, readings=1.25),
    Roughness(0.16, pieces=1.7, landing=1.7, readings=1.4),
    Roughness(0.11, pieces=2.2, landing=2.2, readings=1.6),
    Roughness(0.02, landing=1.8),
    Roughness(0.02, readings=1.7),
    Roughness(0.03, pieces=2.5),
    Roughness(0.01, pieces=8.0),
    Roughness(0.06, coarse=True),
    Roughness(0.02, pieces=0.6, landing=0.5, readings=0.7, coarse=True),
    Roughness(0.04, pieces=2.0, landing=2.0, readings=1.5, coarse=True),
)


class Scales(Struct, frozen=True, eq=False):
    """The same by quantity, (g) each: scales, and whether fine moves land as any other."""

    pieces: Array
    landing: Array
    readings: Array
    coarse: Flags

    def of(self, which: Indices) -> "Scales":
        """Those of some shops, by their places."""
        return Scales(
            self.pieces[which], self.landing[which], self.readings[which], self.coarse[which]
        )


def still_in_doubt(learnt: tuple[Roughness, ...]) -> tuple[Roughness, ...]:
    """What earlier set-ups have shown, less sure: hands, timber and blades change."""
    usual = {_kind(shop): shop.probability for shop in SHOPS}
    return tuple(
        replace(
            shop,
            probability=(1 - _CHANGED) * shop.probability + _CHANGED * usual.get(_kind(shop), 0.0),
        )
        for shop in learnt
    )


def _kind(shop: Roughness) -> Roughness:
    """The same whatever its probability."""
    return replace(shop, probability=0.0)


def scales(shops: tuple[Roughness, ...]) -> Scales:
    """The scales of g shops."""
    return Scales(
        np.array([shop.pieces for shop in shops]),
        np.array([shop.landing for shop in shops]),
        np.array([shop.readings for shop in shops]),
        np.array([shop.coarse for shop in shops]),
    )
