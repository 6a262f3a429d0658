"""A finished end on its mate, and a thing that does not prove: both to scale in their plane (mm).

The face lies at the top, as a section is drawn with its outside up. What is open is black, what
is in the way is hatched.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from setupsheets.machining.checking.joint import Joint
from setupsheets.machining.checking.proof import Proof
from setupsheets.machining.cutting.planes import Show
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.paper import Paper, rings_of
from setupsheets.sheets.letters.letters import text_width
from setupsheets.wording.proofs import discrepancy_words

if TYPE_CHECKING:
    from shapely import Polygon

_ROOM, _PROOF_ROOM = (66.0, 26.0), (80.0, 40.0)  # mm on the paper for the shapes themselves
_MARGIN, _HEAD = 3.0, 6.0


def _on_paper(bounds: Sequence[float], room: svg.Point) -> tuple[Paper, float, float]:
    """Where a plane lies on the paper, the face at the head, and how wide and high it is there."""
    low, face, high, back = bounds
    scale = min(room[0] / (high - low), room[1] / (back - face), 3.0)
    paper = Paper((_MARGIN, _HEAD), scale, (low, face))
    return paper, (high - low) * scale, (back - face) * scale


def joint_drawing(name: str, title: str, joint: Joint, words: str) -> svg.Drawing:
    """The end on its mate's section: mate grey, end white, gaps black, overlaps hatched.

    ``words`` tell what the picture shows.
    """
    from shapely import box  # noqa: PLC0415

    low, _, _, back = joint.mate.bounds
    right = joint.end.bounds[2]
    paper, width, _ = _on_paper((low, 0.0, right, back), _ROOM)
    zone = box(low, 0.0, right, back)
    open_ = zone.difference(joint.end.union(joint.mate))
    clash = joint.end.intersection(joint.mate)
    left_at, right_at = paper.x(low), paper.x(right)
    mate, end = paper.rings(rings_of(joint.mate)), paper.rings(rings_of(joint.end))
    foot = paper.y(back)
    elements = [
        svg.area(mate, svg.GREY),
        svg.area(end, "#fff"),
        svg.area(paper.rings(rings_of(open_)), "#000"),
        svg.area(paper.rings(rings_of(clash)), f"url(#{name}-h)"),
        svg.edges(mate, svg.THIN, (left_at, None)),
        svg.edges(end, svg.EDGE, (right_at, None)),
        svg.break_line((left_at, _HEAD), (left_at, foot)),
        svg.break_line((right_at, _HEAD), (right_at, foot)),
        svg.text((left_at + width / 2, _HEAD - 2), "face", svg.SMALL),
        svg.text((left_at + width / 2, foot + 4.2), "back", svg.SMALL),
        svg.text((left_at + 1.5, foot + 4.2), "mate", svg.SMALL, "start", bold=True),
        svg.text((right_at - 1.5, foot + 4.2), "part", svg.SMALL, "end", bold=True),
    ]
    size = (width + 2 * _MARGIN, foot + 6)
    return svg.finish(name, title, words, size, elements, svg.hatching(f"{name}-h", 0.9, 0.3))


def proof_drawing(name: str, title: str, proof: Proof, show: Show) -> svg.Drawing | None:
    """What does not prove: the design in outline, what is left over hatched, what is missing black,
    each with its size and place beside it; None where nothing could be worked out."""
    if proof.design is None or not proof.stages:
        return None
    bounds = proof.design.union(proof.stages[-1].after).bounds
    paper, width, height = _on_paper(bounds, _PROOF_ROOM)
    lines = list(_told(proof, show))
    beside = _MARGIN + width + 10
    wide = max(text_width(words, svg.SMALL) for _, words in lines)
    elements = [
        svg.area(paper.rings(rings_of(proof.design)), "#fff", svg.EDGE),
        *(
            svg.area(paper.rings(rings_of(each.shape)), f"url(#{name}-h)", svg.THIN)
            for each in proof.left_over
        ),
        *(svg.area(paper.rings(rings_of(each.shape)), "#000") for each in proof.missing),
        svg.text((_MARGIN + width / 2, _HEAD - 2), "face", svg.SMALL),
    ]
    for index, (piece, words) in enumerate(lines):
        elements += _flagged(paper, piece, words, (beside, _HEAD + 4 + index * 6.0))
    size = (beside + wide + 2, max(_HEAD + height, _HEAD + 6.0 * len(lines)) + 4)
    said = "; ".join(words for _, words in lines)
    return svg.finish(name, title, said, size, elements, svg.hatching(f"{name}-h", 1.2, 0.3))


def _told(proof: Proof, show: Show) -> Iterator[tuple[Polygon, str]]:
    for what, pieces in (("left over", proof.left_over), ("missing", proof.missing)):
        yield from ((piece.shape, f"{what}: {discrepancy_words(piece, show)}") for piece in pieces)


def _flagged(paper: Paper, piece: Polygon, words: str, at: svg.Point) -> list[str]:
    """A ring about a piece that may be too small to see, with a line to its words."""
    x0, y0, x1, y1 = piece.bounds
    x, y = paper.at(((x0 + x1) / 2, (y0 + y1) / 2))
    return [
        svg.dot((x, y), 2.2, "none", svg.THIN),
        svg.polyline([(x + 2.2, y), (at[0] - 3, at[1] - 1), (at[0] - 1, at[1] - 1)], svg.HAIR),
        svg.text(at, words, svg.SMALL, "start"),
    ]
