"""The records of a shop as `list` shows them."""

from __future__ import annotations

from setupsheets.records.shop_records import ShopRecords
from setupsheets.shop.finding import Shop
from setupsheets.shop.listing import Listed
from setupsheets.shop.loading import KINDS

RECORD_WORDS = ("record", "records")


def listed_records(shop: Shop, asked: str | None) -> list[Listed]:
    """The records that a word finds, or all where records or everything is asked for, newest first;
    none where another kind is."""
    if asked in {name for kind, (folder, _) in KINDS.items() for name in (kind, folder)}:
        return []
    records = ShopRecords(shop)
    found = records.asked_for("" if asked is None or asked in RECORD_WORDS else asked)
    beside = {each.name: first.name for first, *rest in records.open_together() for each in rest}
    return [
        Listed(
            kind="record",
            name=path.stem,
            title=f"{facts.set_up} ({facts.job}, {facts.timber}, {facts.verdict})"
            + "".join(f"; one record with {name}" for name in records.joined_to(path.stem))
            + (f"; does not count beside {beside[path.stem]}" if path.stem in beside else ""),
            origin="the shop",
            path=path,
        )
        for path, facts in found
    ]
