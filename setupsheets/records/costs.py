"""What test pieces, moves and parts cost, in minutes, as the shop says or as is usual."""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.corrections.stopping import CostsInMinutes
from setupsheets.records.record import Record
from setupsheets.shop.finding import Shop
from setupsheets.shop.sections import Member
from setupsheets.shop.settings import minutes

_USUAL: Mapping[Member | None, float] = {Member.FRAME: 60, Member.BAR: 30, None: 15}
"""What a spoilt part is usually worth, by what it is of: got out, cut and mortised anew. Common
practice, no source."""

_HARD = 1.5
"""How much more that is in hard timber, which is dearer and slower to work: common practice."""


def costs_of(record: Record, shop: Shop) -> CostsInMinutes | None:
    """What counts for a record; None where nobody knows how many parts go through."""
    if not record.count:
        return None
    said = shop.settings.costs
    return CostsInMinutes(
        parts=record.count,
        test_piece=float(minutes(said.test_piece)),
        re_setting=float(minutes(said.re_setting)),
        easing=float(minutes(said.easing)),
        spoilt=float(minutes(said.spoilt_part)) if said.spoilt_part else _usual(record, shop),
    )


def _usual(record: Record, shop: Shop) -> float:
    known = shop.has("section", record.section)
    member = shop.section(record.section).member if known else None
    hard = not shop.has("timber", record.timber) or shop.timber(record.timber).hard
    return _USUAL[member] * (_HARD if hard else 1)
