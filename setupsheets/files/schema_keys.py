"""The keys that a kind of file may hold, in the order of its schema: for whoever writes one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import Enum, auto
from functools import cache, cached_property
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.schemas import Schema, schema_of

EACH = "*"
"""The step of a path that stands for each thing of a list, and for each name of a maker's own."""

KeyPath = tuple[str, ...]


class Holds(Enum):
    """What a key holds."""

    LENGTH = auto()
    GAP = auto()
    SIZE = auto()
    FRACTION = auto()
    FORMULA = auto()
    DATE = auto()
    TEXT = auto()
    NAME = auto()
    WHOLE = auto()
    YES_OR_NO = auto()
    ONE_OF = auto()
    ALWAYS = auto()
    LIST = auto()
    KEYS = auto()
    OWN_KEYS = auto()


LENGTHS = frozenset({Holds.LENGTH, Holds.GAP, Holds.SIZE})

_FORMATS = {
    "length": Holds.LENGTH,
    "gap": Holds.GAP,
    "size": Holds.SIZE,
    "fraction": Holds.FRACTION,
    "share": Holds.FRACTION,
    "formula": Holds.FORMULA,
    "date": Holds.DATE,
}
_TYPES = {
    "string": Holds.TEXT,
    "integer": Holds.WHOLE,
    "number": Holds.FRACTION,
    "boolean": Holds.YES_OR_NO,
    "array": Holds.LIST,
}


class KeyCondition(Struct, frozen=True):
    """What decides whether a key is ``needed``, or else may not be there: another key of the same
    thing, at ``path``, that has one of ``values`` out of ``choices`` (or with ``not_these`` none of
    them); whatever it has where ``values`` are none."""

    needed: bool
    path: KeyPath
    values: tuple[Any, ...] = ()
    not_these: bool = False
    choices: tuple[Any, ...] = ()

    def holds(self, thing: Mapping[str, Any]) -> bool:
        """Whether it is so of the thing that both keys belong to."""
        found = thing
        for step in self.path:
            if not isinstance(found, Mapping) or step not in found:
                return self.not_these
            found = found[step]
        return not self.values or (found in self.values) is not self.not_these


class Key(Struct, frozen=True, dict=True):
    """One key: the ``path`` to it, what the ``schema`` says of it, and whether it is ``needed``,
    always or on ``conditions``. The things that it holds have their own keys after it."""

    path: KeyPath
    schema: Schema
    needed: bool
    conditions: tuple[KeyCondition, ...]

    @property
    def name(self) -> str:
        """The key itself."""
        return self.path[-1]

    @property
    def sentence(self) -> str:
        """What it is."""
        return str(self.schema["description"])

    @cached_property
    def holds(self) -> Holds:
        """What it holds."""
        return holds(self.schema)

    @property
    def default(self) -> Any:
        """What counts where it is left out; None where nothing does, or its sentence says it."""
        return self.schema.get("default")

    @property
    def choices(self) -> tuple[str, ...]:
        """What it may be, where that is one of a few words."""
        return tuple(map(str, self.schema.get("enum", ())))

    def needed_in(self, thing: Mapping[str, Any]) -> bool:
        """Whether the thing that it belongs to needs it."""
        return self.needed or any(each.needed and each.holds(thing) for each in self.conditions)

    def allowed_in(self, thing: Mapping[str, Any]) -> bool:
        """Whether the thing that it belongs to may have it."""
        return not any(not each.needed and each.holds(thing) for each in self.conditions)


@cache
def keys_of(kind: str) -> tuple[Key, ...]:
    """Every key of a kind of file, those of a thing right after the key that holds it.

    Raises DataFaults where there is no schema of that kind.
    """
    return tuple(_keys(schema_of(kind), (), ()))


