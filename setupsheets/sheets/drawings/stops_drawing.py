"""A stopped cut in plan, its two tape marks on the fence, and the ramp that it leaves.

Seen from above, the part going from right to left along the fence as on the sheets' other pictures;
to scale along the fence. Figures are in mm, counted along the part from its leading end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from setupsheets.lengths import Length, Notation
from setupsheets.machining.cutting.planes import mm
from setupsheets.machining.setting.stopped_cuts import StoppedCut, TapeMarks
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.dimensions import Dimension, Placed, across
from setupsheets.sheets.drawings.paper import Paper
from setupsheets.sheets.letters.letters import text_width
from setupsheets.wording.setting_up import tape_words

_WIDE, _SIDE = 95.0, 4.0  # mm on the paper
_FENCE, _PART, _TOP = 5.0, 9.0, 7.5
_RAMP = (22.0, 6.0)  # room for the ramp
_BESIDE = 12.0  # from its end to what is said of it


def stops_drawing(name: str, title: str, cut: StoppedCut, notation: Notation) -> svg.Drawing:
    """The part as it is lowered on, the stretch that is cut hatched."""
    marks, part = cut.marks, mm(cut.stop.length)
    lead = max(marks.lower_on or 0.0, marks.lift_off or 0.0)
    start = marks.lower_on or 0.0
    fence, foot = _TOP, _TOP + _FENCE + _PART

    def placed(left: float) -> tuple[float, float, Callable[[float], float], Placed]:
        scale = (_WIDE - left - _SIDE) / (lead + part - start)
        middle = left + lead * scale  # of the cutter

        def at(past: float) -> float:
            """Where a place stands that is so far past the cutter's middle."""
            return middle - past * scale

        return scale, middle, at, _tapes(marks, at, middle, foot, notation)

    # Words that do not fit between the arrows stand to the left of them, on the paper all the same.
    left = _SIDE + max(0.0, 1.0 - placed(_SIDE)[-1].low)
    scale, middle, at, below = placed(left)
    body = at(start)
    ramped = body + marks.first * scale, body + marks.last * scale
    full = body + marks.full[0] * scale, body + marks.full[1] * scale
    # The tapes' words keep it from the left edge of the paper.
    anchor = "end" if middle > _WIDE - 20 else "middle"
    elements = [
        svg.rectangle((0, fence), _WIDE, _FENCE, svg.PALE, svg.THIN),
        svg.text((_WIDE - 1.5, fence + 3.6), "fence", svg.SMALL, "end"),
        svg.rectangle((body, fence + _FENCE), part * scale, _PART, "#fff", svg.EDGE),
        svg.rectangle((ramped[0], fence + _FENCE), ramped[1] - ramped[0], _PART / 3, svg.GREY),
        svg.rectangle((full[0], fence + _FENCE), full[1] - full[0], _PART / 3, f"url(#{name}-h)"),
        svg.line((middle, fence - 2), (middle, foot + 2), svg.THIN, svg.DASH),
        svg.text((middle, fence - 3), "middle of the cutter", svg.SMALL, anchor),
        *_feed(body + part * scale, foot),
        *below.elements,
    ]
    words = f"Plan: {tape_words(marks, notation)}. Hatched: cut to full depth. Grey: the ramps."
    size = _WIDE, foot + below.depth + 0.5
    return svg.finish(name, title, words, size, elements, svg.hatching(f"{name}-h", 1.2, 0.3))


def _tapes(
    marks: TapeMarks, at: Callable[[float], float], middle: float, foot: float, notation: Notation
) -> Placed:
    both = {"lower on": marks.lower_on, "lift off": marks.lift_off}
    found = {words: past for words, past in both.items() if past is not None}
    dimensions = [
        Dimension(at(past), middle, notation.mark(Length.from_float(past)), foot, foot, words)
        for words, past in found.items()
    ]
    placed = across(dimensions, foot)
    tapes = [
        svg.line((at(past), _TOP), (at(past), _TOP + _FENCE), svg.BOLD) for past in found.values()
    ]
    return Placed((*tapes, *placed.elements), placed.depth, placed.low, placed.high)


def _feed(right: float, foot: float) -> list[str]:
    """The way that the part goes, inside its tail."""
    y = foot - 2.6
    return [
        svg.line((right - 4, y), (right - 14, y), svg.THIN),
        svg.arrowhead((right - 16, y), (-1, 0)),
        svg.text((right - 18, y + 1.1), "feed", svg.SMALL, "end"),
    ]


def ramp_drawing(
    name: str, title: str, ramp: Sequence[svg.Point], long: float, notation: Notation
) -> svg.Drawing:
    """A ramp ``long`` mm from the side, the surface that lay on the table at the top; it has points
    (before the mark, depth) in mm."""
    top, deep = 0.5, max(depth for _, depth in ramp)
    figure = notation.mark(Length.from_float(long))
    said = ("Left at a stopped end,", "from the side, the table's", "side at the top.")
    beside = _BESIDE + max(text_width(words, svg.SMALL) for words in said) + 1

    def placed(left: float, across_it: float) -> tuple[Paper, Placed]:
        paper = Paper((left, top), min(across_it / long, _RAMP[1] / deep))
        (start, _), (end, foot) = paper.at((0, 0)), paper.at((ramp[-1][0], deep))
        return paper, across([Dimension(start, end, figure, top, foot, "ramp")], foot + 4)

    # Words that do not fit between the arrows stand to the left of them, on the paper all the same,
    # and the ramp takes what they leave of the room before the words at its right.
    left = _SIDE + 4 + max(0.0, -placed(_SIDE + 4, _RAMP[0])[1].low)
    paper, long_at = placed(left, min(_RAMP[0], _WIDE - beside - left))
    curve = [paper.at(point) for point in ramp]
    foot = paper.at((0, deep))[1]
    wood = [(left - 6, top), *curve, (curve[-1][0] + 8, foot), (curve[-1][0] + 8, foot + 4),
            (left - 6, foot + 4)]  # fmt: skip
    x, foot_of_all = curve[-1][0] + _BESIDE, foot + 4 + long_at.depth + 1
    elements = [
        svg.area([wood], svg.PALE, svg.THIN),
        *long_at.elements,
        *(
            svg.text((x, top + 3.5 + 4.2 * row), words, svg.SMALL, "start")
            for row, words in enumerate(said)
        ),
    ]
    size = curve[-1][0] + beside, max(foot_of_all, top + 13.0)
    return svg.finish(name, title, f"{' '.join(said)} Ramp {figure} long.", size, elements)
