"""How wide words print, by the widths of the very font that travels in the page.

The font is a part of Liberation Sans 2.1.5 (SIL Open Font License 1.1, `OFL.txt` beside it), a
little narrower and under a name of its own, in two weights. `tests/letters/carried_font.py` makes
it and the table of widths.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from functools import cache, lru_cache
from pathlib import Path

FAMILY = "Setupsheets Sans"
OTHERWISE = "Liberation Sans Narrow, Arial Narrow, Arial, Helvetica, sans-serif"
"""What to print with where the page's own font is kept out; drawings hold their widths all the
same."""
FONT = f"{FAMILY}, {OTHERWISE}"

_HERE = Path(__file__).parent
_WEIGHTS = {False: ("regular", 400), True: ("bold", 700)}
_STRANGE = 1.0  # a letter that the font has not: a whole square, as wide as any alphabet's


def text_width(words: str, size: float, bold: bool = False) -> float:
    """How wide these words print on one line, in the unit of ``size``."""
    return _in_sizes(words, bold) * size


@lru_cache(maxsize=20_000)
def _in_sizes(words: str, bold: bool) -> float:
    widths = _widths(bold)
    return sum([widths.get(letter, _STRANGE) for letter in words])


def font_faces() -> str:
    """The font as rules of a stylesheet that ask nothing of the network."""
    return "".join(
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight};'
        f" src: url(data:font/woff2;base64,{_encoded(name)}) format('woff2'); }}\n"
        for name, weight in _WEIGHTS.values()
    )


@cache
def _widths(bold: bool) -> Mapping[str, float]:
    """The width of each letter in parts of its size."""
    text = (_HERE / "widths.json").read_text(encoding="utf-8")
    table = json.loads(text)[_WEIGHTS[bold][0]]
    return {letter: int(width) / 2048 for width, letters in table.items() for letter in letters}


@cache
def _encoded(name: str) -> str:
    return base64.b64encode((_HERE / f"{name}.woff2").read_bytes()).decode("ascii")
