"""A new file for a maker to edit: what it holds, and as comments what it might hold besides.

    ## What a line is, from the schema.
    # fence_height: 2 1/2

Take the `# ` away at a key and at what is set in below it, and it counts; `##` goes on saying what
it is. A thing's own further keys stand in it in the same way. Of several things alike the last one
has what all might hold.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from msgspec import Struct

from setupsheets.files.documents import ENVELOPE
from setupsheets.files.dumping import inline_text, yaml_text
from setupsheets.files.schema_keys import Holds, conditions_in, holds, under, whole
from setupsheets.files.schemas import Schema

WIDTH = 99
_plain_key = re.compile(r"(?!(?:true|false|null)$)[a-z][a-z0-9_.-]*").fullmatch

Example = Callable[[Schema], Any]
"""What stands, for example, under a key that has this schema."""


def commented_text(
    data: Mapping[str, Any],
    schema: Schema,
    example: Example,
    without: Mapping[str, frozenset[str]] | None = None,
) -> str:
    """The text of a file that holds ``data``; ``without`` names, by the key that holds a thing,
    keys of it that are not offered."""
    writer = _Writer(example, without or {})
    return "".join(f"{line}\n" for line in writer.thing(data, schema, WIDTH, at_top=True))


class _Writer(Struct, frozen=True):
    example: Example
    without: Mapping[str, frozenset[str]]

    def thing(
        self,
        data: Mapping[str, Any],
        schema: Schema,
        room: int,
        *,
        offers: bool = True,
        at_top: bool = False,
        besides: frozenset[str] = frozenset(),
    ) -> Iterator[str]:
        """The lines of something with keys, each at most ``room`` wide where that can be."""
        last = {_alike(key, under(schema, key)): key for key in data}
        for key, value in data.items():
            inner = under(schema, key)
            told = inner.get("description", "") if at_top and key not in ENVELOPE else ""
            offering = offers and last[_alike(key, inner)] == key
            yield from self.entry(key, value, inner, room, told=told, offers=offering)
        for key in self.offered(data, schema, besides) if offers else ():
            inner = under(schema, key)
            lines = self.entry(key, self.example(inner), inner, room - 2, told=inner["description"])
            yield from (line if line.startswith("## ") else f"# {line}" for line in lines)

    def offered(
        self, data: Mapping[str, Any], schema: Schema, besides: frozenset[str]
    ) -> list[str]:
        """The keys that something has not and may have beside those that it has."""
        keys: Mapping[str, Any] = schema.get("properties", {})
        return [
            key
            for key in keys
            if key not in data
            and key not in besides | _barred(data, schema)
            and not _barred({**data, key: self.example(under(schema, key))}, schema) & data.keys()
        ]

    def entry(
        self,
        key: str,
        value: Any,
        schema: Schema,
        room: int,
        *,
        told: str = "",
        offers: bool = True,
    ) -> list[str]:
        """The lines of a key with its value, and of the sentence ``told`` of it."""
        besides = self.without.get(key, frozenset())
        lines = self.value(value, schema, room - 2, offers=offers, besides=besides)
        plain = key if _plain_key(key) else yaml_text({key: 0}).removesuffix(": 0\n")
        lines = [f"{plain}:{lines[0]}", *lines[1:]]
        if not told:
            return lines
        if len(lines[0]) + 4 + len(told) <= room:
            return [f"{lines[0]}  # {told}", *lines[1:]]
        return [*(f"## {each}" for each in textwrap.wrap(told, room - 3)), *lines]

    def value(
        self,
        value: Any,
        schema: Schema,
        room: int,
        *,
        offers: bool = True,
        besides: frozenset[str] = frozenset(),
    ) -> list[str]:
        """What stands behind a key: on its line where that has room and nothing is offered."""
        if isinstance(value, str) and "\n" not in value:
            return [f" {yaml_text({'k': value}).removeprefix('k: ').strip()}"]
        inline = inline_text({"k": value}).removeprefix("{k: ").removesuffix("}")
        if isinstance(value, Mapping) and value:
            lines = list(self.thing(value, schema, room, offers=offers, besides=besides))
            if len(inline) > room - 20 or len(lines) > len(value) or _has_things(value):
                return ["", *(f"  {line}" for line in lines)]
        if isinstance(value, list) and any(isinstance(each, Mapping) for each in value):
            return ["", *self.items(value, whole(schema.get("items", {})), room, besides)]
        return [f" {inline}"]

    def items(
        self, value: list[Any], schema: Schema, room: int, besides: frozenset[str]
    ) -> Iterator[str]:
        """The lines of a list of things: all in one way, with what is offered in the last."""
        offering = list(self.thing(value[-1], schema, room - 2, besides=besides))
        blocks = len(offering) > len(value[-1])
        for index, each in enumerate(value):
            first = index + 1 < len(value)
            lines = [inline_text(each)]
            if blocks or len(lines[0]) > room - 2:
                lines = offering
                if first:
                    lines = list(self.thing(each, schema, room - 2, offers=False))
            yield f"  - {lines[0]}"
            yield from (f"    {line}" for line in lines[1:])


def _barred(data: Mapping[str, Any], schema: Schema) -> frozenset[str]:
    """The keys that something may not have as it is."""
    return frozenset(
        path[0]
        for path, each in conditions_in(schema)
        if len(path) == 1 and not each.needed and each.holds(data)
    )


def _has_things(value: Mapping[str, Any]) -> bool:
    """Whether something with keys holds another."""
    return any(isinstance(each, Mapping) for each in value.values())


def _alike(key: str, schema: Schema) -> tuple[str, ...]:
    """The same for things that may hold the same keys; of its own for all else."""
    return tuple(schema["properties"]) if holds(schema) is Holds.KEYS else (key,)
