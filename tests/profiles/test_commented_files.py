"""What `begin` writes: every key that a file may hold stands in it, or behind a # that may be taken
away. The comments are taken away here as a maker would, by the text alone.

Reference: the schemas, for which keys there are; the program's own reading, for what is good.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from setupsheets.files.commented import commented_text
from setupsheets.files.documents import read_text
from setupsheets.files.faults import DataFaults
from setupsheets.files.schema_keys import EACH, Holds, keys_of
from setupsheets.lengths import Unit
from setupsheets.shop.finding import Shop, profiles
from setupsheets.shop.loading import made_from, validated
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.new_files import new_file_text, tree_of
from setupsheets.shop.starting import starter_files, usual_shop

OFFER = re.compile(r"( *)# ([\w.-]+):(?: |$)")
LIKE: Mapping[str, tuple[str, ...]] = {
    "inch": (
        *("cutters/sticking-ovolo-inch", "cutters/cope-ovolo-inch", "cutters/dado-stack-8-inch"),
        *("cutters/mortise-chisel-3-8-inch", "sections/ovolo-frame-inch", "sections/bead-bar-inch"),
        *("timbers/black-cherry", "recipes/bar-grooved", "recipes/dry-fit", "cautions/boring"),
    ),
    "metric": ("cutters/slot-cutter-4-mm", "sections/ogee-bar-metric", "recipes/mortise-drill"),
}


STARTERS = (
    "shop",
    "jobs/first-door",
    *(f"machines/{each.replace('_', '-')}" for each in MachineType),
)


@cache
def starters(unit: Unit) -> Mapping[str, str]:
    return starter_files(unit)


@cache
def text_of(size: str, name: str) -> tuple[str, Unit]:
    unit = Unit.IN if size == "inch" else Unit.MM
    if name in STARTERS:
        return starters(unit)[f"{name}.yaml"], unit
    return new_file_text(tree_of(profiles() / f"{name}.yaml"), unit), unit


FILES = [(size, name) for size, like in LIKE.items() for name in (*STARTERS, *like)]
each_file = pytest.mark.parametrize(("size", "name"), FILES)


@pytest.mark.parametrize("unit", Unit)
def test_every_starter_is_among_them(unit: Unit) -> None:
    begun = {each.removesuffix(".yaml") for each in starters(unit) if each.endswith(".yaml")}
    assert begun == set(STARTERS)


def every_way(lines: list[str], first: int = 0, last: int | None = None) -> Iterator[str]:
    """The text with one # taken away, there and in what is set in below it, for each that there
    is between two lines; and then for each within what was so."""
    for start in range(first, len(lines) if last is None else last):
        if match := OFFER.match(lines[start]):
            indent = match[1]
            end = start + 1
            while end < len(lines) and lines[end].startswith(f"{indent}#   "):
                end += 1
            bare = [f"{indent}{each[len(indent) + 2 :]}" for each in lines[start:end]]
            one = [*lines[:start], *bare, *lines[end:]]
            yield "\n".join(one) + "\n"
            yield from every_way(one, start + 1, end)


def paths(text: str, each: str = EACH) -> set[tuple[str, ...]]:
    """Every key of a file with the path to it, and for what lies in a list * or its number."""

    def walk(value: Any, place: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        if isinstance(value, dict):
            for key, item in value.items():
                yield (*place, key)
                yield from walk(item, (*place, key))
        elif isinstance(value, list):
            for number, item in enumerate(value):
                yield from walk(item, (*place, each.format(number)))

    return set(walk(read_text(text).data, ()))


def loaded(name: str, text: str, unit: Unit) -> None:
    document = read_text(text, Path(name))
    made_from(validated(document, document.kind, unit), unit)


HANGS_ON = {
    "outline": "moulding.svg: no such file",  # the drawing is the maker's to make
    "measures": "unknown operation 'rebate'",  # a dry fit has none; an example cannot know
}
"""Keys whose example names something that is not in every shop, with what is said then."""


@each_file
def test_everything_behind_a_comment_is_good_as_it_stands(size: str, name: str) -> None:
    text, unit = text_of(size, name)
    loaded(name, text, unit)
    before, ways = paths(text, "{}"), [*every_way(text.splitlines())]
    assert ways
    for one in ways:
        new = paths(one, "{}") - before
        assert new, "what was behind the # is no key"
        try:
            loaded(name, one, unit)
        except DataFaults as found:
            said = {HANGS_ON.get(step, "?") for path in new for step in path}
            assert any(words in str(found) for words in said), str(found)


UNOFFERED = {
    ("profile", "outline", EACH, "to"): "an outline is a drawing or measured, not made of examples",
    ("profile", "outline", EACH, "centre"): "the same",
    ("sticking", "outline", EACH, "to"): "the same",
    ("sticking", "outline", EACH, "centre"): "the same",
    ("cutters", "knife"): "no knives are built in",
    ("first_choice", "cutters", "knife"): "the same",
    ("cautions", EACH, "general"): "not beside machines, which the last caution has",
}


@pytest.mark.parametrize(
    "kind", ["shop", "machine", "cutter", "section", "job", "timber", "recipe", "caution"]
)
def test_every_key_of_a_kind_is_there_or_behind_a_comment(kind: str) -> None:
    told = set()
    for file in FILES:
        text, _ = text_of(*file)
        if f"kind: {kind}\n" in text:
            told |= paths(text).union(*map(paths, every_way(text.splitlines())))
    for key in keys_of(kind):
        if key.path not in UNOFFERED:
            assert any(is_at(path, key.path) for path in told), key.path


def is_at(path: tuple[str, ...], pattern: tuple[str, ...]) -> bool:
    """Whether a path is one that a key's stands for; what one dial may hold, all may."""
    return len(path) == len(pattern) and all(
        want in (EACH, step) or (index == 1 and pattern[0] == "settings" and len(pattern) == 3)
        for index, (step, want) in enumerate(zip(path, pattern, strict=True))
    )


