"""Older versions of a kind of file: upgraded in memory when read, rewritten only when asked.

A step takes the plain data of one version to the next. Steps stand in a table by kind and by the
version they start from, so a file of any version ever shipped goes up one by one to the current.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from setupsheets.files.editing import rewrite, text_with
from setupsheets.files.faults import DataFaults
from setupsheets.files.kinds import CURRENT
from setupsheets.files.plain_tree import Value
from setupsheets.files.reading import Document, read_bytes, read_document, read_text
from setupsheets.files.writing import new_file

Data = Mapping[str, Value]
UpgradeStep = Callable[[Data], Data]
"""The data of the next version, `version` left alone; the data given is not changed."""

Steps = Mapping[tuple[str, int], UpgradeStep]

JIGS_OF_VERSION_1: Final[Mapping[str, str]] = MappingProxyType(
    {
        **dict.fromkeys(("sled", "fence and clamp"), "holds_fast"),
        **dict.fromkeys(("push block", "push stick", "push sticks"), "pushes"),
        **dict.fromkeys(("feather board", "feather boards"), "presses"),
        **dict.fromkeys(("backing block", "clean fence"), "backs"),
        **dict.fromkeys(("false fence", "flat fence", "wooden fence", "close insert"), "closes"),
        **dict.fromkeys(
            ("marking gauge", "winding sticks", "two laths", "glass template"), "marks"
        ),
        "hold-down": "holds_down",
        "stop block": "stops",
        "carrier board": "carries",
        "filler strip": "fills",
        "tall fence": "heightens_fence",
    }
)
"""What the jigs of the recipes that shipped at version 1 do, by their names. Any other name says
nothing, and a part in such a jig must not count as held: it becomes `unsaid`."""


def _jigs_say_what_they_do(data: Data) -> Data:
    """Recipes from 1 to 2: at version 1 a jig's name decided what it did."""
    operations = data.get("operations")
    if not isinstance(operations, list):
        return data
    return {**data, "operations": [_with_kinds(each) for each in operations]}


def _with_kinds(operation: Value) -> Value:
    jigs = operation.get("jigs") if isinstance(operation, dict) else None
    if not isinstance(operation, dict) or not isinstance(jigs, list):
        return operation
    return {**operation, "jigs": [_with_kind(jig) for jig in jigs]}


def _with_kind(jig: Value) -> Value:
    if not isinstance(jig, dict):
        return jig
    kind = JIGS_OF_VERSION_1.get(str(jig.get("name")), "unsaid")
    sizes = jig.get("sizes")
    needs = {"fills": {"width", "height"}, "heightens_fence": {"height"}}.get(kind, set())
    if not needs <= (sizes.keys() if isinstance(sizes, dict) else set()):
        kind = "unsaid"  # without its sizes it did nothing
    return {"kind": kind, **jig}


STEPS: Final[Steps] = MappingProxyType({("recipe", 1): _jigs_say_what_they_do})
"""All steps, by kind and the version they start from."""


def upgrade(
    document: Document, current: Mapping[str, int] = CURRENT, steps: Steps = STEPS
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
    document: Document, current: Mapping[str, int] = CURRENT, steps: Steps = STEPS
) -> str:
    """The text of a file as of the current version; comments and what stays the same stay."""
    return text_with(document, upgrade(document, current, steps).data)


def upgrade_file(
    path: Path, current: Mapping[str, int] = CURRENT, steps: Steps = STEPS
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
        text = upgraded_text(document, current, steps)
        read_text(text, path, current)  # sound, or its faults are raised before the old is kept
        _keep(kept, read_bytes(path))
        return text

    rewrite(path, rewritten, current)
    return kept


def _keep(path: Path, data: bytes) -> None:
    """Put the old content into a new file; an earlier try that failed later may have done so."""
    if not (path.is_file() and read_bytes(path) == data):
        new_file(path, data.decode("utf-8"))
