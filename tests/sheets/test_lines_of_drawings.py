"""Dimensions, charts and fences by themselves, measured as with a rule: plain arithmetic."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from msgspec.structs import replace
from shapely import box

from setupsheets.lengths import Notation, Unit
from setupsheets.machining.checking.joint import Joint
from setupsheets.machining.cutting.cuts import run
from setupsheets.records.record import ReadingDeviation
from setupsheets.sheets.drawings.chart import Charted, readings_chart
from setupsheets.sheets.drawings.cut import cut_drawing
from setupsheets.sheets.drawings.dimensions import Dimension, Placed, across, upright
from setupsheets.sheets.drawings.drawing import Drawing, finish
from setupsheets.sheets.drawings.joint_drawing import joint_drawing
from setupsheets.sheets.drawings.scene_paper import Labels
from setupsheets.sheets.drawings.scenes import scene_of
from tests.sheets.drawn_lines import Read, crossed, overlapping, read_svg
from tests.sheets.sheet_plans import groove, inches

Bounds = tuple[float, float, float, float]
INCHES = Notation(Unit.IN, Fraction(1, 64))


def reading(drawing: Drawing) -> Read:
    return read_svg(drawing.svg, drawing.name)


def on_paper(placed: Placed) -> Read:
    """Dimensions on a paper on which they have room, with what they reach to 100 mm in."""
    elements = [f'<g transform="translate(0 0)">{"".join(placed.elements)}</g>']
    return reading(finish("sizes", "Sizes", "Sizes.", (400.0, 400.0), elements))


def reach(found: Read, axis: int) -> tuple[float, float]:
    """How far all that is drawn reaches along an axis of the paper."""
    ends = [end[axis] for line in found.lines for end in (line.start, line.end)]
    ends += [side for said in found.words for side in (said.box[axis], said.box[axis + 2])]
    return min(ends), max(ends)


SPANS = [(150.0, 150.6), (150.0, 153.0), (150.0, 158.0), (152.0, 170.0), (140.0, 230.0)]


@pytest.mark.parametrize("light", ["", "3/32 in"])
@pytest.mark.parametrize("one", SPANS)
@pytest.mark.parametrize("other", SPANS)
def test_level_sizes_take_the_room_that_they_say_and_keep_clear_of_each_other(
    one: tuple[float, float], other: tuple[float, float], light: str
) -> None:
    sizes = [
        Dimension(*one, "7/16 in", 100, 100, "fence", light),
        Dimension(*other, "1 1/4 in", 100, 100),
    ]
    placed = across(sizes, 100.0)
    found = on_paper(placed)
    low, high = reach(found, 0)
    assert (
        placed.low - 0.01 <= low < placed.low + 2 and placed.high - 2 < high <= placed.high + 0.01
    )
    assert reach(found, 1)[0] > 100 and reach(found, 1)[1] <= 100 + placed.depth
    assert list(overlapping(found)) == [] and len(found.sizes) == 2
    drawn = {(each.ends[0][0], each.ends[1][0]) for each in found.sizes}
    assert drawn == {one, other}
    beside = [said for said in found.words if said.words == light]
    for size in found.sizes:
        (said,) = [each for each in found.words if each.words == size.words]
        first, last = (end[0] for end in size.ends)
        if first < said.box[0] and said.box[2] < last:  # between the arrows, and in their middle
            right = beside[0].box[2] if beside and "fence" in said.words else said.box[2]
            assert (said.box[0] + right) / 2 == pytest.approx((first + last) / 2, abs=0.05)


FROM_ONE_EDGE = [(150.0, 150.6), (150.0, 153.0), (150.0, 158.0), (150.0, 170.0), (140.0, 230.0)]


@pytest.mark.parametrize("one", FROM_ONE_EDGE)
@pytest.mark.parametrize("other", FROM_ONE_EDGE)
def test_upright_sizes_take_the_room_that_they_say_and_keep_clear_of_each_other(
    one: tuple[float, float], other: tuple[float, float]
) -> None:
    sizes = [
        Dimension(*one, "7/16 in", 200, 200, "height", "1/64 in more"),
        Dimension(*other, "1 1/4 in", 200, 200),
    ]
    placed = upright(sizes, 200.0)
    found = on_paper(placed)
    assert {(each.ends[0][1], each.ends[1][1]) for each in found.sizes} == {one, other}
    assert 200 - placed.depth - 0.01 <= reach(found, 0)[0] and reach(found, 0)[1] < 200
    low, high = reach(found, 1)
    assert placed.low - 4 < low and high < placed.high + 4
    assert list(overlapping(found)) == [] and list(crossed(found)) == []


@pytest.mark.parametrize("high", [0.6, 2.4, 3.7, 4.2, 8.0, 20.0])
def test_what_breaks_a_line_for_a_name_wipes_nothing_off_its_figure(high: float) -> None:
    """What is drawn later lies over what is drawn earlier (SVG 2, painter's model)."""
    drawn = upright([Dimension(150.0, 150.0 + high, "7/8 in", 200, 200, "height")], 200.0).elements
    words = [at for at, each in enumerate(drawn) if "<text" in each]
    wiped = [at for at, each in enumerate(drawn) if 'fill="#fff"' in each and "<rect" in each]
    assert len(words) == 2 and max(wiped, default=-1) < min(words)


def test_a_fence_stands_a_spacer_s_thickness_off_the_part() -> None:
    operation, set_up = groove()
    scene = scene_of(run([operation], set_up.subject)[0], set_up.subject, INCHES)
    assert scene is not None
    labels = Labels("back", "face", "sight edge", "sight edge", "fence", "blade")
    near, told = cut_drawing("near", "Near", scene, labels)
    far, spaced = cut_drawing("far", "Far", replace(scene, spacer=6.35), labels)
    assert "spacer" not in told and spaced.endswith(
        "Between part and fence: the spacer, taken out."
    )
    for drawing, off in ((near, 0.0), (far, 0.25)):
        found = reading(drawing)
        wood = found.filled("#fff")[0].bounds
        scale = (wood[2] - wood[0]) / 1.125
        fence = next(
            each.start[0]
            for each in found.lines
            if each.weight == 0.5 and each.start[0] == each.end[0]
        )
        assert fence - wood[2] == pytest.approx(off * scale, abs=0.03)
        (said,) = [each for each in found.words if each.words == "fence"]
        assert said.box[0] > fence


def test_a_chart_has_its_readings_at_their_places() -> None:
    """Limits of 1/32 over and 1/64 under: readings stand as far from the aim as they are off, in
    the order of their pieces; one over its limit is outside the band."""
    offs = ("1/64", "-1/128", "3/64", "0")
    readings = [
        ReadingDeviation(piece, "length", inches(off), inside=off != "3/64")
        for piece, off in enumerate(offs, 1)
    ]
    items = [
        Charted("Length", inches("1/64"), inches("1/32"), tuple(readings)),
        Charted("Depth", inches("1/64"), inches("1/64"), tuple(readings[:1])),
    ]
    found = reading(readings_chart("chart", "Chart", items, INCHES, across=3))
    assert (found.width, found.height) == (120.0, 42.0)
    bands = sorted(each.shape.bounds for each in found.areas if each.fill == "#f1f1f1")
    aims = sorted(
        {
            line.start[1]
            for line in found.lines
            if line.start[1] == line.end[1] and line.weight == 0.25
        }
    )
    (aim,) = aims
    left, top, right, foot = bands[0]
    per = (aim - top) / float(Fraction(1, 32))
    assert foot - aim == pytest.approx(per / 64, abs=0.02)
    assert bands[1][0] - left == pytest.approx(60.0) and bands[1][2] - right == pytest.approx(60.0)
    places = sorted(found.dots)[:4]
    for number, ((x, y), off) in enumerate(zip(places, offs, strict=True)):
        assert x == pytest.approx(left + (right - left) * (number + 0.5) / 4, abs=0.02)
        assert aim - y == pytest.approx(per * float(Fraction(off)), abs=0.02)
        (said,) = [
            each for each in found.words if each.words == str(number + 1) and each.at[0] < 60
        ]
        assert said.at[0] == pytest.approx(x, abs=0.02) and said.at[1] > foot
    limits = {
        said.words: (said.box[1] + said.box[3]) / 2 for said in found.words if said.at[0] < left
    }
    assert limits["+1/32 in"] == pytest.approx(top, abs=0.4)
    assert limits["−1/64 in"] == pytest.approx(foot, abs=0.4)
    dashed = [(line.start, line.end) for line in found.lines if line.dashed and line.start[0] < 60]
    assert dashed == list(pairwise(places))
    assert list(overlapping(found)) == []
    alone = reading(readings_chart("chart", "Chart", items, INCHES))
    assert (alone.width, alone.height) == (76.0, 84.0)


@pytest.mark.parametrize("off", ["1/4", "-1/4"])
def test_the_limits_of_a_narrow_band_are_written_apart(off: str) -> None:
    """Where one reading is ten times as far out as is allowed, the band is a hand's line."""
    read = (ReadingDeviation(1, "length", inches(off), inside=False),)
    item = Charted("Length", inches("1/32"), inches("1/64"), read)
    found = reading(readings_chart("chart", "Chart", [item], INCHES))
    assert {each.words for each in found.words} >= {"+1/64 in", "−1/32 in"}
    assert list(overlapping(found)) == []


@pytest.mark.parametrize(
    ("mate", "end", "black", "hatched"),
    [
        ((-20.0, 0.0, 0.0, 30.0), (0.5, 0.0, 25.0, 30.0), (0.0, 0.0, 0.5, 30.0), None),
        ((-20.0, 0.0, 0.0, 30.0), (-0.5, 0.0, 25.0, 30.0), None, (-0.5, 0.0, 0.0, 30.0)),
        ((-30.0, 0.0, 0.0, 60.0), (0.0, 0.0, 90.0, 60.0), None, None),
    ],
)
def test_an_end_is_drawn_on_its_mate_with_what_is_open_black_and_what_is_in_the_way_hatched(
    mate: Bounds, end: Bounds, black: Bounds | None, hatched: Bounds | None
) -> None:
    """A square end half a millimetre off its mate, as far into it, and on it. The face lies at the
    head; the mate goes on at the left and the part at the right, where both are broken off."""
    found = reading(
        joint_drawing("joint", "Joint", Joint(box(*end), box(*mate), (), 0.0), "As set.")
    )
    (grey,) = found.filled("#d4d4d4")
    scale = (grey.bounds[2] - grey.bounds[0]) / (mate[2] - mate[0])
    left, top = grey.bounds[0] - mate[0] * scale, grey.bounds[1]

    def placed(each: Bounds) -> object:
        x0, y0, x1, y1 = each
        ends = left + x0 * scale, top + y0 * scale, left + x1 * scale, top + y1 * scale
        return pytest.approx(ends, abs=0.03)

    assert grey.bounds == placed(mate)
    for fill, wanted in (("#fff", end), ("#000", black), ("url(#joint-h)", hatched)):
        shapes = [each.bounds for each in found.filled(fill) if each.area > 0.01]
        assert len(shapes) == (wanted is not None)
        assert wanted is None or shapes[0] == placed(wanted)
    said = {each.words: each for each in found.words}
    far, foot = left + end[2] * scale, top + mate[3] * scale
    middle = (grey.bounds[0] + far) / 2
    for word in ("face", "back"):
        assert (said[word].box[0] + said[word].box[2]) / 2 == pytest.approx(middle, abs=0.03)
    assert said["face"].box[3] < top and said["back"].box[1] > foot
    assert said["mate"].box[0] > grey.bounds[0] and said["part"].box[2] < far
    assert said["mate"].box[2] < said["back"].box[0] and said["back"].box[2] < said["part"].box[0]
    for x in (grey.bounds[0], far):  # zigzags over the whole height, and no edge drawn there
        ends = [line for line in found.lines if line.start[0] == pytest.approx(x, abs=0.02)]
        assert min(line.start[1] for line in ends) < top < foot
        level = [line.end for line in ends if line.end[0] == pytest.approx(x, abs=0.02)]
        assert max(y for _, y in level) > foot
    assert far < found.width and foot < found.height - 4
    assert list(overlapping(found)) == []
