"""The keys of a kind of file, and the names of formulas, for other programs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from setupsheets.files.faults import field_name
from setupsheets.files.schema_keys import LENGTHS, Key
from setupsheets.json_forms.document import form
from setupsheets.lengths import Unit
from setupsheets.shop.file_examples import default_of, example_of
from setupsheets.shop.formula_names import FORMULA_NAMES
from setupsheets.wording.formula_names import CALLS, kind_words, place_words
from setupsheets.wording.schema_keys import holds_words, need_words, plain


def keys_form(kind: str, keys: Iterable[Key], unit: Unit) -> dict[str, Any]:
    """What `list KIND --keys --json` tells."""
    return form("keys", kind=kind, keys=[_key(key, unit) for key in keys])


def _key(key: Key, unit: Unit) -> dict[str, Any]:
    default = default_of(key, unit)
    return {
        "key": field_name(key.path),
        "title": key.schema["title"],
        "description": key.sentence,
        "holds": holds_words(key.schema, unit),
        "choices": list(key.choices),
        "unit": unit.value if key.holds in LENGTHS else None,
        "needed": key.needed,
        "need": need_words(key, default),
        "default": None if default is None else plain(default),
        "example": plain(example_of(key.schema, unit)),
    }


def formulas_form() -> dict[str, Any]:
    """What `list formulas --json` tells."""
    names = [
        {
            "name": each.name,
            "description": each.what,
            "where": place_words(each.there),
            "holds": kind_words(each),
        }
        for each in FORMULA_NAMES
    ]
    return form("formulas", names=names, functions=list(CALLS.values()))
