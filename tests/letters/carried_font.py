"""Makes the font that travels in the pages, and the table of its widths.

    python -m tests.letters.carried_font LiberationSans-Regular.ttf LiberationSans-Bold.ttf

from version 2.1.5 of the Liberation fonts, which are under the SIL Open Font License 1.1. A part of
a font may not carry the reserved name, so it is given one of its own.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from setupsheets.sheets.letters import letters

FOLDER = Path(letters.__file__).parent
WEIGHTS = ("regular", "bold")
NARROWED = 0.92
"""Its letters are as high as they were and this much narrower, so that a page holds more of them at
a size that is read at arm's length."""
LETTERS = [
    *range(0x20, 0x7F),  # plain letters
    *range(0xA0, 0x180),  # those of the western and middle European languages
    *range(0x370, 0x400),  # Greek
    *range(0x400, 0x460),  # Cyrillic
    *range(0x2010, 0x2027),
    *range(0x2030, 0x203B),
    *range(0x2150, 0x215F),  # fractions
    *range(0x2190, 0x2194),
    *(0x20AC, 0x2044, 0x2122, 0x2212, 0x2215, 0x2248, 0x2260, 0x2264, 0x2265),
]


def read(path: Path) -> Any:
    """A font as the library reads it."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    return TTFont(path)


def widths_of(font: Any) -> Mapping[str, str]:
    """By width in 2048ths of their size all letters that have it."""
    assert font["head"].unitsPerEm == 2048
    found: dict[str, list[str]] = {}
    for code, glyph in sorted(font.getBestCmap().items()):
        found.setdefault(str(font["hmtx"][glyph][0]), []).append(chr(code))
    return {width: "".join(found[width]) for width in sorted(found, key=int)}


def carried(source: Path) -> Any:
    """The part of a font that is carried, under its own name: without hints, and without kerning,
    so that words are as wide as their letters in every program."""
    from fontTools import subset  # noqa: PLC0415

    options = subset.Options(hinting=False, layout_features=[], notdef_outline=True)
    font = read(source)
    part = subset.Subsetter(options)
    part.populate(unicodes=LETTERS)
    part.subset(font)
    _narrow(font)
    style = "Bold" if "Bold" in source.name else "Regular"
    full = f"{letters.FAMILY} {style}"
    for name in font["name"].names:
        own = {1: letters.FAMILY, 3: full, 4: full, 6: full.replace(" ", "")}.get(name.nameID)
        if own is not None:
            name.string = own
    font.flavor = "woff2"
    return font


def _narrow(font: Any) -> None:
    """Every letter and its room narrower, its height as it was."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen  # noqa: PLC0415
    from fontTools.pens.transformPen import TransformPen  # noqa: PLC0415
    from fontTools.pens.ttGlyphPen import TTGlyphPen  # noqa: PLC0415

    shapes, drawn = font.getGlyphSet(), {}
    for name in font.getGlyphOrder():
        whole, pen = DecomposingRecordingPen(shapes), TTGlyphPen(None)
        shapes[name].draw(whole)
        whole.replay(TransformPen(pen, (NARROWED, 0, 0, 1, 0, 0)))
        drawn[name] = pen.glyph()
    for name, glyph in drawn.items():
        font["glyf"][name] = glyph
        glyph.recalcBounds(font["glyf"])
        font["hmtx"][name] = (
            round(font["hmtx"][name][0] * NARROWED),
            glyph.xMin if glyph.numberOfContours else 0,
        )


def main(sources: list[str]) -> None:
    """Writes both weights and the widths beside the module that uses them."""
    table = {}
    for weight, source in zip(WEIGHTS, sources, strict=True):
        carried(Path(source)).save(FOLDER / f"{weight}.woff2")
        table[weight] = widths_of(read(FOLDER / f"{weight}.woff2"))
    text = json.dumps(table, ensure_ascii=False, indent=1) + "\n"
    (FOLDER / "widths.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
