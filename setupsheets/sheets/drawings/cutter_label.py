"""Where the word for a cutter stands: at the cutter, on the table's strip or over the wood beside
it where there is room, else in a row of its own under the table or over the cutter."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.cut_detail import framed, is_small
from setupsheets.sheets.drawings.drawing import Point, Ring
from setupsheets.sheets.drawings.scene_paper import (
    BESIDE,
    FENCE,
    HEAD,
    SHOWN,
    TABLE,
    Labels,
    SceneOnPaper,
)
from setupsheets.sheets.letters.letters import text_width

ROW = 4.4
"""How much room a row of its own takes, mm on the paper."""
_AIR = 1.2


class LabelRoom(Struct, frozen=True):
    """What is free beside a cutter, in mm on the paper: from ``left`` to ``right`` on the line
    ``base``, and ``beyond``, the line of a row of its own. From ``low`` to ``high`` the cutter is
    seen, and the frame of a detail that the line would meet."""

    left: float
    right: float
    base: float
    beyond: float
    low: float
    high: float


def label_room(paper: SceneOnPaper, labels: Labels) -> LabelRoom:
    """Where the cutter's word can stand: on the table's strip, or over the wood."""
    ends = paper.wood_left - SHOWN, paper.rest + FENCE
    low, high = _seen(paper.rings(paper.scene.cutter), *ends)
    base = paper.wood_top - 3.4 if paper.scene.from_above else paper.table + 3.8
    if is_small(paper):
        left, top, right, foot = framed(paper)
        if top < base + _AIR and base - svg.SMALL - _AIR < foot:
            low, high = min(low, left), max(high, right)
    if paper.scene.from_above:
        beyond = paper.wood_top - SHOWN - 1.0
        return LabelRoom(paper.wood_left, paper.rest - 1.0, base, beyond, low, high)
    left = paper.wood_left - BESIDE + 3.0 + text_width("table", svg.SMALL) + 1.5
    right = paper.rest + (FENCE if paper.scene.fence else 4.0) - 1.0
    foot = paper.table + TABLE
    return LabelRoom(left, right, base, foot + 3.8, low, high)


def _seen(rings: Sequence[Ring], left: float, right: float) -> tuple[float, float]:
    """How far left and right an outline reaches within limits."""
    xs = [x for ring in rings for x, _ in ring]
    return max(min(xs), left), min(max(xs), right)


def needs_row(words: str, room: LabelRoom) -> bool:
    """Whether the word has no room beside its cutter."""
    return _beside(words, room) is None


def cutter_label(words: str, room: LabelRoom) -> str:
    """The word, beside its cutter or in its row; in one under the table left of the lines that run
    down from the cutter, where it has room there."""
    found = _beside(words, room)
    if found is not None:
        return svg.text(found[0], words, svg.SMALL, found[1])
    wide = text_width(words, svg.SMALL)
    if room.beyond > room.base and room.low - _AIR - wide >= 1.0:
        return svg.text((room.low - _AIR, room.beyond), words, svg.SMALL, "end")
    middle = max((room.low + room.high) / 2, wide / 2 + 1.0)
    return svg.text((middle, room.beyond), words, svg.SMALL)


def _beside(words: str, room: LabelRoom) -> tuple[Point, str] | None:
    wide = text_width(words, svg.SMALL)
    if room.low - _AIR - wide >= room.left:
        return (room.low - _AIR, room.base), "end"
    if room.high + _AIR + wide <= room.right:
        return (room.high + _AIR, room.base), "start"
    return None


def heading_words(paper: SceneOnPaper, labels: Labels) -> list[str]:
    """That this is the part before the cut, and which of its sides lies down."""
    at = paper.wood_left, HEAD - 2
    words = [svg.text(at, "before", svg.SMALL, "start", bold=True)]
    if labels.down:
        beside = at[0] + text_width("before", svg.SMALL, bold=True) + 1.5
        words.append(svg.text((beside, at[1]), f"{labels.down} down", svg.SMALL, "start"))
    return words


def heading_width(labels: Labels) -> float:
    """How wide that heading is, in mm."""
    down = f"{labels.down} down" if labels.down else ""
    return text_width("before", svg.SMALL, bold=True) + 1.5 + text_width(down, svg.SMALL)
