"""What a schema checker found, in words for the person who wrote the file, and where it stands.

One function for each keyword that the program's schemas use says what was expected and what was
found. The errors come from `jsonschema`; of the branches of `oneOf` the one with the fewest faults
is explained.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from setupsheets.files.faults import Fault, Marks, Step, listed, nearest, shown, unknown

Error = Any
"""A `jsonschema.ValidationError`; the library is imported only where a check runs."""

Steps = tuple[Step, ...]


class Finding(NamedTuple):
    """What is wrong with the value at `steps`, or with its key."""

    message: str
    steps: Steps
    on_key: bool = False


def faults_of(errors: Iterable[Error], marks: Marks) -> tuple[Fault, ...]:
    """The faults that errors mean, each once, sorted by place."""
    found: set[Fault] = set()
    for error in errors:
        for message, steps, on_key in _findings(error):
            place = marks.key_fault if on_key else marks.fault
            found.add(place(message, *steps))
    return tuple(sorted(found))


def _findings(error: Error) -> Iterator[Finding]:
    """What one error says; usually one finding, one for each key where keys are at fault."""
    keyword = error.validator
    if keyword == "oneOf" and error.context:
        yield from _best_branch(error)
    elif keyword == "additionalProperties":
        yield from _unknown_keys(error)
    elif keyword == "required":
        yield from _missing_keys(error)
    elif keyword == "dependentRequired":
        yield from _missing_partners(error)
    else:
        yield _one_value(error)


def _best_branch(error: Error) -> Iterator[Finding]:
    """The faults of the branch that has the fewest."""
    branches: dict[int, list[Error]] = {}
    for inner in error.context:
        branches.setdefault(inner.relative_schema_path[0], []).append(inner)
    for inner in min(branches.values(), key=len):
        yield from _findings(inner)


# ------------------------------------------------------------------------ words by keyword

_TYPES = {
    "object": "keys and values",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}


def _expected(what: str, error: Error) -> str:
    return f"expected {what}, found {shown(error.instance)}"


def _unknown_keys(error: Error) -> Iterator[Finding]:
    known = error.schema.get("properties", {})
    free = [key for key in known if key not in error.instance]  # what is there was not meant
    for key in error.instance:
        if key not in known and not _fits_pattern(error.schema, key):
            meant = nearest(key, free)
            message = unknown("key", key, known if meant is None else free)
            yield Finding(message, (*error.absolute_path, key), on_key=True)


def _fits_pattern(schema: Mapping[str, Any], key: str) -> bool:
    return any(re.search(pattern, key) for pattern in schema.get("patternProperties", ()))


def _missing_keys(error: Error) -> Iterator[Finding]:
    for key in error.validator_value:
        if key not in error.instance:
            about = _about(_property(error, key))
            message = f"missing {key!r}" + (f": {about}" if about else "")
            yield Finding(message, (*error.absolute_path, key), on_key=True)


def _missing_partners(error: Error) -> Iterator[Finding]:
    for key, partners in error.validator_value.items():
        for partner in partners:
            if key in error.instance and partner not in error.instance:
                message = f"missing {partner!r}: {key!r} needs it"
                yield Finding(message, (*error.absolute_path, key), on_key=True)


def _about(schema: Mapping[str, Any]) -> str:
    """What a key is, as its schema says it, without what follows from that."""
    said = str(schema.get("description") or schema.get("title") or "")
    first = re.split(r"[.:;](?: |$)", said, maxsplit=1)[0]
    return f"{first[:1].lower()}{first[1:]}"


def _property(error: Error, key: str) -> Mapping[str, Any]:
    schema = error.schema.get("properties", {}).get(key, {})
    return schema if isinstance(schema, Mapping) else {}


def _one_value(error: Error) -> Finding:
    steps = tuple(error.absolute_path)
    if "propertyNames" in error.absolute_schema_path:
        return Finding(_message(error), (*steps, error.instance), on_key=True)
    return Finding(_message(error), steps)


def _message(error: Error) -> str:
    words = WORDS.get(error.validator)
    return words(error) if words else f"{shown(error.instance)} does not fit: {error.validator}"


def _wrong_type(error: Error) -> str:
    wanted = error.validator_value
    types = wanted if isinstance(wanted, list) else [wanted]
    message = _expected(" or ".join(_TYPES[each] for each in types), error)
    is_number = not isinstance(error.instance, str | bool | Mapping | list | type(None))
    return f"{message}; put it in quotes" if is_number and "string" in types else message


def _no_choice(found: object, choices: list[Any]) -> str:
    if isinstance(found, str):
        return unknown("value", found, [str(choice) for choice in choices])
    return f"expected {_either(choices)}, found {shown(found)}"


def _either(choices: list[Any]) -> str:
    words = [shown(choice) for choice in choices]
    return words[0] if len(words) == 1 else f"one of {listed(words)}"


def _wrong_pattern(error: Error) -> str:
    examples = error.schema.get("examples")
    like = f"text like {examples[0]!r}" if examples else f"text of the form {error.validator_value}"
    return _expected(like, error)


def _repeated(error: Error) -> str:
    items = error.instance
    again = next((item for index, item in enumerate(items) if item in items[:index]), None)
    return f"{shown(again)} stands twice in the list"


def _count(least: str, what: str) -> Callable[[Error], str]:
    def words(error: Error) -> str:
        return f"expected {least} {error.validator_value} {what}, found {len(error.instance)}"

    return words


def _limit(words: str) -> Callable[[Error], str]:
    return lambda error: _expected(f"{words} {error.validator_value}", error)


WORDS: Mapping[str, Callable[[Error], str]] = {
    "type": _wrong_type,
    "enum": lambda error: _no_choice(error.instance, error.validator_value),
    "const": lambda error: _no_choice(error.instance, [error.validator_value]),
    "format": lambda error: str(error.cause),  # whatever reads it says what is wrong
    "pattern": _wrong_pattern,
    "uniqueItems": _repeated,
    "minimum": _limit("at least"),
    "maximum": _limit("at most"),
    "maxLength": _count("at most", "letters"),
    "exclusiveMinimum": _limit("more than"),
    "exclusiveMaximum": _limit("less than"),
    "minLength": lambda error: "expected text, found an empty one",
    "minItems": _count("at least", "in the list"),
    "maxItems": _count("at most", "in the list"),
    "minProperties": _count("at least", "keys"),
    "oneOf": lambda error: f"{shown(error.instance)} could mean two things here",
}
"""What is said of a value, by the keyword that it does not meet."""
