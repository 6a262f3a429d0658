"""What a formula may be made of, in words: the names, the operations, the functions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import Enum

from setupsheets.formulas.expressions import FUNCTIONS
from setupsheets.lengths import Length
from setupsheets.shop.formula_names import FORMULA_NAMES, FormulaName, There
from setupsheets.shop.recipes import Makes

PLACES: Mapping[There, str] = {
    There.EVERYWHERE: "In every formula, where the part has it",
    There.MACHINES: "Of the shop and of the machines that it or the job chooses, in a recipe",
    There.OWN_CUTTER: "Of the operation's own cutter, where it has that size",
    There.AIM: "In what a setting aims at",
    There.READING: "In what a measure reads",
    There.CAUTION: "In a caution's condition",
}
TYPES: Mapping[type, str] = {Length: "a length", bool: "true or false", int: "a whole number"}
FORMULAS = (
    "A formula is made of lengths with their unit (1/16 in, 0.5 mm), numbers and names, with "
    "+ - * / ( ) between them; a condition may have < <= > >= = !=, and, or, not as well."
)
CALLS: Mapping[str, str] = {
    "min": "min(a, b ...): the least of them",
    "max": "max(a, b ...): the greatest of them",
    "abs": "abs(a): without its minus",
    "ceil": "ceil(a): the next whole number up",
    "floor": "floor(a): the next whole number down",
    "round_up_to": "round_up_to(a, step): up to a multiple of the step",
    "round_down_to": "round_down_to(a, step): down to a multiple of the step",
    "choose": "choose(condition, a, b): a where the condition is met, else b",
}
OTHER_NAMES: Mapping[str, str] = {
    "input.NAME": "an input of the recipe, by its name",
    "setting.NAME": "a setting of the operation's own, in its passes and jigs, and in cautions: "
    "setting.fence",
    "OPERATION.SETTING": "a setting of an earlier operation of the recipe: rebate.fence",
    "OPERATION.cutter.SIZE": "a size of that operation's cutter: rebate.cutter.kerf",
}


def place_words(there: There | Makes) -> str:
    """Where names are there."""
    if isinstance(there, There):
        return PLACES[there]
    return f"In a recipe that says makes: {there}"


def kind_words(name: FormulaName) -> str:
    """What kind of value a name has."""
    if issubclass(name.type, Enum):
        return f"one of {', '.join(map(str, name.type))}"
    return TYPES[name.type]


def formula_lines() -> Iterator[str]:
    """All of it, in the order of the table of names."""
    yield FORMULAS
    yield "Functions"
    yield from (f"  {CALLS[name]}" for name in (*FUNCTIONS, "choose"))
    for there in dict.fromkeys(each.there for each in FORMULA_NAMES):
        yield place_words(there)
        for each in FORMULA_NAMES:
            if each.there is there:
                yield f"  {each.name}: {each.what} ({kind_words(each)})"
    yield "Of the recipe itself"
    yield from (f"  {name}: {what}" for name, what in OTHER_NAMES.items())
