"""What stands in more than one schema, written into each by `-m tests.profiles.written_schemas`.

Every schema is whole in itself, so that an editor, or any checker in any folder, needs no other
file and no network. What several share is said once, in `common.json`, and copied from there; the
patterns, which tell any editor what a length or a formula looks like, are put together here.
They follow the grammars of `lengths/grammar.py` and `formulas/parsing.py`, in what ECMA-262 and
Python have in common. What no pattern can say (a mixed number's fraction is less than 1,
parentheses close, a day exists) `check` finds.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from setupsheets.files.places import data_folder

SCHEMAS = data_folder("schemas")
ADDRESS = "https://setupsheets.example/schemas/"
"""What every `$id` begins with: a name that RFC 2606 keeps from ever being anybody's."""

WIDTH = 110
_HEAD = ("$schema", "$id")

# ------------------------------------------------------------------------------------- the patterns

_MINUS = "[-‐‑−]"
_VULGAR = "[¼-¾⅐-⅞↉]"
_NUMBER = (
    rf"(?:(?:[0-9]+(?:\s*|{_MINUS}))?{_VULGAR}"
    rf"|(?:[0-9]+(?:\s+|{_MINUS}))?[0-9]+[/⁄∕]0*[1-9][0-9]*|[0-9]*\.?[0-9]+)"
)
_INCH = '(?:in(?:ch(?:es)?)?|["″”“])'
_FOOT = rf"(?:(?:ft|foot|feet)(?!{_VULGAR})|['′‘’])"
_TERM = rf"{_NUMBER}(?:\s*(?:{_FOOT}(?:\s*{_NUMBER}\s*{_INCH})?|{_INCH}|mm|cm|m))?"
_LENGTH = (
    rf"(?!\s*(?:[+]|{_MINUS})\s)"
    rf"(?:(?:^\s*(?:[+]|{_MINUS})?|\s*[+]\s*|\s+{_MINUS}\s+){_TERM})+\s*$"
)
_NOT_BELOW = rf"(?!\s*{_MINUS})"
_NOT_NOUGHT = r"""(?!\s*[+]?[0.\s]*(?:0/[0-9]+)?\s*[a-z"″”“'′‘’]*\s*$)"""

_RATIO = r"(?:[0-9]{1,30}[ -])?[0-9]{1,30}/(?!0+$)[0-9]{1,30}$"

_WORD = "[a-z][a-z0-9_]*"
_FUNCTION = "(?:min|max|abs|ceil|floor|round_up_to|round_down_to|choose)"
_VALUE = (
    rf"(?:{_NUMBER}\s*(?:in(?:ch(?:es)?)?|ft|foot|feet|mm|cm|m)\b|[0-9]*\.?[0-9]+"
    rf"""|"[^"\n]*"|'[^'\n]*'|"""
    rf"(?!(?:and|or|not|{_FUNCTION})\b(?!\.)){_WORD}(?:\.{_WORD})*(?![a-z0-9_]))"
)
_BEFORE = rf"(?:\s*(?:-|\(|not\b|{_FUNCTION}\s*\())*\s*"
_BETWEEN = r"(?:[-+*/,=]|[<>]=?|!=|(?:and|or)\b)"
_FORMULA = (
    rf"(?!\s*(?:[+*/,<=>!]|(?:and|or)\b))(?:(?:^|{_BETWEEN}){_BEFORE}{_VALUE}\s*(?:\)\s*)*)+$"
)


def _any_case(word: str) -> str:
    return "".join(f"[{each.upper()}{each}]" if each.isalpha() else each for each in word)


_MINUTES = f"{_any_case('min')}(?:{_any_case('ute')}{_any_case('s')}?)?"
_HOURS = f"{_any_case('h')}(?:{_any_case('our')}{_any_case('s')}?)?"
_AN_HOUR = f"(?:{_any_case('half')} )?{_any_case('an hour')}"

