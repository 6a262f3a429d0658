"""What older versions of each kind of file said, brought to what the current one says."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from setupsheets.files.plain_tree import Value
from setupsheets.files.upgrades import UpgradeSteps

Data = Mapping[str, Value]

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


def _nothing_moved(data: Data) -> Data:
    """Machines from 1 to 2, which can say under which name they go on, and records, beside which
    each act has an entry from then on: what was there stays, before all entries."""
    return data


def _changes_are_events(data: Data) -> Data:
    """Cutters from 1 to 2: what happened to one is called as what happens to a machine is."""
    return {"events" if key == "changes" else key: value for key, value in data.items()}


STEPS: Final[UpgradeSteps] = MappingProxyType(
    {
        ("recipe", 1): _jigs_say_what_they_do,
        ("record", 1): _nothing_moved,
        ("machine", 1): _nothing_moved,
        ("cutter", 1): _changes_are_events,
    }
)
"""All steps, by kind and the version they start from."""
