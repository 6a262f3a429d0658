"""From a file to the object in it: read, validated against its schema, made.

`load` does all three, once for each content of a file: the trees of those that were sound are known
from then on. Built-in files have passed their schemas in the program's own tests.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from msgspec.structs import replace

from setupsheets.files.documents import Document, decoded, read_bytes, read_text
from setupsheets.files.faults import DataFaults, stop_on
from setupsheets.files.known_trees import KnownTrees
from setupsheets.files.objects import Maker, build, unit_of
from setupsheets.files.schemas import Check, check_against_schema
from setupsheets.files.throwaway import digest_of
from setupsheets.files.upgrades import upgrade
from setupsheets.formulas import Formula
from setupsheets.lengths import Unit
from setupsheets.shop.caution_checks import caution_faults
from setupsheets.shop.cautions import Cautions
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.drawn_outlines import with_outlines
from setupsheets.shop.jobs import Job
from setupsheets.shop.machines import Machine
from setupsheets.shop.older_versions import STEPS
from setupsheets.shop.recipe_checks import recipe_faults
from setupsheets.shop.recipes import Recipe
from setupsheets.shop.sections import Section
from setupsheets.shop.settings import ShopSettings
from setupsheets.shop.shop_terms import in_shop_terms
from setupsheets.shop.timbers import Timber

KINDS: Mapping[str, tuple[str, type]] = {
    "machine": ("machines", Machine),
    "cutter": ("cutters", Cutter),
    "section": ("sections", Section),
    "recipe": ("recipes", Recipe),
    "timber": ("timbers", Timber),
    "caution": ("cautions", Cautions),
    "job": ("jobs", Job),
    "shop": (".", ShopSettings),
}
"""Every kind of file that becomes one object, with its folder and the object's class."""

MAKERS: Mapping[type, Maker] = {Formula: lambda value, unit: Formula.parse(str(value))}
FORMATS: Mapping[str, Check] = {
    "formula": lambda value: Formula.parse(str(value)) if isinstance(value, str | int) else None
}


class Sound(NamedTuple):
    """What a file without faults holds; ``thing`` is the object in it where that was made."""

    document: Document
    thing: Any = None


def load(
    path: Path, kind: str, unit: Unit, trees: KnownTrees | None = None, *, built_in: bool = False
) -> Any:
    """The object in a file of that kind; ``unit`` counts where the file names none, ``trees`` are
    those that are known already.

    Raises DataFaults with everything that is wrong with the file.
    """
    document, thing = sound(path, kind, unit, trees, built_in=built_in)
    return _made(document, unit) if thing is None else thing


def sound(
    path: Path, kind: str, unit: Unit, trees: KnownTrees | None = None, *, built_in: bool = False
) -> Sound:
    """What is in a file of that kind, its object made only where that is not known to be sound."""
    content = read_bytes(path)
    digest = f"{digest_of(content)} {unit} {'built in' if built_in else 'own'}"
    document = trees.document(path, digest) if trees else None
    if document is not None and document.kind == kind:
        return Sound(document)
    document = read_text(decoded(path, content), path)
    current = document if built_in else validated(document, kind, unit)
    thing = made_from(current, unit)
    if trees and document.version == current.version:  # a step may move what stands in a file
        trees.add(digest, current)
        trees.keep()
    return Sound(current, thing)


def validated(document: Document, kind: str, unit: Unit) -> Document:
    """The document as of the current version, when it is of the kind and without faults."""
    if document.kind != kind:
        message = f"expected a file of kind {kind!r}, found {document.kind!r}"
        raise DataFaults([document.marks.fault(message, "kind")])
    current = upgrade(document, STEPS)
    stop_on(check_against_schema(current, unit, FORMATS))
    return current


def made_from(document: Document, unit: Unit) -> Any:
    """The object of a document that has passed its schema, named after its file.

    Raises DataFaults for what would not convert, and for a recipe's names that lead nowhere.
    """
    thing = _made(document, unit)
    if isinstance(thing, Recipe):
        stop_on(recipe_faults(thing))
    if isinstance(thing, Cautions):
        stop_on(caution_faults(thing))
    return thing


def _made(document: Document, unit: Unit) -> Any:
    drawn = replace(document, data=with_outlines(document, unit_of(document, unit)))
    return build(KINDS[document.kind][1], named(drawn), unit, makers=MAKERS, left_out=in_shop_terms)


def named(document: Document) -> Document:
    """The same document with its file's stem as the name of what is in it."""
    return replace(document, data={**document.data, "name": document.path.stem})
