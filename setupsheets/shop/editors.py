"""What lets an editor help in a shop's files: their schemas in the hidden folder `.schemas`, with
the names of what the shop has, and in each file the line by which a YAML language server finds it.

The names are suggestions beside any other: a file is never wrong in an editor for naming what came
later. Nobody edits `.schemas`: what stands there is made anew, and nothing but editors reads it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from setupsheets.files.documents import decoded, read_bytes
from setupsheets.files.editing import rewrite
from setupsheets.files.faults import NOTHING, DataFaults
from setupsheets.files.places import data_folder
from setupsheets.files.safe_writing import WriteFault, write_all
from setupsheets.files.schema_keys import EACH, KeyPath, keys_of
from setupsheets.files.schemas import ANNOTATIONS
from setupsheets.lengths import Unit
from setupsheets.shop.file_examples import example_of
from setupsheets.shop.finding import SHOP_FILE, KnownFile, Shop
from setupsheets.shop.loading import KINDS

FOLDER = ".schemas"

_has_line = re.compile(r"^[ \t]*#.*\byaml-language-server:.*\$schema=", re.MULTILINE).search
_KIND_IN = {folder: kind for kind, (folder, _) in KINDS.items()}

_SORTS: Mapping[str, Callable[[Shop, str], str]] = {
    "section": lambda shop, name: shop.section(name).member.value,
    "cutter": lambda shop, name: shop.cutter(name).type.value,
    "machine": lambda shop, name: shop.machine(name).type.value,
    "recipe": lambda shop, name: shop.recipe(name).makes.value,
}
"""By which sort of a kind a key asks for one: a cutter by its type, a recipe by what it makes."""

_ASKING = {
    "timber_name": ("timber", ""),
    "cutter_name": ("cutter", ""),
    "machine_name": ("machine", ""),
    "frame_section": ("section", "frame"),
    "bar_section": ("section", "bar"),
    "instrument_name": ("instrument", ""),
}
"""The definitions of a schema that ask for a name: of which kind, and which sort of it."""

_ASKING_BY_SORT = {"cutters": "cutter", "machines": "machine", "recipes": "recipe"}
"""Those that ask for a name under each of its keys, which are the sorts of the kind."""

_MATCHING = ("type", "maxLength", "pattern")


def with_schema_line(text: str, name: str) -> str:
    """The text of a shop's file, ``name`` its path in the shop, with the line that leads an editor
    to its schema; as it was where it has such a line, or is of no kind that a maker writes."""
    folder, _, file = name.rpartition("/")
    kind = "shop" if name == SHOP_FILE else _KIND_IN.get(folder)
    if kind is None or not file.endswith(".yaml") or _has_line(text):
        return text
    up = "../" if folder else ""
    return f"# yaml-language-server: $schema={up}{FOLDER}/{kind}.json\n{text}"


def add_schema_line(path: Path, shop: Shop) -> bool:
    """Put that line into a file that has none, and change nothing else; whether it was put there.

    Raises DataFaults for a file that is not sound or cannot be written.
    """
    try:
        name = path.resolve().relative_to(shop.folder.resolve()).as_posix()
    except ValueError:
        return False
    text = decoded(path, read_bytes(path))
    if with_schema_line(text, name) == text:
        return False
    rewrite(path, lambda document: with_schema_line(document.source, name))
    return True


def write_schemas(shop: Shop, kept: str = NOTHING) -> None:
    """Write the schemas of a shop, as of this program and of what the shop has now.

    Raises WriteFault, and then the schemas that were there are as they were; ``kept`` is what is on
    the disk in any case.
    """
    names = _names(shop)
    texts = {
        f"{FOLDER}/{kind}.json": schema_text(kind, names, shop.settings.unit) for kind in KINDS
    }
    try:
        write_all(shop.folder, texts)
    except WriteFault as fault:
        left = kept if fault.left == NOTHING else fault.left
        raise WriteFault(shop.folder / FOLDER, fault.faults[0].message, left=left) from None


Names = Mapping[tuple[str, str], list[str]]
"""Names of things by kind and sort; all of a kind stand under the sort ``""`` as well."""


def _names(shop: Shop) -> Names:
    found = {("instrument", ""): sorted(shop.settings.instruments)}
    for kind in ("timber", *_SORTS):
        for each in shop.everything(kind):
            for sort in ("", *_sort_of(each, shop)):
                found.setdefault((kind, sort), []).append(each.name)
    return found


def _sort_of(thing: KnownFile, shop: Shop) -> Iterator[str]:
    """The sort of a thing that can be read; `check` tells of one that cannot."""
    if thing.kind in _SORTS:
        with suppress(DataFaults):
            yield _SORTS[thing.kind](shop, thing.name)


def schema_text(kind: str, names: Names, unit: Unit) -> str:
    """The file with the schema of a kind, with examples as a shop of that unit writes them, and the
    names of what there is where it asks for one."""
    schema = _schema_for(kind, names, unit)
    return f"{json.dumps(schema, indent=1, ensure_ascii=False, default=float)}\n"


def _schema_for(kind: str, names: Names, unit: Unit) -> Any:
    schema = json.loads((data_folder("schemas") / f"{kind}.json").read_text("utf-8"))
    if unit is Unit.MM:
        for each in keys_of(kind):
            _field_at(each.path, schema)["examples"] = [example_of(each.schema, unit)]
    definitions = schema["$defs"]
    for name, asked in _ASKING.items():
        if name in definitions:
            definitions[name] = _suggesting(definitions[name], names.get(asked), schema)
    for group, of_kind in _ASKING_BY_SORT.items():
        keys = definitions.get(group, {}).get("properties", {})
        for sort, definition in keys.items():
            keys[sort] = _suggesting(definition, names.get((of_kind, sort)), schema)
    return _in_words(_apart(schema, schema))


def _field_at(path: KeyPath, schema: Any) -> Any:
    """What a schema says of a key, where it says it: a part of the schema, to be changed."""
    found = schema
    for step in path:
        found = _meant(found, schema)
        found = found.get("else", found)  # of an outline: a list, or the name of a drawing
        if step != EACH:
            found = found["properties"][step]
        elif "items" in found:
            found = _meant(found["items"], schema)
        else:
            own = [*found.get("patternProperties", {}).values(), found.get("additionalProperties")]
            found = next(each for each in own if each)
    return found


def _meant(node: Any, schema: Any) -> Any:
    """A part of a schema, or what it refers to."""
    return _led(node, schema)[1]


def _led(node: Any, schema: Any) -> tuple[str, Any]:
    """What a part of a schema refers to in the end, and the reference that leads there."""
    reference = ""
    while "$ref" in node:
        reference, node = node["$ref"], schema
        for key in reference.split("/")[1:]:
            node = node[key]
    return reference, node


def _suggesting(definition: Any, names: list[str] | None, schema: Any) -> Any:
    """A definition that asks for a name, with those that there are beside any other."""
    if not names:
        return definition
    told = {key: definition[key] for key in ("title", "description")}
    any_name = {key: each for key, each in _meant(definition, schema).items() if key in _MATCHING}
    return {**told, "anyOf": [{"enum": names}, any_name]}


def _in_words(node: Any) -> Any:
    """A part of a schema with what each pattern asks for in words: an editor would show the pattern
    itself. The key is none of the standard's, but the one that a YAML language server reads."""
    if isinstance(node, list):
        return [_in_words(each) for each in node]
    if not isinstance(node, dict):
        return node
    worded = {key: _in_words(each) for key, each in node.items()}
    told = node.get("description", node.get("title"))
    if "pattern" in node and isinstance(told, str):
        said = told.partition(". ")[0].rstrip(".")
        like = f": {node['examples'][0]}" if "examples" in node and ":" not in said else ""
        worded["patternErrorMessage"] = f"expected {said[:1].lower()}{said[1:]}{like}"
    return worded


def _apart(node: Any, schema: Any) -> Any:
    """A part of a schema in which nothing that refers to a choice shares its branches: the language
    server notes in a branch whose it is, and would tell of the last key that refers there."""
    if isinstance(node, list):
        return [_apart(each, schema) for each in node]
    if not isinstance(node, dict):
        return node
    if not isinstance(node.get("$ref"), str):
        return {key: _apart(each, schema) for key, each in node.items()}
    reference, meant = _led(node, schema)
    branches: dict[str, Any] = {
        key: {"$ref": f"{reference}/{key}"} for key in ("if", "then", "else") if key in meant
    }
    if "anyOf" in meant:
        branches["anyOf"] = [
            {"$ref": f"{reference}/anyOf/{index}"} for index in range(len(meant["anyOf"]))
        ]
    if not branches:
        return node
    told = {key: each for key, each in {**meant, **node}.items() if key in ANNOTATIONS}
    return {**told, **branches}
