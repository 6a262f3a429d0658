"""The program's own YAML: one way of laying it out, and the settings of the library behind it."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from typing import Any, NamedTuple

from setupsheets.files.scalars import is_date, read_date


class YamlLayout(NamedTuple):
    """How far a file indents: a nested mapping, and a list's dash and its content.

    With `blocks` text of several lines is written as such; without, on one line in quotes.
    """

    mapping: int = 2
    dash: int = 2
    content: int = 4
    blocks: bool = True


USUAL = YamlLayout()


def yaml_text(data: Mapping[str, Any] | list[Any], layout: YamlLayout = USUAL) -> str:
    """A plain tree (dict, list, text, int, Decimal, bool, None) as YAML, ending in a newline.

    Read again it gives the same tree. Raises TypeError
    for values of other types, a float first of all.
    """
    out = io.StringIO()
    round_trip(layout).dump(ready(data, layout.blocks), out)
    return out.getvalue()


def inline_text(data: Any) -> str:
    """Plain data on one line, as it may stand in brackets: `{a: 1, b: [x, 2.50]}`."""
    out = io.StringIO()
    yaml = round_trip(USUAL)
    yaml.default_flow_style = True
    # Not as an item of a list: there a mapping of one key is written without its braces.
    yaml.dump({"k": ready(data)}, out)
    return out.getvalue().strip().removeprefix("{k: ").removesuffix("}")


def round_trip(layout: YamlLayout) -> Any:
    """A `ruamel.yaml.YAML` that keeps comments, order and quotes, and never breaks a line anew."""
    from ruamel.yaml import YAML  # noqa: PLC0415

    yaml = YAML(typ="rt", pure=True)
    yaml.Representer = _representer()
    yaml.preserve_quotes = True
    yaml.width = 2**31
    yaml.allow_unicode = True
    yaml.indent(mapping=layout.mapping, sequence=layout.content, offset=layout.dash)
    return yaml


@cache
def _representer() -> Any:
    """The library's representer, with exact decimals and without quotes round dates."""
    from ruamel.yaml.representer import RoundTripRepresenter  # noqa: PLC0415

    class Representer(RoundTripRepresenter):
        """Its own class: representers are kept in a table of the class."""

    Representer.add_representer(Decimal, _decimal)
    Representer.add_representer(str, _text)
    return Representer


def _decimal(representer: Any, value: Decimal) -> Any:
    text = format(value, "f")
    tag = "float" if "." in text else "int"
    return representer.represent_scalar(f"tag:yaml.org,2002:{tag}", text)


def _text(representer: Any, value: str) -> Any:
    if is_date(value) and _is_in_the_calendar(value):
        return representer.represent_scalar("tag:yaml.org,2002:timestamp", value)
    return representer.represent_scalar("tag:yaml.org,2002:str", value)


def _is_in_the_calendar(date: str) -> bool:
    try:
        return bool(read_date(date))
    except ValueError:
        return False


def ready(value: Any, blocks: bool = False) -> Any:
    """A copy of plain data for YAML: tuples are lists, and text of several lines may be `blocks`.

    Raises TypeError for a key that is no text and a value of another type, a float first of all.
    """
    from ruamel.yaml.scalarstring import LiteralScalarString  # noqa: PLC0415

    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise TypeError(f"the keys of {value!r} are not all text")
        return {key: ready(item, blocks) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [ready(item, blocks) for item in value]
    if blocks and isinstance(value, str) and _block.fullmatch(value):
        return LiteralScalarString(value)
    if value is None or isinstance(value, str | int | Decimal):
        return value
    raise TypeError(f"{value!r} has no place in a data file: give text, an int or a Decimal")


# Lines of printable ASCII that neither begin nor end with a space, at least two of them.
_block = re.compile(r"[!-~](?:[ -~]*[!-~])?(?:\n+[!-~](?:[ -~]*[!-~])?)+\n?")
