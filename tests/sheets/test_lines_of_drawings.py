"""Dimensions, charts and fences by themselves, measured as with a rule: plain arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
import segno
from msgspec.structs import replace
from shapely import Point, Polygon, box

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.checking.features import Feature, FeatureLine
from setupsheets.machining.checking.joint import Joint
from setupsheets.machining.checking.proof import Discrepancy, Proof
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.cutting.planes import Plane
from setupsheets.machining.measure_places import MeasurePlace
from setupsheets.machining.operations import Stop
from setupsheets.machining.setting.stopped_cuts import StoppedCut, TapeMarks
from setupsheets.records.record import ReadingDeviation
from setupsheets.sheets.drawings.chart import Charted, readings_chart
from setupsheets.sheets.drawings.cut import cut_drawing
from setupsheets.sheets.drawings.dimensions import Dimension, Placed, across, upright
from setupsheets.sheets.drawings.drawing import Drawing, finish
from setupsheets.sheets.drawings.joint_drawing import joint_drawing, proof_drawing
from setupsheets.sheets.drawings.measure_drawing import measure_drawing
from setupsheets.sheets.drawings.phone_code import phone_code
from setupsheets.sheets.drawings.scene_paper import Labels
from setupsheets.sheets.drawings.scenes import scene_of
from setupsheets.sheets.drawings.stops_drawing import ramp_drawing, stops_drawing
from tests.sheets.drawn_lines import THIN, Read, crossed, overlapping, read_svg
from tests.sheets.sheet_plans import groove, inches

Bounds = tuple[float, float, float, float]
INCHES = Notation(Unit.IN, Fraction(1, 64))
METRIC = Notation(Unit.MM, Fraction(1, 2))


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


SPANS = [(150.0, 150.6), (150.0, 153.0), (150.0, 158.0), (152.0, 170.0), (140.0, 230.0),
         (128.0, 150.0)]  # fmt: skip


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


@pytest.mark.parametrize("other", [(153.0, 175.0), (127.0, 149.0)])
def test_arrows_that_are_turned_about_run_into_no_size_beside_them(
    other: tuple[float, float],
) -> None:
    """They stand 4 mm past both ends of what is too short for them."""
    sizes = [Dimension(*span, "7/16 in", 200, 200) for span in ((150.0, 152.0), other)]
    found = on_paper(upright(sizes, 200.0))
    one, two = (each.shape for each in found.lines if each.weight == THIN)
    assert one.distance(two) > 1.0


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
    assert right == pytest.approx(60.0 - 5.0)
    (below, other) = [each for each in found.words if each.words == "test piece"]
    assert below.at == pytest.approx(((left + right) / 2, 38.0), abs=0.02)
    assert other.at[0] - below.at[0] == pytest.approx(60.0)
    (axis,) = [line for line in found.lines if line.start[0] == line.end[0] == left]
    assert (axis.start[1] + axis.end[1]) / 2 == pytest.approx(aim)
    farthest = per * 3 / 64  # of the half of 20 mm all but a seventh or so
    assert farthest * 1.15 == pytest.approx(axis.shape.length / 2, abs=0.03) == 10.0
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
    assert found.description == (
        "Length: piece 1 +1/64 in inside, piece 2 −1/128 in inside, piece 3 +3/64 in OUTSIDE, "
        "piece 4 0 in inside. Depth: piece 1 +1/64 in inside."
    )
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
    assert top - said["face"].at[1] == pytest.approx(2.0)
    assert [said[each].at[1] - foot for each in ("back", "mate", "part")] == pytest.approx(
        [4.2] * 3, abs=0.02
    )
    assert said["back"].box[1] > foot
    assert said["mate"].box[0] > grey.bounds[0] and said["part"].box[2] < far
    assert said["mate"].box[2] < said["back"].box[0] and said["back"].box[2] < said["part"].box[0]
    for x in (grey.bounds[0], far):  # zigzags over the whole height, and no edge drawn there
        ends = [line for line in found.lines if line.start[0] == pytest.approx(x, abs=0.02)]
        assert min(line.start[1] for line in ends) < top < foot
        level = [line.end for line in ends if line.end[0] == pytest.approx(x, abs=0.02)]
        assert max(y for _, y in level) > foot
    assert far < found.width and foot < found.height - 4
    assert list(overlapping(found)) == []


@pytest.mark.parametrize(
    ("lower_on", "lift_off", "at_line"),
    [(880.0, 900.0, False), (100.0, 900.0, True), (90.0, None, True), (None, 2.0, True)],
)
def test_the_word_for_the_cutter_s_middle_stands_at_its_line(
    lower_on: float | None, lift_off: float | None, at_line: bool
) -> None:
    """About it, or ended at it where the paper ends; on the paper in any case."""
    long = Length("900 mm")
    marks = TapeMarks(50, 90, lower_on, lift_off, 20, (60, 80))
    stop = Stop("part", "lower end", long, *(Length.ZERO, long), *(Length.ZERO, long))
    found = reading(stops_drawing("s", "S", StoppedCut(stop, marks, (0, 0)), METRIC))
    (middle,) = {line.start[0] for line in found.lines if line.dashed}
    below = max(y for line in found.lines if line.dashed for y in (line.start[1], line.end[1]))
    assert below > max(part.bounds[3] for part in found.filled("#fff"))
    (said,) = [each for each in found.words if each.words == "middle of the cutter"]
    left, _, right, _ = said.box
    head = min(line.start[1] for line in found.lines if line.dashed)
    assert head - said.at[1] == pytest.approx(1.0)
    at = (left + right) / 2 if at_line else right
    assert at == pytest.approx(middle, abs=0.03) and left > 0 and right < found.width


@pytest.mark.parametrize(("long", "deep"), [(8.0, 6.0), (57.5, 14.0), (312.25, 30.0)])
def test_a_ramp_is_sized_from_the_mark_to_where_it_runs_out(long: float, deep: float) -> None:
    """Its size is as long as its curve, and its foot as deep as its curve goes, at one scale: 22 by
    6 mm hold it."""
    ramp = [(0.0, 0.0), (long / 2, deep / 3), (long, deep)]
    found = reading(ramp_drawing("r", "R", ramp, long, METRIC))
    (wood,) = found.filled("#f1f1f1")
    left, top, right, foot = wood.bounds
    (size,) = found.sizes
    start, end = (each[0] for each in size.ends)
    assert (start - 6, end + 8) == pytest.approx((left, right), abs=0.03)
    scale = (end - start) / long
    assert foot - 4 - top == pytest.approx(deep * scale, abs=0.03)
    assert scale * deep < 6.03 and scale * long < 22.03
    assert scale * deep > 5.97 or scale * long > 10
    assert size.words == f"ramp {METRIC.mark(Length.from_float(long))}"
    assert found.description == (
        "Left at a stopped end, from the side, the table's side at the top. "
        f"Ramp {METRIC.mark(Length.from_float(long))} long."
    )
    for line in size.reach:
        assert top < min(line.start[1], line.end[1])
    assert foot < size.ends[0][1] < found.height and right < found.width


@pytest.mark.parametrize("wide", [1.5, 3.0, 40.0])
def test_the_letters_of_a_narrow_piece_stand_on_the_paper(wide: float) -> None:
    """Two level sizes from one edge and one over it all: letters beside their arrows, right of them
    too, lie on the drawing, which is as wide as they need."""
    zero, some, whole = Length.ZERO, Length.from_float(wide / 2), Length.from_float(wide)
    beside = {"y": Length("6 mm")}
    places = {
        "A": MeasurePlace("x", zero, some, beside),
        "B": MeasurePlace("x", some, whole, beside),
        "C": MeasurePlace("x", zero, whole, beside),
    }
    piece = ("x", "y"), box(0.0, 0.0, wide, 8.0)
    found = reading(measure_drawing("m", "M", piece, places, "Words."))
    low, high = reach(found, 0)
    assert low > 0 and high < found.width < high + 4 and list(overlapping(found)) == []
    assert {each.words for each in found.sizes} == {"A", "B", "C"}
    (said,) = [each for each in found.words if each.words == "face"]
    (wood,) = found.filled("#f1f1f1")
    assert said.at == pytest.approx((wood.bounds[0], wood.bounds[1] - 2), abs=0.03)


@pytest.mark.parametrize(("long", "over_all", "ends"), [(70, False, 0), (400, False, 1),
                                                        (400, True, 2)])  # fmt: skip
def test_a_piece_is_broken_off_where_it_goes_on(long: int, over_all: bool, ends: int) -> None:
    """What is longer than 80 mm is drawn from its end that far; over all both its ends are drawn,
    the second turned about."""
    places = {
        "A": MeasurePlace("z", Length.ZERO, Length("20 mm"), {"y": Length("4 mm")}),
        "B": MeasurePlace("z", Length("5 mm"), Length("5 mm"), {}, over_all=over_all)
        if over_all
        else MeasurePlace("y", Length.ZERO, Length("8 mm"), {"z": Length("20 mm")}),
    }
    piece = ("z", "y"), box(0.0, 0.0, float(long), 8.0).difference(box(0.0, 0.0, 20.0, 4.0))
    found = reading(measure_drawing("m", "M", piece, places, "Words."))
    pieces = [each.bounds for each in found.filled("#f1f1f1")]
    assert len(pieces) == max(ends, 1)
    scale = 26.0 / min(long, 80)
    edges = [pieces[0][2], pieces[-1][0]][: max(ends, 1)]
    assert pieces[0][2] - pieces[0][0] == pytest.approx(min(long, 80) * scale, abs=0.03)
    middles = [
        line
        for line in found.lines
        if line.weight == 0.25 and line.start[1] < pieces[0][1] - 1 and not line.dashed
        and any(abs(line.start[0] - edge) < 0.03 for edge in edges)
    ]  # fmt: skip
    assert len(middles) == ends
    upright_edges = [
        line
        for line in found.lines
        if line.weight == 0.5 and line.start[0] == line.end[0]
        and any(abs(line.start[0] - edge) < 0.03 for edge in edges)
    ]  # fmt: skip
    assert bool(upright_edges) == (ends == 0), "no edge where it goes on"
    sizes = {each.words: each for each in found.sizes}
    assert sizes["A"].long == pytest.approx(20 * scale, abs=0.03)
    if over_all:
        (first, *_), (_, _, last, _) = pieces
        assert sizes["B"].ends[0][0] == pytest.approx(first + 5 * scale, abs=0.03)
        assert sizes["B"].ends[1][0] == pytest.approx(last - 5 * scale, abs=0.03)
    else:
        assert sizes["B"].long == pytest.approx(8 * scale, abs=0.03)


def test_a_code_has_its_modules_where_the_standard_s_matrix_has_them() -> None:
    """The matrix is that of segno, a library for ISO/IEC 18004; four modules of it are quiet."""
    address = "http://192.168.1.20:8731/t/larder"
    rows = list(segno.make_qr(address, error="l").matrix)
    found = reading(phone_code("code", "Code", address))
    (black,) = found.filled("#000")
    side = found.width / (len(rows) + 8)
    assert side == pytest.approx(0.42, abs=0.001) and found.height == found.width
    for number, row in enumerate(rows):
        for column, dark in enumerate(row):
            middle = Point((column + 4.5) * side, (number + 4.5) * side)
            assert black.contains(middle) == bool(dark)
    assert black.area == pytest.approx(sum(map(sum, rows)) * side**2, rel=0.02)


def _proof(design: Polygon, finished: Polygon, pieces: Sequence[Discrepancy]) -> Proof:
    """A proof that comes to this; the first piece is left over, the second missing."""
    operation, set_up = groove()
    stages = [replace(each, after=finished) for each in run([operation], set_up.subject)]
    return Proof(
        operation.asks.work,
        Plane.END,
        set_up.subject,
        ("bar",),
        stages=tuple(stages),
        design=design,
        left_over=tuple(pieces[:1]),
        missing=tuple(pieces[1:]),
    )


def test_what_does_not_prove_is_ringed_and_told_beside_the_design() -> None:
    """A design of 40 by 20 mm with 2 by 5 left over at its right and 4 by 1 missing at its foot."""
    design, left_over, missing = box(0, 0, 40, 20), box(40, 5, 42, 10), box(10, 19, 14, 20)
    line = FeatureLine(Feature.BACK_SHOULDER, ())
    pieces = [Discrepancy(shape, line) for shape in (left_over, missing)]
    finished = design.union(left_over).difference(missing)
    proof = _proof(design, finished, pieces)
    drawing = proof_drawing("proof", "Proof", proof, METRIC.show)
    assert drawing is not None
    found = reading(drawing)
    (white,) = found.filled("#fff")
    scale = (white.bounds[2] - white.bounds[0]) / 40
    assert scale == pytest.approx(min(80 / 42, 40 / 20, 3.0), abs=0.01)
    assert white.bounds[:2] == pytest.approx((3.0, 6.0))
    (over,), (gone,) = found.filled("url(#proof-h)"), found.filled("#000")
    for shape, drawn in ((left_over, over), (missing, gone)):
        x0, y0, x1, y1 = shape.bounds
        ends = 3 + x0 * scale, 6 + y0 * scale, 3 + x1 * scale, 6 + y1 * scale
        assert drawn.bounds == pytest.approx(ends, abs=0.03)
    told = [each for each in found.words if each.words != "face"]
    assert [each.words for each in told] == [
        "left over: 2 mm by 5 mm at the back shoulder",
        "missing: 4 mm by 1 mm at the back shoulder",
    ]
    assert drawing.description == "; ".join(each.words for each in told)
    for words, (x, y), shape in zip(told, found.dots, (over, gone), strict=True):
        middle = shape.centroid
        assert (x, y) == pytest.approx((middle.x, middle.y), abs=0.03)
        lines = [line for line in found.lines if line.weight == 0.18]
        (begun,) = [line for line in lines if line.start == pytest.approx((x + 2.2, y), abs=0.03)]
        (ended,) = [line for line in lines if line.start == begun.end]
        assert ended.end == pytest.approx((words.at[0] - 1, words.at[1] - 1), abs=0.03)
        assert words.at[0] == pytest.approx(3 + 42 * scale + 10, abs=0.05)
    assert [each.at[1] - white.bounds[1] for each in told] == pytest.approx([4.0, 10.0])
    assert found.width == pytest.approx(max(each.box[2] for each in told) + 2, abs=0.02)
    assert found.height == pytest.approx(max(6 + 20 * scale, 6 + 12.0) + 4, abs=0.02)
    (face,) = [each for each in found.words if each.words == "face"]
    assert (face.box[0] + face.box[2]) / 2 == pytest.approx(3 + 21 * scale, abs=0.05)
    assert white.bounds[1] - face.at[1] == pytest.approx(2.0)


def test_nothing_is_drawn_of_what_could_not_be_worked_out() -> None:
    whole = box(0, 0, 40, 20)
    proof = _proof(whole, whole, [])
    every: tuple[dict[str, Any], ...] = ({"design": None}, {"stages": ()})
    for without in every:
        assert proof_drawing("proof", "Proof", replace(proof, **without), METRIC.show) is None
