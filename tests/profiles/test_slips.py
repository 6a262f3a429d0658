"""Slips of the pen: a dropped letter names the nearest key, a wrong value its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.files.documents import Document, read_text
from setupsheets.files.schemas import check_against_schema
from setupsheets.lengths import Unit
from setupsheets.shop.loading import FORMATS, KINDS
from tests.profiles.schema_trees import resolved, schema
from tests.profiles.shipped import FILES, STARTERS, document, short


def closed_keys(node: Any, field: Any, name: str, place: tuple[Any, ...]) -> Iterator[Any]:
    """Every key of a document that its schema knows by name."""
    if not isinstance(field, Mapping):
        return
    field = resolved(field, name)
    if isinstance(node, list):
        for index, item in enumerate(node):
            yield from closed_keys(item, field.get("items"), name, (*place, index))
    elif isinstance(node, Mapping):
        known = field.get("properties", {})
        for key, value in node.items():
            if key in known:
                yield (*place, key)
            below = known.get(key, field.get("additionalProperties"))
            yield from closed_keys(value, below, name, (*place, key))


def with_slip(made: Document, place: tuple[Any, ...], slip: str) -> Document:
    """The document with the key at a place spelt otherwise."""

    def copied(node: Any, steps: tuple[Any, ...]) -> Any:
        if isinstance(node, list):
            return [copied(x, steps[1:]) if i == steps[0] else x for i, x in enumerate(node)]
        if len(steps) == 1:
            return {slip if key == steps[0] else key: value for key, value in node.items()}
        return {k: copied(v, steps[1:]) if k == steps[0] else v for k, v in node.items()}

    return replace(made, data=copied(made.data, place))


def one_of_each_key() -> Iterator[tuple[Path, tuple[Any, ...]]]:
    """For every key that any shipped file has, told by its path without indices, the first file."""
    seen: set[tuple[Any, ...]] = set()
    for path in (*FILES, *STARTERS):
        made = document(path)
        for place in closed_keys(made.data, schema(made.kind), made.kind, ()):
            told = (made.kind, *(step for step in place if isinstance(step, str)))
            if told not in seen and place not in (("kind",), ("version",)):
                seen.add(told)
                yield path, place


KEYS = list(one_of_each_key())


def test_every_kind_gives_keys_to_misspell() -> None:
    assert {document(path).kind for path, _ in KEYS} == set(KINDS)
    assert len(KEYS) > 150


@pytest.mark.parametrize(
    ("path", "place"),
    KEYS,
    ids=lambda x: short(x) if isinstance(x, Path) else ".".join(map(str, x)),
)
def test_a_key_with_one_letter_dropped_is_refused_with_the_nearest(
    path: Path, place: tuple[Any, ...]
) -> None:
    made, key = document(path), place[-1]
    for index in range(len(key)):
        slip = key[:index] + key[index + 1 :]
        faults = check_against_schema(with_slip(made, place, slip), Unit.IN, FORMATS)
        wanted = f"unknown key {slip!r}; did you mean {key!r}?"
        assert any(wanted in fault.message for fault in faults), (slip, faults)


# ------------------------------------------------------------------------ what a schema refuses

BLADE = "{kind: cutter, version: 1, title: A, type: saw_blade, unit: in, diameter: 10, kerf: 1/8}"
BAR = (
    "{kind: section, version: 1, title: A, member: bar, unit: in, thickness: 1, width: 1,"
    " sticking: {shape: ovolo, width: 1/4, depth: 1/4}, rebate: {width: 1/4, depth: 1/4}}"
)
HAND = (
    "{kind: recipe, version: 1, title: A, makes: fit, members: [frame],"
    " operations: [{name: a, title: A, machine: bench, work: hand}]}"
)
EDGE = (
    "{kind: recipe, version: 1, title: A, makes: rebate, members: [frame],"
    " operations: [{name: a, title: A, machine: table_saw, work: edge, cutters: [saw_blade],"
    " down: back, against: sight_edge, settings: {fence: {aim: section.rebate.width}}}]}"
)
TIMBER = "{kind: timber, version: 1, title: A, radial: 0.002, tangential: 0.003, source: B}"
CAUTION = "{kind: caution, version: 1, title: A, cautions: [{name: a, text: B, basis: C}]}"
SHOP = "{kind: shop, version: 1, title: A, unit: in, finest: 1/64}"
SAW = (
    "{kind: machine, version: 1, title: A, type: table_saw, unit: in, settings: {"
    "fence: {title: F, finest: 1/64, set_by: rule, more: a, less: b},"
    "height: {title: H, finest: 1/64, set_by: rule, more: a, less: b}}}"
)

REFUSALS: list[tuple[str, str, str, str, str]] = [
    # good text, what stands in it, what takes its place, where the fault lies, words of the fault
    (BLADE, "kerf: 1/8", "teeth: 24", "kerf", "missing 'kerf'"),
    (BLADE, "kerf: 1/8", "kerf: 0", "kerf", "more than 0"),
    (BLADE, "kerf: 1/8", "kerf: -1/8", "kerf", "found '-1/8'"),
    (BLADE, "kerf: 1/8", "kerf: an eighth", "kerf", "an eighth"),
    (BLADE, "kerf: 1/8", "kerf: 1/8, reach: 1", "reach", "expected nothing"),
    (BLADE, "type: saw_blade", "type: sawblade", "type", "did you mean 'saw_blade'"),
    (BLADE, "type: saw_blade", "type: sticking_bit", "profile", "missing 'profile'"),
    (BLADE, "type: saw_blade", "type: cope_bit", "reach", "missing 'reach'"),
    (BLADE, "unit: in", "unit: inch", "unit", "did you mean 'in'"),
    (BLADE, "title: A", "title: ''", "title", "found an empty one"),
    (BLADE, "kerf: 1/8", "kerf: 1/8, greatest_speed: 0", "greatest_speed", "at least 1"),
    (BAR, "thickness: 1, width: 1,", "thickness: 1,", "width", "missing 'width'"),
    (BAR, "member: bar", "member: frame", "width", "expected nothing"),
    (BAR, "shape: ovolo", "shape: ovollo", "sticking.shape", "did you mean 'ovolo'"),
    (HAND, "machine: bench", "machine: planer", "operations.1.machine", "known are bench"),
    (HAND, "work: hand", "work: hand, down: face", "operations.1.down", "expected nothing"),
    (HAND, "work: hand", "work: edge", "operations.1.settings", "missing 'settings'"),
    (HAND, "name: a", "name: A b", "operations.1.name", "found 'A b'"),
    (EDGE, "against: sight_edge, ", "", "operations.1.against", "missing 'against'"),
    (EDGE, "cutters: [saw_blade],", "", "operations.1.cutters", "missing 'cutters'"),
    (EDGE, "section.rebate.width", "2 +", "operations.1.settings.fence.aim", "formula '2 +'"),
    (EDGE, "[saw_blade]", "[saw_blade, saw_blade]", "operations.1.cutters", "stands twice"),
    (TIMBER, "radial: 0.002", "radial: 0.2", "radial", "at most 0.01"),
    (TIMBER, "source: B", "source: B, density: 700", "density", "missing 'density_source'"),
    (CAUTION, "basis: C", "basis: ''", "cautions.1.basis", "found an empty one"),
    (CAUTION, ", basis: C", "", "cautions.1.basis", "missing 'basis'"),
    (
        CAUTION,
        "basis: C",
        "basis: C, general: true, work: [end]",
        "cautions.1.work",
        "expected nothing",
    ),
    (SHOP, "finest: 1/64", "finest: 0", "finest", "more than 0"),
    (SHOP, "finest: 1/64", "finest: 1/64, sure_enough: 1", "sure_enough", "less than 1"),
    (SAW, "height: {", "depth: {", "settings.height", "missing 'height'"),
    (SAW, "set_by: rule", "set_by: eye", "settings.fence.set_by", "unknown value 'eye'"),
]


def faults_in(text: str) -> list[tuple[str, str]]:
    found = check_against_schema(read_text(text), Unit.IN, FORMATS)
    return [(fault.field, fault.message) for fault in found]


@pytest.mark.parametrize("text", [BLADE, BAR, HAND, EDGE, TIMBER, CAUTION, SHOP, SAW])
def test_what_the_refusals_start_from_is_good(text: str) -> None:
    assert faults_in(text) == []


@pytest.mark.parametrize(("good", "part", "slip", "where", "words"), REFUSALS)
def test_what_is_wrong_is_refused_where_it_stands(
    good: str, part: str, slip: str, where: str, words: str
) -> None:
    assert part in good
    faults = faults_in(good.replace(part, slip, 1))
    assert any(field == where and words in message for field, message in faults), faults


def test_no_refusal_is_lost() -> None:
    assert len(REFUSALS) == 31
