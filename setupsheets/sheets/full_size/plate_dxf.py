"""A plate as DXF: lines and words on layers, in the shop's unit, y upwards, datum edge at x 0."""

from __future__ import annotations

import io

from ezdxf import units
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from setupsheets.lengths import Unit
from setupsheets.lengths.grammar import MM_PER
from setupsheets.sheets.full_size.plate import DASHED, WEIGHTS, Ink, Plate, footed

_UNITS = {Unit.MM: units.MM, Unit.IN: units.IN}
_ANCHORS = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}


def plate_dxf(plate: Plate, unit: Unit) -> str:
    """The text of a DXF file (R2010). Its header says the unit."""
    whole = footed(plate)
    drawn = new("R2010", setup=["linetypes"], units=_UNITS[unit])
    drawn.header["$MEASUREMENT"] = int(unit is Unit.MM)
    scale = float(1 / MM_PER[unit])
    drawn.header["$LTSCALE"] = 10 * scale if unit is Unit.MM else 0.4
    for ink in Ink:
        linetype = "DASHED" if ink in DASHED else "CONTINUOUS"
        drawn.layers.add(ink, linetype=linetype, lineweight=round(WEIGHTS[ink] * 100))
    space = drawn.modelspace()
    for stroke in whole.strokes:
        points = [(x * scale, -y * scale) for x, y in stroke.points]
        closed = len(points) > 2 and points[0] == points[-1]
        line = space.add_lwpolyline(points[:-1] if closed else points, close=closed)
        line.dxf.layer = stroke.ink
    for word in whole.words:
        turn = 90.0 if word.upright else 0.0
        attributes = {"layer": Ink.MARK, "height": word.size * 0.72 * scale, "rotation": turn}
        text = space.add_text(word.words, dxfattribs=attributes)
        x, y = word.at
        text.set_placement((x * scale, -y * scale), align=_ANCHORS[word.anchor])
    into = io.StringIO()
    drawn.write(into)
    return into.getvalue()
