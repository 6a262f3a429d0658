"""Timbers against the Wood Handbook, each kind of value told for what it is."""

from __future__ import annotations

from fractions import Fraction

import pytest

from setupsheets.shop.timbers import Timber
from tests.profiles.shipped import things

TIMBERS: dict[str, Timber] = dict(things("timber"))

# Wood Handbook, USDA Forest Products Laboratory, FPL-GTR-190 (2010), table 13-5: change for 1 % of
# moisture content, 6 to 14 %, radial and tangential. Printed to .00001.
TABLE_13_5 = {
    "white-oak": (".00180", ".00365"),
    "red-oak": (".00158", ".00369"),
    "sugar-maple": (".00165", ".00353"),
    "red-maple": (".00137", ".00289"),
    "black-cherry": (".00126", ".00248"),
    "black-walnut": (".00190", ".00274"),
    "white-ash": (".00169", ".00274"),
    "yellow-birch": (".00256", ".00338"),
    "red-alder": (".00151", ".00256"),
    "american-beech": (".00190", ".00431"),
    "american-basswood": (".00230", ".00330"),
    "quaking-aspen": (".00119", ".00234"),
}
# Shrinkage from green to oven-dry in percent, radial and tangential, and the moisture content that
# the rule of table 13-5 takes it to begin at: values from memory, except black cherry's shrinkage,
# which is Wood Handbook, FPL-GTR-190, table 4-3.
SHRINKAGE = {
    "black-cherry": ("3.7", "7.1", 30),
    "yellow-poplar": ("4.6", "8.2", 30),
    "douglas-fir": ("4.8", "7.6", 30),
    "western-redcedar": ("2.4", "5.0", 22),
    "eastern-white-pine": ("2.1", "6.1", 30),
    "ponderosa-pine": ("3.9", "6.2", 30),
    "sitka-spruce": ("4.3", "7.5", 30),
}
# Second-hand: Wood Handbook table 13-5 as someone else quotes it.
QUOTED = {"true-mahogany": (".00172", ".00238")}
# Values from memory, with nothing to hold them against.
REMEMBERED = {"spanish-cedar": (".00141", ".00219"), "khaya": (".00141", ".00201")}

WORDS = {  # what the source of each kind of value says of itself
    "table": ("Wood Handbook, FPL-GTR-190 (2010), table 13-5", TABLE_13_5),
    "computed": (
        "computed from the shrinkage in Wood Handbook, FPL-GTR-190, table 4-3, by the rule of "
        "table 13-5",
        ("yellow-poplar", "douglas-fir", "western-redcedar"),
    ),
    "memory": (
        "value from memory, to be checked against Wood Handbook table 13-5",
        ("eastern-white-pine", "ponderosa-pine", "sitka-spruce", *REMEMBERED),
    ),
    "quoted": ("second-hand, quoted from Wood Handbook table 13-5", QUOTED),
}


def test_every_timber_stands_in_one_table() -> None:
    told = [name for _, names in WORDS.values() for name in names]
    assert sorted(told) == sorted(TIMBERS)
    assert (len(TABLE_13_5), len(SHRINKAGE), len(QUOTED), len(REMEMBERED)) == (12, 7, 1, 2)


@pytest.mark.parametrize(
    ("name", "radial", "tangential"),
    [(n, *pair) for table in (TABLE_13_5, QUOTED, REMEMBERED) for n, pair in table.items()],
)
def test_movement_is_what_the_table_prints(name: str, radial: str, tangential: str) -> None:
    timber = TIMBERS[name]
    assert (timber.radial, timber.tangential) == (Fraction(radial), Fraction(tangential))


def movement(shrinkage: str, start: int) -> Fraction:
    """The rule of table 13-5 (from memory; it reproduces 64 of 65 rows read): shrinkage in % spread
    evenly from `start` % to nothing, taken over the size at 10 %."""
    share = Fraction(shrinkage) / 100
    return share / start / (1 - share * Fraction(start - 10, start))


@pytest.mark.parametrize(
    ("name", "radial", "tangential", "start"), [(n, *row) for n, row in SHRINKAGE.items()]
)
def test_movement_follows_from_shrinkage(
    name: str, radial: str, tangential: str, start: int
) -> None:
    timber, printed = TIMBERS[name], Fraction(1, 100_000)
    assert abs(timber.radial - movement(radial, start)) <= printed / 2
    assert abs(timber.tangential - movement(tangential, start)) <= printed / 2


@pytest.mark.parametrize("timber", TIMBERS.values(), ids=lambda timber: timber.name)
def test_every_value_says_where_it_is_from(timber: Timber) -> None:
    words = [words for words, names in WORDS.values() if timber.name in names]
    assert words == [timber.source]
    assert timber.density_source == "value from memory"


@pytest.mark.parametrize("timber", TIMBERS.values(), ids=lambda timber: timber.name)
def test_wood_moves_more_along_its_rings_than_across_them(timber: Timber) -> None:
    """Wood Handbook, chapter 4: shrinkage is greatest tangentially, about half of it or more
    radially."""
    assert Fraction(1, 4) < timber.radial / timber.tangential < 1


@pytest.mark.parametrize("timber", TIMBERS.values(), ids=lambda timber: timber.name)
def test_timber_floats(timber: Timber) -> None:
    """Dry joinery timber is between a third and nine tenths as heavy as water: common practice."""
    assert timber.density is not None
    assert 330 <= timber.density <= 900
    assert timber.hard == (timber.density >= 550)