PATTERNS: Mapping[str, str] = {
    "length": f"^{_LENGTH}",
    "gap": f"^{_NOT_BELOW}{_LENGTH}",
    "size": f"^{_NOT_BELOW}{_NOT_NOUGHT}{_LENGTH}",
    **dict.fromkeys(("fraction", "bevel", "celsius", "percent"), f"^[-+]?{_RATIO}"),
    **dict.fromkeys(("share", "probability", "swelling"), f"^[+]?(?!(?:0+[ -])?0+/){_RATIO}"),
    "formula": f"^{_FORMULA}",
    "date": r"^(?!0000)[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])$",
    "time_at_bench": rf"^\s*(?:[0-9./ ]*[0-9] *(?:{_MINUTES}|{_HOURS})|[0-9./ ]*{_AN_HOUR})\s*$",
}
"""By the definition of `common.json` that has it."""


# -------------------------------------------------------------------------------------- the schemas


def written(path: Path) -> str:
    """The text that a schema should have: what it shares as said in `common.json` or `parts.json`,
    its own `$id`, all of it laid out in one way."""
    schema = json.loads(path.read_text("utf-8"))
    home = path.relative_to(SCHEMAS).as_posix()
    schema["$id"] = ADDRESS + home
    shared = _shared(home)
    own = {name: each for name, each in schema.get("$defs", {}).items() if name not in shared}
    needed = dict(own) if home != "common.json" else dict(shared)
    waiting = list(_references({**schema, "$defs": own}))
    while waiting:
        name = waiting.pop()
        if name not in needed:
            needed[name] = shared[name]
            waiting += _references(shared[name])
    ordered = [*own, *(name for name in shared if name in needed)]
    if needed:
        schema["$defs"] = {name: needed[name] for name in ordered}
    return laid_out(schema) + "\n"


def _shared(home: str) -> Mapping[str, Any]:
    """What a schema may take from elsewhere, by name."""
    if home == "json/sheet.json":
        parts = json.loads((SCHEMAS / "json" / "parts.json").read_text("utf-8"))
        whole = {key: each for key, each in parts.items() if key not in (*_HEAD, "$defs")}
        return {**parts["$defs"], "parts": whole}
    if home.startswith("json/"):
        return {}
    shared = json.loads((SCHEMAS / "common.json").read_text("utf-8"))["$defs"]
    for name, pattern in PATTERNS.items():
        scalar = shared[name]
        scalar.get("then", scalar)["pattern"] = pattern
    return dict(shared)


def _references(node: Any) -> Iterator[str]:
    """The names of the definitions that a part of a schema refers to."""
    if isinstance(node, Mapping):
        if isinstance(reference := node.get("$ref"), str):
            yield re.fullmatch(r"#/\$defs/([a-z_]+)(?:/.*)?", reference)[1]  # type: ignore[index]
        for each in node.values():
            yield from _references(each)
    elif isinstance(node, list):
        for each in node:
            yield from _references(each)


def laid_out(value: Any, indent: int = 0, before: int = 0) -> str:
    """JSON on one line where it fits, and otherwise a line for each of what it holds."""
    line = json.dumps(value, ensure_ascii=False)
    if indent + before + len(line) + 1 <= WIDTH or not value or not isinstance(value, dict | list):
        return line
    inner = " " * (indent + 2)
    if isinstance(value, list):
        rows = [f"{inner}{laid_out(each, indent + 2)}" for each in value]
        return "[\n" + ",\n".join(rows) + f"\n{' ' * indent}]"
    keys = {json.dumps(key, ensure_ascii=False): each for key, each in value.items()}
    rows = [
        f"{inner}{key}: {laid_out(each, indent + 2, len(key) + 2)}" for key, each in keys.items()
    ]
    return "{\n" + ",\n".join(rows) + f"\n{' ' * indent}}}"


def every_schema() -> list[Path]:
    """The files of all schemas, `common.json` first, for the others take from it."""
    found = [*SCHEMAS.glob("*.json"), *(SCHEMAS / "json").glob("*.json")]
    return sorted(found, key=lambda path: (path.stem != "common", path))


if __name__ == "__main__":
    for each in every_schema():
        each.write_text(written(each), "utf-8")
