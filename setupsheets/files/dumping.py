"""The program's own YAML: one way of laying it out, and the settings of the library behind it."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from typing import Any, NamedTuple

from setupsheets.files.scalars import plain_scalar


class Layout(NamedTuple):
    """How far a file indents: a nested mapping, and a list's dash and its content."""

    mapping: int = 2
    dash: int = 2
    content: int = 4


USUAL = Layout()


def yaml_text(data: Mapping[str, Any] | list[Any], layout: Layout = USUAL) -> str:
    """A plain tree (dict, list, text, int, Decimal, bool, None) as YAML, ending in a newline.

    Read again it gives the same tree. Text of several lines is written as a block. Raises TypeError
    for values of other types, a float first of all.
    """
    out = io.StringIO()
    round_trip(layout).dump(ready(data), out)
    return out.getvalue()


def round_trip(layout: Layout) -> Any:
    """A `ruamel.yaml.YAML` that keeps comments, order and quotes, and never breaks a line anew."""
    from ruamel.yaml import YAML  # noqa: PLC0415

    yaml = YAML(typ="rt", pure=True)
    yaml.Representer = _representer()
    yaml.preserve_quotes = True
    yaml.width = 2**31
    yaml.allow_unicode = True
    yaml.indent(mapping=layout.mapping, sequence=layout.content, offset=layout.dash)
    return yaml


_date = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}").fullmatch


@cache
def _representer() -> Any:
    """The library's representer, with exact decimals and without quotes round dates."""
    from ruamel.yaml.representer import RoundTripRepresenter  # noqa: PLC0415

    class Representer(RoundTripRepresenter):
        """Its own class: representers are kept in a table of the class."""

    Representer.add_representer(Decimal, _decimal)
    Representer.add_representer(str, _text)
    Representer.add_representer(float, _refused)
    return Representer


def _decimal(representer: Any, value: Decimal) -> Any:
    text = format(value, "f")
    tag = "float" if "." in text else "int"
    return representer.represent_scalar(f"tag:yaml.org,2002:{tag}", text)


def _text(representer: Any, value: str) -> Any:
    if _date(value) and _is_plain_date(value):
        return representer.represent_scalar("tag:yaml.org,2002:timestamp", value)
    return representer.represent_scalar("tag:yaml.org,2002:str", value)


def _is_plain_date(value: str) -> bool:
    try:
        return plain_scalar(value) == value
    except ValueError:
        return False


def _refused(representer: Any, value: float) -> Any:
    raise TypeError(f"{value!r} is a float; data files hold exact numbers: give a Decimal or text")


def ready(value: Any) -> Any:
    """A copy of plain data in which text of several lines will be written as a block."""
    from ruamel.yaml.scalarstring import LiteralScalarString  # noqa: PLC0415

    if isinstance(value, Mapping):
        return {key: ready(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [ready(item) for item in value]
    if isinstance(value, str) and _block.fullmatch(value):
        return LiteralScalarString(value)
    return value


# Lines of printable ASCII that neither begin nor end with a space, at least two of them.
_block = re.compile(r"[!-~](?:[ -~]*[!-~])?(?:\n+[!-~](?:[ -~]*[!-~])?)+\n?")
