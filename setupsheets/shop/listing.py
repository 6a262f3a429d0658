"""What a shop has, kind by kind, and where each thing comes from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from setupsheets.files.documents import read_document
from setupsheets.files.faults import DataFaults
from setupsheets.shop.finding import KnownFile, Shop
from setupsheets.shop.loading import KINDS
from setupsheets.shop.spellings import asked_for


@dataclass(frozen=True)
class Listed:
    """One line of the list. A file that cannot be read is listed with its fault as the title."""

    kind: str
    name: str
    title: str
    origin: str
    path: Path

    def as_json(self) -> dict[str, str]:
        """The same for a program to read."""
        return {
            "kind": self.kind,
            "name": self.name,
            "title": self.title,
            "from": self.origin,
            "path": str(self.path),
        }


def listed_things(shop: Shop, asked: str | None = None) -> list[Listed]:
    """Everything of one kind, or whatever a word finds, or everything at all."""
    kinds = [kind for kind in KINDS if kind != "shop"]
    wanted = [kind for kind in kinds if asked in (kind, KINDS[kind][0])]
    found = [_listed(item) for kind in wanted or kinds for item in shop.everything(kind)]
    if asked is None or wanted:
        return found
    return [item for item in found if asked_for(asked, f"{item.kind} {item.name} {item.title}")]


def _listed(found: KnownFile) -> Listed:
    origin = "the shop" if found.own else "built in"
    if found.hides is not None:
        origin += ", in place of the built-in one"
    return Listed(found.kind, found.name, _title(found.path), origin, found.path)


def _title(path: Path) -> str:
    try:
        data = read_document(path).data
    except DataFaults as faults:
        return f"(faulty: {faults.faults[0].message})"
    texts = _texts(data.get("title"), data.get("also_called"))
    return " / ".join(text for text in texts if text)


def _texts(*values: object) -> Iterator[str]:
    for value in values:
        yield from (str(item) for item in value) if isinstance(value, list) else [str(value or "")]
