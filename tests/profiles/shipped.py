"""Everything that ships, read once: documents by path, things by kind and name."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from setupsheets.files.documents import Document, read_document
from setupsheets.files.places import data_folder
from setupsheets.lengths import Unit
from setupsheets.shop.loading import KINDS, made_from
from setupsheets.shop.recipes import Recipe

PROFILES = data_folder("profiles")
FOLDERS = {
    kind: folder
    for kind, (folder, _) in KINDS.items()
    if (PROFILES / folder).is_dir() and folder != "."
}


def files(kind: str) -> tuple[Path, ...]:
    return tuple(sorted((PROFILES / FOLDERS[kind]).glob("*.yaml")))


FILES = tuple(path for kind in FOLDERS for path in files(kind))
STARTERS = tuple(sorted((PROFILES / "starters").rglob("*.yaml")))


@cache
def document(path: Path) -> Document:
    return read_document(path)


@cache
def things(kind: str) -> Mapping[str, Any]:
    return {path.stem: made_from(document(path), Unit.IN) for path in files(kind)}


def recipes() -> Mapping[str, Recipe]:
    return things("recipe")


def short(path: Path) -> str:
    """The path below profiles/, for the name of a test."""
    return str(path.relative_to(PROFILES))
