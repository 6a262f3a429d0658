"""The least that has to change in a YAML text so that it holds other data.

`differences` finds what differs between two plain trees; `Patcher` turns each difference into
patches, pieces of the text to be replaced. Whatever no patch touches stays as it was written.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Mapping
from enum import Enum, auto
from functools import cached_property
from itertools import pairwise
from typing import Any, NamedTuple

from msgspec import Struct

from setupsheets.files.dumping import YamlLayout, inline_text, yaml_text
from setupsheets.files.faults import Step

Steps = tuple[Step, ...]


class Action(Enum):
    """What is done with the value, mapping or list at some steps."""

    REPLACE = auto()
    ADD = auto()
    REORDER = auto()
    REMOVE = auto()


class Difference(NamedTuple):
    """One difference; `value` is what it takes: a value, the further keys or the further items, or
    for each item of the new order its old place."""

    action: Action
    steps: Steps
    value: Any = None


class Patch(NamedTuple):
    """The text from `start` up to `end` becomes `text`; deeper ones come first at one place."""

    start: int
    end: int
    text: str
    depth: int = 0


class TooFine(Exception):
    """This cannot be changed by itself; what it stands in must be written anew."""


def differences(old: Any, new: Any, steps: Steps = ()) -> Iterator[Difference]:
    """What differs between two plain trees, as finely as it can be told."""
    if isinstance(old, dict) and isinstance(new, Mapping) and old:
        yield from (Difference(Action.REMOVE, (*steps, key)) for key in old if key not in new)
        for key in (key for key in old if key in new):
            yield from differences(old[key], new[key], (*steps, key))
        if more := {key: value for key, value in new.items() if key not in old}:
            yield Difference(Action.ADD, steps, more)
    elif isinstance(old, list) and isinstance(new, list) and (order := _moved(old, new)):
        yield Difference(Action.REORDER, steps, order)
    elif isinstance(old, list) and isinstance(new, list) and 0 < len(old) <= len(new):
        for index, item in enumerate(old):
            yield from differences(item, new[index], (*steps, index))
        if len(new) > len(old):
            yield Difference(Action.ADD, steps, new[len(old) :])
    elif old != new or isinstance(old, bool) != isinstance(new, bool):  # 1 is not true
        yield Difference(Action.REPLACE, steps, new)


def _moved(old: list[Any], new: list[Any]) -> list[int]:
    """The old places of items that only changed places; empty where anything else is new."""
    left = list(range(len(old)))
    order = []
    for item in new:
        place = next((place for place in left if old[place] == item), None)
        if place is None:
            return []
        left.remove(place)
        order.append(place)
    return order if not left and order != sorted(order) else []


def patched(text: str, patches: list[Patch]) -> str:
    """The text with all patches put in. Raises TooFine if two of them overlap."""
    ordered = sorted(patches, key=lambda patch: (patch.start, patch.end, -patch.depth))
    pieces: list[str] = []
    done = 0
    for patch in ordered:
        if patch.start < done:
            raise TooFine
        pieces += (text[done : patch.start], patch.text)
        done = patch.end
    return "".join((*pieces, text[done:]))


class Patcher(Struct, frozen=True, dict=True):
    """Makes the patches of a text; `root` is its composed node and `layout` its indentation."""

    text: str
    root: Any
    layout: YamlLayout

    def patches(self, difference: Difference) -> list[Patch]:
        """What one difference does to the text. Raises TooFine if it cannot be done by itself."""
        if difference.action is Action.ADD:
            return [self.added(difference.steps, difference.value)]
        if not difference.steps:
            raise TooFine
        if difference.action is Action.REORDER:
            return self.reordered(difference.steps, difference.value)
        if difference.action is Action.REMOVE:
            return self.removed(difference.steps)
        return self.replaced(difference.steps, difference.value)

    # ------------------------------------------------------------------------ additions

    def added(self, steps: Steps, more: Mapping[str, Any] | list[Any]) -> Patch:
        """Further keys behind those of a mapping, or items behind those of a list."""
        node = self.node(steps)
        if node.flow_style:
            return self.behind_last(node, inline_text(more)[1:-1])
        return self.lines_behind(node, self.lines(more), len(steps))

    def behind_last(self, node: Any, text: str) -> Patch:
        """Further content of a mapping or list in brackets."""
        last = node.value[-1][1] if node.id == "mapping" else node.value[-1]
        return Patch(last.end_mark.index, last.end_mark.index, f", {text}")

    def lines_behind(self, node: Any, lines: str, depth: int) -> Patch:
        """Further lines of a block, before comments that stand behind it."""
        column = node.start_mark.column
        at = self.line_start(self.behind_comments(self.end_line(node), column))
        return Patch(at, at, indented(lines, column), depth)

    # ------------------------------------------------------------------------ replacements

    def replaced(self, steps: Steps, value: Any) -> list[Patch]:
        """Another value in place of the one at `steps`."""
        parent, old = self.node(steps[:-1]), self.node(steps)
        if parent.flow_style:
            return [span(old, inline_text(value))]
        if parent.id == "mapping":
            return self.pair_value(*self.pair(parent, steps[-1]), value)
        lines = self.lines([value])
        if lines.count("\n") == 1 and is_inline(old):
            return [span(old, lines[1:-1].strip(" "))]
        return [self.item(old, lines, parent.start_mark.column)]

    def pair_value(self, key: Any, old: Any, value: Any) -> list[Patch]:
        """Another value of a key in a block; a comment behind the old one stays if it can."""
        head, _, lines = yaml_text({"k": value}, self.layout)[2:].partition("\n")
        lines = indented(lines, key.start_mark.column)
        colon = self.text.index(":", key.end_mark.index) + 1
        if is_inline(old):
            is_there = old.end_mark.index > old.start_mark.index
            start = old.start_mark.index if is_there and head else colon
            end = old.end_mark.index if is_there else colon
            below = self.text.index("\n", end) + 1
            text = head[1:] if start > colon else head
            return [Patch(start, end, text), Patch(below, below, lines)]
        below = self.line_start(self.end_line(old))
        if old.id == "scalar":  # what marks the text block stands on the key's line
            return [Patch(colon, below, f"{head}\n{lines}")]
        start = self.line_start(old.start_mark.line)
        return [Patch(colon, colon, head), Patch(start, below, lines)]

    def item(self, old: Any, lines: str, column: int) -> Patch:
        """Another item of a list in block style, from its dash to its end."""
        dash = self.text.rindex("-", 0, max(1, old.start_mark.index))
        start = self.text.rfind("\n", 0, dash) + 1
        if self.text[start:dash].strip(" "):
            raise TooFine
        return Patch(start, self.line_start(self.end_line(old)), indented(lines, column))

    def reordered(self, steps: Steps, order: list[int]) -> list[Patch]:
        """Items of a list in another order, in a block each with its lines and what stands above
        them: comments, empty lines."""
        parent, node = self.node(steps[:-1]), self.node(steps)
        if node.flow_style:
            texts = [self.text[item.start_mark.index : item.end_mark.index] for item in node.value]
            return [span(old, texts[n]) for old, n in zip(node.value, order, strict=True)]
        if parent.id == "sequence":
            raise TooFine
        ends = [
            self.behind_comments(self.end_line(item), node.start_mark.column) for item in node.value
        ]
        key, _ = self.pair(parent, steps[-1])
        cuts = [self.line_start(line) for line in (key.end_mark.line + 1, *ends)]
        blocks = [self.text[start:end] for start, end in pairwise(cuts)]
        return [Patch(cuts[0], cuts[-1], "".join(blocks[place] for place in order))]

    def removed(self, steps: Steps) -> list[Patch]:
        """A key and its value taken out with their lines; comments above them stay."""
        parent = self.node(steps[:-1])
        if parent.flow_style or len(parent.value) == 1:
            raise TooFine
        key, value = self.pair(parent, steps[-1])
        start = self.line_start(key.start_mark.line)
        if self.text[start : key.start_mark.index].strip(" "):
            raise TooFine
        return [Patch(start, self.line_start(max(self.end_line(value), self.end_line(key))), "")]

    # ----------------------------------------------------------------------- the text's places

    def node(self, steps: Steps) -> Any:
        """The node of the value at `steps`."""
        node = self.root
        for step in steps:
            node = self.pair(node, step)[1] if node.id == "mapping" else node.value[step]
        return node

    def pair(self, node: Any, step: Step) -> tuple[Any, Any]:
        """The nodes of a key and its value in a mapping."""
        key, value = next(pair for pair in node.value if pair[0].value == step)
        return key, value

    def lines(self, more: Mapping[str, Any] | list[Any]) -> str:
        """Keys or items as lines, at the very left."""
        return textwrap.dedent(yaml_text(more, self.layout))

    @cached_property
    def starts(self) -> list[int]:
        """Where each line begins, and where the text ends."""
        return [0, *(match.end() for match in re.finditer("\n", self.text))]

    def line_start(self, line: int) -> int:
        """Where a line begins, counted from 0; past the last one, where the text ends."""
        return self.starts[min(line, len(self.starts) - 1)]

    def line(self, number: int) -> str:
        """A line with its end."""
        return self.text[self.line_start(number) : self.line_start(number + 1)]

    def end_line(self, node: Any) -> int:
        """The number of lines down to the end of a node, without empty lines behind it."""
        while not is_inline(node) and node.id != "scalar":
            node = node.value[-1][1] if node.id == "mapping" else node.value[-1]
        end = int(node.end_mark.line + (node.end_mark.column > 0))
        header = self.line(node.start_mark.line)[node.start_mark.column :][:3]
        keeps_empty_lines = not is_inline(node) and "+" in header
        while end > 0 and not keeps_empty_lines and not self.line(end - 1).strip():
            end -= 1
        return end

    def behind_comments(self, end: int, column: int) -> int:
        """Behind comments that stand further in than a block's column: they belong to it."""
        for number in range(end, len(self.starts)):
            content = self.line(number).lstrip(" ")
            if content.startswith("#") and len(self.line(number)) - len(content) > column:
                end = number + 1
            elif content.strip():
                break
        return end


def is_inline(node: Any) -> bool:
    """Whether a node begins and ends within a line's flow: no block, and no text block."""
    return bool(node.style not in ("|", ">") if node.id == "scalar" else node.flow_style)


def span(node: Any, text: str) -> Patch:
    """Another text for a node on one line. Raises TooFine for a value that is not there."""
    if node.end_mark.index == node.start_mark.index:
        raise TooFine
    return Patch(node.start_mark.index, node.end_mark.index, text)


def indented(lines: str, column: int) -> str:
    """Lines moved in to a column, empty ones left empty."""
    return textwrap.indent(lines, " " * column)
