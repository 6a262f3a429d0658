"""Older versions of a kind of file: upgraded in memory when read, rewritten only when asked.

A step takes the plain data of one version to the next. Steps stand in a table by kind and by the
version they start from (see `shop.older_versions`), so a file of any version ever shipped goes up
one by one to the current.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from msgspec.structs import replace

from setupsheets.files.documents import Document, read_bytes, read_document, read_text
from setupsheets.files.editing import rewrite, text_with
from setupsheets.files.faults import DataFaults
from setupsheets.files.kinds import CURRENT
from setupsheets.files.plain_tree import Value
from setupsheets.files.safe_writing import new_file

Data = Mapping[str, Value]
UpgradeStep = Callable[[Data], Data]
"""The data of the next version, `version` left alone; the data given is not changed."""

UpgradeSteps = Mapping[tuple[str, int], UpgradeStep]
"""By kind and the version that each starts from."""


def upgrade(
    document: Document, steps: UpgradeSteps, current: Mapping[str, int] = CURRENT
) -> Document:
    """The document as of the current version of its kind, in memory.

    Places stay those of the file: what an upgrade moved or made has the place of its nearest parent
    that is there. Raises DataFaults for a version newer than the program's.
    """
    newest = current[document.kind]
    if document.version > newest:
        message = (
            f"this is version {document.version} of a {document.kind} file and the program knows "
            f"{newest}: update the program; the file is left as it is"
        )
        raise DataFaults([document.marks.fault(message, "version")])
    data: Data = document.data
    for version in range(document.version, newest):
        data = {**steps[document.kind, version](data), "version": version + 1}
    return replace(document, version=newest, data=data)


def upgraded_text(
    document: Document, steps: UpgradeSteps, current: Mapping[str, int] = CURRENT
) -> str:
    """The text of a file as of the current version; comments and what stays the same stay."""
    return text_with(document, upgrade(document, steps, current).data)


def upgrade_file(
    path: Path, steps: UpgradeSteps, current: Mapping[str, int] = CURRENT
) -> Path | None:
    """Rewrite a file as of the current version and keep the old one beside it: where that is.

    The old `frame.yaml` of version 1 becomes `frame.yaml.v1`, which no command takes for a data
    file. None if the file is current already. Raises DataFaults, and then nothing is changed.
    """
    document = read_document(path, current)
    if document.version == current[document.kind]:
        return None
    kept = path.with_name(f"{path.name}.v{document.version}")

    def rewritten(document: Document) -> str:
        text = upgraded_text(document, steps, current)
        read_text(text, path, current)  # sound, or its faults are raised before the old is kept
        _keep(kept, read_bytes(path))
        return text

    rewrite(path, rewritten, current)
    return kept


def _keep(path: Path, data: bytes) -> None:
    """Put the old content into a new file; an earlier try that failed later may have done so."""
    if not (path.is_file() and read_bytes(path) == data):
        new_file(path, data.decode("utf-8"))
