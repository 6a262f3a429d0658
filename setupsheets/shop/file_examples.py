"""Examples of what a file may hold, as a shop of either unit would write them.

The schemas give them in inches, and name what is built in for an inch shop. A length that must
go with built-in things of each unit has a second example, in mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from setupsheets.files.scalars import plain_scalar
from setupsheets.files.schema_keys import LENGTHS, Holds, Key, holds, under, whole
from setupsheets.files.schemas import Schema
from setupsheets.lengths import Unit, read_length
from setupsheets.shop.shop_terms import in_shop_terms

NUMBERS = LENGTHS | {Holds.FRACTION}
_STEPS = ((20, Fraction(1)), (2, Fraction(1, 2)), (Fraction(1, 5), Fraction(1, 20)))
"""From how many millimetres on an example is a multiple of what."""
_FINEST_STEP = Fraction(1, 100)
_METRIC = {
    "10-inch": "250-mm",
    "8-inch": "200-mm",
    "5-inch": "125-mm",
    "3-4-inch": "20-mm",
    "1-2-inch": "12-mm",
    "3-8-inch": "12-mm",
    "1-4-inch": "6-mm",
    "1-8-inch": "4-mm",
    "inch": "metric",
}
"""What ends the name of a built-in thing for an inch shop, and that of its like in a metric one."""


def example_of(schema: Schema, unit: Unit) -> Any:
    """The example of what a schema describes, plain data."""
    examples = schema["examples"]
    # Of two for a plain number the other is a metric shop's: no number tells what it counts.
    metric = unit is Unit.MM and holds(schema) is Holds.FRACTION
    return in_unit(examples[-1 if metric else 0], schema, unit)


def default_of(key: Key, unit: Unit) -> Any:
    """What counts where a key is left out, plain data; None where nothing does."""
    if not isinstance(key.default, str) or key.holds not in LENGTHS:
        return key.default
    return str(in_shop_terms(read_length(key.default, unit), unit))


def in_unit(value: Any, schema: Schema, unit: Unit) -> Any:
    """An example, given in inches, as a shop of that unit would write it."""
    schema = whole(schema)
    if isinstance(value, Mapping):
        return {key: in_unit(item, under(schema, key), unit) for key, item in value.items()}
    if isinstance(value, list):
        return [in_unit(item, schema.get("items", {}), unit) for item in value]
    kind = holds(schema)
    if kind in LENGTHS and unit is Unit.MM:
        own = [each for each in schema.get("examples", ()) if str(each).endswith(" mm")]
        return plain_scalar(own[0].removesuffix(" mm")) if own else _in_mm(value)
    if kind in NUMBERS and isinstance(value, str):
        return plain_scalar(value)
    if unit is Unit.IN:
        return value
    if kind is Holds.NAME:
        ends = (end for end in _METRIC if str(value).endswith(f"-{end}"))
        end = max(ends, key=len, default="")
        return f"{str(value).removesuffix(end)}{_METRIC[end]}" if end else value
    return unit.value if kind is Holds.ONE_OF and value == Unit.IN.value else value


def _in_mm(value: str | int | Decimal) -> int | Decimal:
    """A length in inches as millimetres that a rule or a caliper has."""
    exact = read_length(value, Unit.IN).mm
    step = next((step for least, step in _STEPS if abs(exact) >= least), _FINEST_STEP)
    near = round(exact / step) * step
    return near.numerator if near.denominator == 1 else Decimal(near.numerator) / near.denominator
