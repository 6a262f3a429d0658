"""The records of a shop as `list` shows them."""

from __future__ import annotations

from setupsheets.records.folder import ShopRecords
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
            name=record.name,
            title=f"{record.set_up} ({record.job}, {record.timber}, {record.verdict})"
            + "".join(f"; one record with {name}" for name in records.joined_to(record.name))
            + (f"; does not count beside {beside[record.name]}" if record.name in beside else ""),
            origin="the shop",
            path=records.folder / f"{record.name}.yaml",
        )
        for record in found
    ]