@each_file
def test_a_file_holds_what_it_was_made_of(size: str, name: str) -> None:
    """No comment changes what counts, no line is too wide, and every sentence is the schema's."""
    text, unit = text_of(size, name)
    assert new_file_text(read_text(text).data, unit) == text
    assert max(len(line) for line in text.splitlines() if "# " in line) <= 99
    told = " ".join(re.sub(r"[ #]+", " ", text).split())
    kind = str(read_text(text).data["kind"])
    top = [key for key in keys_of(kind) if len(key.path) == 1 and key.holds is not Holds.ALWAYS]
    for key in top:
        if key.name not in ("version", "unit") and key.allowed_in(read_text(text).data):
            assert " ".join(key.sentence.split()) in told, key.name


def test_a_sentence_stands_behind_its_key_as_long_as_the_line_has_room() -> None:
    """Of 99 letters: a hundredth has no room."""
    for letters, lines in ((89, 1), (90, 2)):
        told = letters * "x"
        schema = {"properties": {"k": {"type": "string", "description": told}}}
        text = commented_text({}, schema, lambda _: "v")
        whole = f"# k: v  # {told}"
        assert text.splitlines() == ([whole] if lines == 1 else [f"## {told}", "# k: v"])
        assert (len(whole) <= 99) is (lines == 1)


def test_a_sentence_above_its_key_is_broken_where_the_line_ends() -> None:
    """Behind `## ` 96 letters have room in a line of 99: 90, a space and 5, and no more."""
    for last, lines in (("y" * 5, 1), ("y" * 6, 2)):
        told = f"{'x' * 90} {last}"
        schema = {"properties": {"k": {"type": "string", "description": told}}}
        above = [told] if lines == 1 else told.split()
        text = commented_text({"k": "v"}, schema, lambda _: "")
        assert text.splitlines() == [*(f"## {each}" for each in above), "k: v"]


THING = {
    "type": "object",
    "properties": {
        "name": {"type": "string", "description": "What it is called."},
        "note": {"type": "string", "description": "What is to be said."},
    },
}
THINGS = {"properties": {"all": {"type": "array", "items": THING, "description": "All of them."}}}
BOTH = {"name": "a", "note": "b"}
LONG = {"name": "a", "note": "n" * 78}  # `  - {name: a, note: nnn}` fills a line of 99


@pytest.mark.parametrize(
    ("things", "lines"),
    [
        ([BOTH, BOTH], ["  - {name: a, note: b}", "  - {name: a, note: b}"]),
        ([BOTH, {"name": "c"}],
         ["  - name: a", "    note: b", "  - name: c", "    # note: v  # What is to be said."]),
        ([{"name": "c"}, BOTH], ["  - {name: c}", "  - {name: a, note: b}"]),
        ([LONG, BOTH], [f"  - {{name: a, note: {'n' * 78}}}", "  - {name: a, note: b}"]),
        ([LONG | {"name": "ab"}, BOTH],
         ["  - name: ab", f"    note: {'n' * 78}", "  - {name: a, note: b}"]),
        ([BOTH, LONG | {"name": "ab"}],
         ["  - {name: a, note: b}", "  - name: ab", f"    note: {'n' * 78}"]),
    ],
)  # fmt: skip
def test_things_of_a_list_stand_on_a_line_each_while_nothing_is_offered_and_they_have_room(
    things: list[dict[str, str]], lines: list[str]
) -> None:
    """What all of them might hold besides is offered once, in the last."""
    text = commented_text({"all": things}, THINGS, lambda _: "v")
    assert text.splitlines() == ["all:  # All of them.", *lines]


def test_a_begun_file_is_its_starter_word_for_word() -> None:
    for unit in Unit:
        for name, data in usual_shop(unit).machines.items():
            assert read_text(starters(unit)[f"machines/{name}.yaml"]).data == data


def test_names_in_comments_are_built_in(tmp_path: Path) -> None:
    """A metric shop is offered no inch cutter, and what it is offered is there."""
    for unit in Unit:
        folder = tmp_path / unit
        for name, text in starters(unit).items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, "utf-8")
        shop = Shop.open(folder)
        known = {
            each.name for kind in ("cutter", "section", "recipe") for each in shop.everything(kind)
        }
        lines = [line for text in starters(unit).values() for line in text.splitlines()]
        offered = {
            m[1]
            for line in lines
            if (m := re.search(r"# \w+: ([a-z]+(?:-[a-z0-9]+)+)(?: |$)", line))
        }
        offered -= {"radial-saw", "route"}
        machines = {each.name for each in shop.everything("machine")}
        assert len(offered) > 20 and offered <= known | machines
        assert unit is Unit.IN or not any(name.endswith("inch") for name in offered)
