"""What counts for a record where parts are cut: as the shop says, else as is usual."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.records.costs import costs_of
from setupsheets.shop.finding import Shop
from setupsheets.shop.settings import Costs
from tests.records.made_up import RECORD
from tests.records.test_current import shop

__all__ = ["shop"]


def test_where_nobody_knows_how_many_parts_nothing_counts(shop: Shop) -> None:
    assert costs_of(RECORD, shop) is None


# Common practice, no source: 30 minutes for a bar, 60 for a member of the frame, half as much again
# in hard timber; what the shop says goes before.
@pytest.mark.parametrize(
    ("section", "timber", "said", "spoilt"),
    [
        ("ovolo-bar-inch", "black-cherry", "", 45),
        ("ovolo-bar-inch", "eastern-white-pine", "", 30),
        ("ovolo-frame-inch", "eastern-white-pine", "", 60),
        ("ovolo-frame-inch", "black-cherry", "", 90),
        ("ovolo-frame-inch", "black-cherry", "1 1/2 hours", 90),
        ("ovolo-frame-inch", "black-cherry", "20 min", 20),
        ("a-section-that-is-gone", "black-cherry", "", 22.5),
    ],
)
def test_a_spoilt_part_costs_by_part_and_timber(
    shop: Shop, section: str, timber: str, said: str, spoilt: float
) -> None:
    costs = Costs(test_piece="12 minutes", easing="half an hour", spoilt_part=said)
    there = replace(shop, settings=replace(shop.settings, costs=costs))
    found = costs_of(replace(RECORD, section=section, timber=timber, count=7), there)
    assert found is not None
    assert (found.parts, found.test_piece, found.easing) == (7, 12, 30)
    assert found.re_setting == 5
    assert found.spoilt == spoilt
