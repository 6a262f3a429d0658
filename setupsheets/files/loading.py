"""A file from the disk to a document that can be trusted: read, upgraded, checked."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from setupsheets.files.faults import stop_on
from setupsheets.files.reading import Document, read_document
from setupsheets.files.schemas import Check, check_against_schema
from setupsheets.files.upgrades import upgrade
from setupsheets.lengths import Unit


def load(
    path: Path, unit: Unit | None = None, formats: Mapping[str, Check] | None = None
) -> Document:
    """The document in a file, of the current version and true to its schema.

    `unit` and `formats` as `check_against_schema` takes them. Raises DataFaults with every fault.
    """
    document = upgrade(read_document(path))
    stop_on(check_against_schema(document, unit, formats))
    return document
