"""What a caution's schema cannot say: a condition that never holds, for it names what there is not,
or that is none. A caution that is never printed is missed by nobody."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from setupsheets.files.faults import Fault, unknown
from setupsheets.formulas import FormulaError
from setupsheets.lengths import Length
from setupsheets.shop.cautions import Cautions
from setupsheets.shop.formula_names import (
    FORMULA_NAMES,
    OTHER_FIRST_WORDS,
    TYPES,
    There,
    names_there,
)
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Recipe

KNOWN = frozenset(
    each.name
    for each in FORMULA_NAMES
    if each.there not in (There.AIM, There.READING, There.MACHINES)
)
OWN_CUTTER = names_there(There.OWN_CUTTER)
SETTINGS = frozenset(map(str, SettingName))


def caution_faults(file: Cautions) -> Iterator[Fault]:
    """Everything in a file's conditions that leads nowhere, in the order of the file."""
    for index, caution in enumerate(file.cautions):
        if caution.when is None:
            continue
        strangers = [name for name in sorted(caution.when.names) if not _known(name)]
        for name in strangers:
            known = sorted(KNOWN | {f"setting.{setting}" for setting in SETTINGS})
            yield file.marks.fault(unknown("name", name, known), "cautions", index, "when")
        if not strangers:
            try:
                caution.when.check(
                    bool, {name: TYPES.get(name, Length) for name in caution.when.names}
                )
            except FormulaError as error:
                yield file.marks.fault(str(error), "cautions", index, "when")


def unmade_faults(file: Cautions, recipes: Iterable[Recipe]) -> Iterator[Fault]:
    """The conditions that name an operation which none of the recipes has."""
    there = {operation.name for recipe in recipes for operation in recipe.operations}
    for index, caution in enumerate(file.cautions):
        for name in sorted(caution.when.names) if caution.when is not None else ():
            first = name.partition(".")[0]
            if first not in there | OTHER_FIRST_WORDS:
                message = unknown("operation", first, sorted(there | {"setting"}))
                yield file.marks.fault(message, "cautions", index, "when")


def _known(name: str) -> bool:
    """Whether an operation of some recipe may have that name: one of the table, an input, a
    setting, an earlier operation's setting or its cutter's size."""
    first, _, rest = name.partition(".")
    if name in KNOWN or first == "input":
        return True
    if first == "setting":
        return rest in SETTINGS
    return first not in OTHER_FIRST_WORDS and (rest in SETTINGS or rest in OWN_CUTTER)
