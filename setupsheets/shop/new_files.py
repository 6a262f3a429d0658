"""Files as the program writes them for a maker to edit, and what is usual in them."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from setupsheets.files.commented import commented_text
from setupsheets.files.documents import read_document
from setupsheets.files.schemas import schema_of
from setupsheets.lengths import Unit
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.file_examples import example_of
from setupsheets.shop.finding import profiles
from setupsheets.shop.machines import SettingName

SIZES = {Unit.IN: "inch", Unit.MM: "metric"}
"""How the names of built-in machines and sections for a shop of that unit end."""
ENDS = {Unit.IN: ("inch",), Unit.MM: ("metric", "mm")}
"""The same of whatever is built in."""


def new_file_text(data: Mapping[str, Any], unit: Unit) -> str:
    """The text of a file that holds ``data``, whose bare lengths are in ``unit``, and as comments
    every key that it might hold besides; of a machine's dials those that its like has."""
    kind = str(data["kind"])
    barred = _other_dials(str(data["type"])) if kind == "machine" else frozenset()
    # A centre makes an arc of the line that it stands at, and none that ends where the line did;
    # no knives are built in that an example could name.
    without = {
        "settings": barred,
        "outline": frozenset({"centre"}),
        "cutters": frozenset({CutterType.KNIFE.value}),
    }
    schema = schema_of(kind)
    text = commented_text(data, schema, lambda each: example_of(each, unit), without)
    return f"{_HEAD.format(kind=kind)}{text}"


_HEAD = """\
## What stands behind one # may be there as well: take the # away, there and in the lines that are
## set in below it. Of several things alike the last one shows it for all.
## What each key is: setupsheets list {kind} --keys
"""


def tree_of(path: Path) -> dict[str, Any]:
    """What a file holds, a plain tree to change."""
    return copy.deepcopy(dict(read_document(path).data))


def usual_machines(unit: Unit) -> Iterator[tuple[str, dict[str, Any]]]:
    """The usual machines of a shop of that unit, by name."""
    size = SIZES[unit]
    for path in sorted((profiles() / "machines").glob("*.yaml")):
        name = path.stem.removesuffix(f"-{size}")
        if name != path.stem or not path.stem.endswith(tuple(SIZES.values())):
            yield name, tree_of(path)


@cache
def _other_dials(kind: str) -> frozenset[str]:
    """The dials that no usual machine of a kind has."""
    machines = (machine for unit in Unit for _, machine in usual_machines(unit))
    usual = {dial for each in machines if each["type"] == kind for dial in each["settings"]}
    return frozenset(SettingName) - usual