def holds(schema: Schema) -> Holds:
    """What a schema lets through."""
    kinds = schema.get("type", "string")
    first = kinds[0] if isinstance(kinds, list) else kinds
    if "const" in schema:
        return Holds.ALWAYS
    if "enum" in schema:
        return Holds.ONE_OF
    if schema.get("format") in _FORMATS:
        return _FORMATS[schema["format"]]
    if first == "object":
        return Holds.KEYS if schema.get("properties") else Holds.OWN_KEYS
    if first == "string" and "maxLength" in schema:  # of all texts names alone have an end
        return Holds.NAME
    return _TYPES[first]


def whole(schema: Schema) -> Schema:
    """A schema with what it takes over from another one beside its own words."""
    taken: dict[str, Any] = {}
    for each in schema.get("allOf", ()):
        if "if" not in each:
            taken |= whole(each)
    return {**taken, **schema}


def under(schema: Schema, key: str) -> Schema:
    """What a schema says of a key, whether it names it or the maker does."""
    if key in schema.get("properties", {}):
        return whole(schema["properties"][key])
    return whole(next(_of_own_names(schema), {}))


Told = tuple[tuple[KeyPath, KeyCondition], ...]
"""Conditions, each with the path from here to the key that it is about."""


def _keys(schema: Schema, place: KeyPath, told: Told) -> Iterator[Key]:
    told = (*told, *conditions_in(schema))
    needed = schema.get("required", ())
    for name, inner in schema.get("properties", {}).items():
        own = tuple(each for path, each in told if path == (name,))
        below = tuple((path[1:], each) for path, each in told if path[:1] == (name,) and path[1:])
        found = _exemplified(whole(inner), name, schema) if place else whole(inner)
        key = Key((*place, name), found, name in needed, own)
        yield key
        yield from _within(key.schema, key.path, below)
    for inner in _of_own_names(schema):
        yield Key((*place, EACH), whole(inner), False, ())
        yield from _within(whole(inner), (*place, EACH), ())


def _exemplified(schema: Schema, name: str, above: Schema) -> Schema:
    """A key's schema with the example that what holds it has of it, so that the two agree."""
    example, *_ = above.get("examples", [{}])
    if not isinstance(example, Mapping) or name not in example:
        return schema
    return {**schema, "examples": [example[name], *schema["examples"][1:]]}


def _within(schema: Schema, place: KeyPath, told: Told) -> Iterator[Key]:
    """The keys of what a key holds: of the thing, or of each in a list of things."""
    if "properties" in schema or any(True for _ in _of_own_names(schema)):
        yield from _keys(schema, place, told)
    elif whole(schema.get("items", {})).get("properties"):
        yield from _keys(whole(schema["items"]), (*place, EACH), told)


def _of_own_names(schema: Schema) -> Iterator[Schema]:
    """What stands under keys that a maker names."""
    yield from schema.get("patternProperties", {}).values()
    if isinstance(schema.get("additionalProperties"), Mapping):
        yield schema["additionalProperties"]


def conditions_in(schema: Schema) -> Iterator[tuple[KeyPath, KeyCondition]]:
    """What hangs on other keys of the same thing, with the path to the key that it is about."""
    for each in schema.get("allOf", ()):
        if "if" in each:
            ((name, asked),) = each["if"]["properties"].items()
            values = tuple(asked.get("enum", (asked.get("const"),)))
            every = tuple(whole(schema["properties"][name]).get("enum", ()))
            so = KeyCondition(True, (name,), values, choices=every)
            yield from _consequences(each.get("then", {}), (), so)
            yield from _consequences(each.get("else", {}), (), replace(so, not_these=True))
    for name, others in schema.get("dependentRequired", {}).items():
        yield from (((other,), KeyCondition(True, (name,))) for other in others)


def _consequences(schema: Schema, place: KeyPath, so: KeyCondition) -> Told:
    """What a schema asks for and forbids where a condition is met."""
    found = [((*place, name), so) for name in schema.get("required", ())]
    for name, inner in schema.get("properties", {}).items():
        if inner is True:  # named for checkers that want every key of `required` to be there
            continue
        if inner.get("type") == "null":
            found.append(((*place, name), replace(so, needed=False)))
        else:
            found += _consequences(inner, (*place, name), so)
    return tuple(found)
