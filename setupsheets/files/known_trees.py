"""Trees of files that have been read and found sound, by what is in them: nobody does that twice.

They are kept in a store that may be thrown away (`files/throwaway.py`): of a shop's records beside
them, of all other files in the user's own cache folder.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path
from typing import Any

from setupsheets.files.documents import Document, PlacesIn
from setupsheets.files.faults import Marks
from setupsheets.files.kinds import CURRENT
from setupsheets.files.throwaway import Throwaway, users_store

MOST_KEPT = 1_000
"""Trees in a user's cache: with more all of them are thrown away, old ones of edited files first
and foremost."""


def users_trees() -> KnownTrees:
    """Those in the user's cache."""
    trees = KnownTrees(users_store(), MOST_KEPT)
    trees.fetch_all()
    return trees


class KnownTrees:
    """The trees of a store; where there is none, or it does not serve, none is known."""

    def __init__(self, store: Throwaway | None, most: int | None = None) -> None:
        """Nothing is read yet; where there are to be more than ``most`` all are thrown away."""
        self._store, self._most = store, most
        self._known: dict[str, str] = {}
        self._new: dict[str, str] = {}

    def fetch(self, digests: Iterable[str]) -> None:
        """Have at hand the trees that there are for what is in some files, and no others."""
        self._known = self._store.some("tree", digests) if self._store else {}

    def fetch_all(self) -> None:
        """Have at hand every tree that there is."""
        self._known = self._store.every("tree") if self._store else {}

    def document(self, path: Path, digest: str) -> Document | None:
        """The document in a file, by what is in it, from a tree at hand; its places are read when a
        fault asks for them. None where there is none."""
        if (text := self._known.get(digest)) is None:
            return None
        data = json.loads(text, object_hook=_with_decimals)
        kind = data["kind"]
        return Document(path, kind, CURRENT[kind], data, Marks(path, PlacesIn(path)), "")

    def add(self, digest: str, document: Document) -> None:
        """Have the tree of a file that is sound kept the next time."""
        self._new[digest] = json.dumps(document.data, default=_decimal)

    def keep(self) -> None:
        """Keep what has been added."""
        if self._store is not None and self._new:
            if self._most is not None and len(self._known) + len(self._new) > self._most:
                self._store.keep("tree", {}, gone=self._known)
                self._known = {}
            self._store.keep("tree", self._new)
            self._known |= self._new
        self._new = {}


def _decimal(value: Decimal) -> dict[str, str]:
    return {"=": str(value)}


def _with_decimals(data: dict[str, Any]) -> Any:
    return Decimal(data["="]) if data.keys() == {"="} else data
