"""What a schema checker found, in words for the person who wrote the file, and where it stands.

One function for each keyword of JSON Schema says what was expected and what was found. The errors
come from `jsonschema`; of the branches of `anyOf` and `oneOf` the one is explained that the value
was most likely meant for.
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
    if keyword in ("anyOf", "oneOf") and error.context:
        yield from _best_branch(error)
    elif keyword in ("additionalProperties", "unevaluatedProperties"):
        yield from _unknown_keys(error)
    elif keyword == "required":
        yield from _missing_keys(error)
    elif keyword == "dependentRequired":
        yield from _missing_partners(error)
    else:
        yield _one_value(error)


# -------------------------------------------------------------------------- choosing a branch


def _best_branch(error: Error) -> Iterator[Finding]:
    """The faults of the branch that the value was most likely meant for."""
    branches: dict[int, list[Error]] = {}
    for inner in error.context:
        branches.setdefault(inner.relative_schema_path[0], []).append(inner)
    if all(_is_wrong_type(errors) for errors in branches.values()):
        types = [kind for errors in branches.values() for kind in _types_of(errors)]
        yield Finding(_expected(_named(types), error), tuple(error.absolute_path))
    elif choice := _wrong_choice(branches.values()):
        yield choice
    else:
        for inner in min(branches.values(), key=_badness):
            yield from _findings(inner)


def _is_wrong_type(errors: list[Error]) -> bool:
    return any(error.validator == "type" and not error.relative_path for error in errors)


def _types_of(errors: list[Error]) -> list[str]:
    """The types that a branch, or an error, would have taken."""
    values = [error.validator_value for error in errors if error.validator == "type"]
    return [kind for value in values for kind in (value if isinstance(value, list) else [value])]


def _is_wrong_constant(error: Error) -> bool:
    return error.validator in ("const", "enum") and len(error.relative_path) == 1


def _badness(errors: list[Error]) -> tuple[bool, bool, int]:
    """A branch for another type is the worst, then one for another choice, then by faults."""
    return (
        _is_wrong_type(errors),
        any(_is_wrong_constant(error) for error in errors),
        len(errors),
    )


def _wrong_choice(branches: Iterable[list[Error]]) -> Finding | None:
    """Where every branch asks for another constant under one key: the value is none of them."""
    constants: dict[Steps, list[Any]] = {}
    every: list[Error] = []
    for errors in branches:
        if _is_wrong_type(errors):
            continue
        wrong = next((error for error in errors if _is_wrong_constant(error)), None)
        if wrong is None:
            return None
        every.append(wrong)
        constants.setdefault(tuple(wrong.absolute_path), []).extend(_constants(wrong))
    if len(constants) != 1:
        return None
    steps, choices = next(iter(constants.items()))
    return Finding(_no_choice(every[0].instance, choices), steps)


def _constants(error: Error) -> list[Any]:
    value = error.validator_value
    return list(value) if error.validator == "enum" else [value]


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


def _named(types: Iterable[str]) -> str:
    return " or ".join(dict.fromkeys(_TYPES[each] for each in types))


def _expected(what: str, error: Error) -> str:
    return f"expected {what}, found {shown(error.instance)}"


def _unknown_keys(error: Error) -> Iterator[Finding]:
    known = dict.fromkeys(_known_keys(error.schema))
    free = [key for key in known if key not in error.instance]  # what is there was not meant
    for key in error.instance:
        if key not in known and not _fits_pattern(error.schema, key):
            meant = nearest(key, free)
            message = unknown("key", key, known if meant is None else free)
            yield Finding(message, (*error.absolute_path, key), on_key=True)


def _known_keys(schema: Any) -> Iterator[str]:
    """The keys that an object of a schema may have, in all its branches."""
    if not isinstance(schema, Mapping):
        return
    yield from schema.get("properties", {})
    for keyword in ("allOf", "anyOf", "oneOf"):
        for branch in schema.get(keyword, ()):
            yield from _known_keys(branch)
    for keyword in ("if", "then", "else"):
        yield from _known_keys(schema.get(keyword))


def _fits_pattern(schema: Mapping[str, Any], key: str) -> bool:
    return any(re.search(pattern, key) for pattern in schema.get("patternProperties", ()))


def _missing_keys(error: Error) -> Iterator[Finding]:
    for key in error.validator_value:
        if key not in error.instance:
            title = _property(error, key).get("title")
            message = f"missing {key!r}" + (f": {title}" if title else "")
            yield Finding(message, (*error.absolute_path, key), on_key=True)


def _missing_partners(error: Error) -> Iterator[Finding]:
    for key, partners in error.validator_value.items():
        for partner in partners:
            if key in error.instance and partner not in error.instance:
                message = f"missing {partner!r}: {key!r} needs it"
                yield Finding(message, (*error.absolute_path, key), on_key=True)


def _property(error: Error, key: str) -> Mapping[str, Any]:
    schema = error.schema.get("properties", {}).get(key, {})
    return schema if isinstance(schema, Mapping) else {}


def _one_value(error: Error) -> Finding:
    steps = tuple(error.absolute_path)
    if error.validator == "not":
        return Finding("is not allowed here", steps, on_key=True)
    if "propertyNames" in error.absolute_schema_path:
        return Finding(_message(error), (*steps, error.instance), on_key=True)
    return Finding(_message(error), steps)


def _message(error: Error) -> str:
    words = _WORDS.get(error.validator)
    return words(error) if words else f"{shown(error.instance)} does not fit: {error.validator}"


def _wrong_type(error: Error) -> str:
    message = _expected(_named(_types_of([error])), error)
    is_number = not isinstance(error.instance, str | bool | Mapping | list | type(None))
    wants_text = "string" in _types_of([error])
    return f"{message}; put it in quotes" if is_number and wants_text else message


def _no_choice(found: object, choices: list[Any]) -> str:
    if isinstance(found, str):
        return unknown("value", found, [str(choice) for choice in choices])
    return f"expected {_either(choices)}, found {shown(found)}"


def _either(choices: list[Any]) -> str:
    words = [shown(choice) for choice in choices]
    return words[0] if len(words) == 1 else f"one of {listed(words)}"


def _wrong_format(error: Error) -> str:
    if error.cause is not None:
        return str(error.cause)
    return _expected(f"a {error.validator_value}", error)


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


_WORDS: Mapping[str, Callable[[Error], str]] = {
    "type": _wrong_type,
    "enum": lambda error: _no_choice(error.instance, error.validator_value),
    "const": lambda error: _no_choice(error.instance, [error.validator_value]),
    "format": _wrong_format,
    "pattern": _wrong_pattern,
    "uniqueItems": _repeated,
    "minimum": _limit("at least"),
    "maximum": _limit("at most"),
    "exclusiveMinimum": _limit("more than"),
    "exclusiveMaximum": _limit("less than"),
    "multipleOf": _limit("a multiple of"),
    "minLength": lambda error: (
        "expected text, found an empty one"
        if not error.instance
        else _count("at least", "characters")(error)
    ),
    "maxLength": _count("at most", "characters"),
    "minItems": _count("at least", "in the list"),
    "maxItems": _count("at most", "in the list"),
    "minProperties": _count("at least", "keys"),
    "maxProperties": _count("at most", "keys"),
    "oneOf": lambda error: f"{shown(error.instance)} could mean two things here",
}
