"""What a file may hold, key by key, in words; and what its formulas may."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from setupsheets.files.dumping import inline_text
from setupsheets.files.faults import field_name
from setupsheets.files.schema_keys import EACH, LENGTHS, Holds, Key, KeyCondition, holds, whole
from setupsheets.files.schemas import Schema
from setupsheets.lengths import Unit
from setupsheets.wording.lists import either

HOLDS: Mapping[Holds, str] = {
    Holds.LENGTH: "a length",
    Holds.GAP: "a length, nought or more",
    Holds.SIZE: "a length, more than nought",
    Holds.FRACTION: "a number",
    Holds.FORMULA: "a formula",
    Holds.DATE: "a date",
    Holds.TEXT: "text",
    Holds.NAME: "a name",
    Holds.WHOLE: "a whole number",
    Holds.YES_OR_NO: "true or false",
    Holds.ONE_OF: "one of",
    Holds.ALWAYS: "always",
    Holds.LIST: "a list",
    Holds.KEYS: "the keys that follow",
    Holds.OWN_KEYS: "keys of your own",
}
_LISTED: Mapping[Holds, str] = {
    Holds.LENGTH: "lengths",
    Holds.GAP: "lengths, nought or more",
    Holds.SIZE: "lengths, more than nought",
    Holds.FRACTION: "numbers",
    Holds.FORMULA: "formulas",
    Holds.DATE: "dates",
    Holds.TEXT: "texts",
    Holds.NAME: "names",
    Holds.WHOLE: "whole numbers",
    Holds.YES_OR_NO: "true or false",
    Holds.ONE_OF: "any of",
    Holds.ALWAYS: "one thing",
    Holds.LIST: "lists",
    Holds.KEYS: "things with the keys that follow",
    Holds.OWN_KEYS: "things with keys of your own",
}
UNITS: Mapping[Unit, str] = {Unit.IN: "inches", Unit.MM: "mm"}
EACH_TELLS = f"{EACH} stands for each in a list, and for a name of your own."
_LENGTHS_TELL = (
    "A bare length is in {unit}{unless}; one may have its own unit, as in 3/8 in or 9.5 mm."
)


def heading(kind: str, sentence: str, unit: Unit, *, has_unit: bool) -> list[str]:
    """What stands above the keys of a kind of file."""
    unless = " unless the file has a unit: of its own" if has_unit else ""
    lengths = _LENGTHS_TELL.format(unit=UNITS[unit], unless=unless)
    return [f"{kind}: {sentence}", lengths, EACH_TELLS]


def key_lines(key: Key, example: Any, default: Any, unit: Unit) -> list[str]:
    """One key: what it holds and whether it is needed, its sentence, an example."""
    head = f"{field_name(key.path)}: {holds_words(key.schema, unit)}; {need_words(key, default)}"
    shown = "" if key.name == EACH else f"{key.name}: "
    return [head, f"    {key.sentence}", f"    example: {shown}{plain(example)}"]


def holds_words(schema: Schema, unit: Unit) -> str:
    """What a key holds, with the unit, the choices and the limits."""
    kind = holds(schema)
    words = HOLDS[kind]
    if kind is Holds.ALWAYS:
        words += f" {plain(schema['const'])}"
    elif kind is Holds.ONE_OF:
        words += f" {', '.join(map(str, schema['enum']))}"
    elif kind is Holds.LIST:
        words += f" of {_items_words(whole(schema['items']), unit)}"
        words += ", or text" if "string" in schema["type"] else ""
    elif kind in LENGTHS:
        words += f", in {UNITS[unit]}"
    return words + _limits_words(schema, kind)


def _items_words(items: Schema, unit: Unit) -> str:
    kind = holds(items)
    told = ""
    if kind is Holds.ONE_OF:
        told = f" {', '.join(map(str, items['enum']))}"
    elif kind in LENGTHS:
        told = f", in {UNITS[unit]}"
    return _LISTED[kind] + told


def _limits_words(schema: Schema, kind: Holds) -> str:
    """What a plain number must lie between; of lengths the words say it."""
    if kind not in (Holds.WHOLE, Holds.FRACTION):
        return ""
    told = {
        "minimum": "{} or more",
        "exclusiveMinimum": "more than {}",
        "maximum": "{} or less",
        "exclusiveMaximum": "less than {}",
    }
    limits = [words.format(schema[limit]) for limit, words in told.items() if limit in schema]
    return f", {' and '.join(limits)}" if limits else ""


def need_words(key: Key, default: Any) -> str:
    """Whether a key is needed, and what counts where it is left out."""
    if key.needed:
        return "needed"
    told = list(_conditions_words(key.conditions))
    if default is not None:
        told.append(f"{plain(default)} where it is left out")
    return "; ".join(told) or "may be left out"


def _conditions_words(conditions: tuple[KeyCondition, ...]) -> Iterator[str]:
    """`needed where type is saw_blade or dado_stack`; those of one other key in one."""
    for path, not_these in dict.fromkeys((each.path, each.not_these) for each in conditions):
        name = field_name(path)
        here = [each for each in conditions if (each.path, each.not_these) == (path, not_these)]
        needs, bars = (
            [v for c in here if c.needed is so for v in c.values] for so in (True, False)
        )
        if not here[0].values:
            yield f"needed where there is {name}"
        elif {*needs, *bars} == {*here[0].choices}:
            fewer, lead = (needs, "needed") if len(needs) <= len(bars) else (bars, "not")
            other = "not elsewhere" if fewer is needs else "needed elsewhere"
            yield f"{lead} where {name} is {either(map(plain, fewer))}, {other}"
        else:
            where = f"where {name} is {'not ' if not_these else ''}"
            told = (("needed", needs), ("not", bars))
            yield from (f"{lead} {where}{either(map(plain, some))}" for lead, some in told if some)


def plain(value: Any) -> str:
    """A value as it stands in a file, on one line."""
    return inline_text({"k": value}).removeprefix("{k: ").removesuffix("}")
