"""Drawings against numbers: figures as the shop writes them, polygons to scale, nothing colliding.

The sizes are worked by hand from the settings; no outside source is needed for plane geometry.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from fractions import Fraction
from itertools import chain, combinations

import pytest
from msgspec.structs import replace

from setupsheets.joinery.frame.layout import lay_out, without_rebate
from setupsheets.joinery.members.elevation import elevation
from setupsheets.joinery.members.parts import Role
from setupsheets.joinery.members.stick import Line, Stick, StickMark
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.operations import Operation
from setupsheets.records.record import ReadingDeviation
from setupsheets.sheets.drawings.chart import Charted, readings_chart
from setupsheets.sheets.drawings.cut import SCALES, cut_drawing
from setupsheets.sheets.drawings.cutter_label import LabelRoom, cutter_label, needs_row
from setupsheets.sheets.drawings.dimensions import Dimension, across, upright
from setupsheets.sheets.drawings.drawing import GREY, PALE, THIN, Drawing, area, number
from setupsheets.sheets.drawings.leaf_drawing import leaf_drawing
from setupsheets.sheets.drawings.member_sections import _section_of, _told, member_sections
from setupsheets.sheets.drawings.scene_paper import Labels
from setupsheets.sheets.drawings.scenes import scene_of
from setupsheets.sheets.drawings.stick_drawing import MOST, Zone, spread, story_stick
from setupsheets.sheets.letters.letters import text_width
from setupsheets.shop.jobs import Fill, FrameField, Meeting, Opening, Side
from setupsheets.shop.machines import SettingName
from setupsheets.wording.machines import cutter_word
from setupsheets.wording.operations import SURFACES
from tests.joinery import designs
from tests.sheets.sheet_plans import JOBS, content, groove, inches, plan, shop, whole

METRIC = Notation(Unit.MM, Fraction(1, 2))
INCHES = Notation(Unit.IN, Fraction(1, 64))
LABELS = Labels("back", "face", "sight edge", "sight edge", "fence", "blade")
OF_JOBS = pytest.mark.parametrize("job", JOBS)


def tree(drawing: Drawing) -> ET.Element:
    return ET.fromstring(drawing.svg.replace(' xmlns="http://www.w3.org/2000/svg"', ""))


def words(drawing: Drawing) -> list[str]:
    return [element.text or "" for element in tree(drawing).iter("text")]


def groove_drawing(fence: str = "7/16", height: str = "1/2") -> Drawing:
    operation, set_up = groove(fence, height, {"both": True})
    scene = scene_of(run([operation], set_up.subject)[0], set_up.subject, INCHES)
    assert scene is not None
    return cut_drawing("groove", "Groove", scene, LABELS)[0]


def boxes(drawing: Drawing) -> list[tuple[float, float, float, float]]:
    """The boxes of all words that lie level, as wide as they are taken to print."""
    found = []
    for element in tree(drawing).iter("text"):
        size, words = float(element.get("font-size", "0")), element.text or ""
        if element.get("transform"):
            continue
        wide = text_width(words, size, element.get("font-weight") == "bold")
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[element.get("text-anchor", "")]
        found.append((left, y - size * 0.72, left + wide, y))
    return found


def test_a_setting_is_dimensioned_with_the_figure_that_the_shop_writes() -> None:
    for fence, height in (("7/16", "1/2"), ("3/8", "9/16"), ("29/64", "1/3")):
        shown = words(groove_drawing(fence, height))
        assert f"fence {INCHES.show(inches(fence))}" in shown
        assert INCHES.show(inches(height)) in shown


@OF_JOBS
def test_every_setting_in_every_drawing_has_its_figure(job: str) -> None:
    """Or its name alone, where the figure differs from row to row of the block."""
    notation = shop(job).settings.notation
    of = {operation.number: operation for operation in plan(job).operations}
    checked = 0
    for block in (block for sheet in content(job).machines for block in sheet.operations):
        for cut in block.cuts:
            shown, numbers = words(cut.drawing), [int(row.number) for row in block.rows]
            settings = (enumerate(of[number].settings) for number in numbers)
            for at, setting in chain.from_iterable(settings):
                for_all = len({row.settings[at].set_to for row in block.rows}) == 1
                nearest, finest = setting.dial.nearest(setting.aim), setting.dial.finest
                figure = notation.dialled(nearest, finest)
                wanted = (figure, f"{setting.name} {figure}") if for_all else (setting.name,)
                assert any(each in wanted for each in shown)
                assert for_all or figure not in " ".join(shown)
                checked += 1
    assert checked > 20


def test_the_wood_and_the_cut_are_to_scale() -> None:
    """The groove's hatched part is a kerf wide and the height high; the bar 1 1/8 by 1 3/8 in."""
    drawing = groove_drawing()
    hatched = _extent(_filled(drawing, "url(#groove-h)"), first=True)
    wood = _extent(_filled(drawing, "#fff"), first=True)
    scale = wood[0] / 28.575
    assert any(abs(scale - known) < 0.01 for known, _ in SCALES)
    assert wood[1] / scale == pytest.approx(34.925, abs=0.02)
    assert hatched[0] / scale == pytest.approx(3.175, abs=0.02)
    assert hatched[1] / scale == pytest.approx(12.7, abs=0.02)


def _filled(drawing: Drawing, fill: str) -> list[str]:
    return [
        element.get("d", "")
        for element in tree(drawing).iter("path")
        if element.get("fill") == fill
    ]


def _extent(paths: list[str], first: bool) -> tuple[float, float]:
    """Width and height of the first ring of the first path."""
    ring = paths[0].split("Z")[0].lstrip("M")
    points = [tuple(map(float, pair.split())) for pair in ring.split("L")]
    xs, ys = zip(*points, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def test_the_fence_stands_on_the_right_and_the_cut_at_its_distance_from_it() -> None:
    drawing = groove_drawing("7/16", "1/2")
    ring = _filled(drawing, "url(#groove-h)")[0].split("Z")
    wood = _filled(drawing, "#fff")[0]
    fence = max(float(x) for x in re.findall(r"[ML]([\d.]+) ", wood))
    table = max(float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", wood))
    scale = _extent([wood], first=True)[0] / 28.575
    near_cut = next(part for part in ring if part and _right(part) > fence - 12 * scale)
    left = min(float(x) for x in re.findall(r"[ML]([\d.]+) ", near_cut))
    low = max(float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", near_cut))
    assert fence - left == pytest.approx(float(inches("7/16").mm) * scale, abs=0.02)
    assert low == pytest.approx(table, abs=0.02)


def _right(ring: str) -> float:
    return max(float(x) for x in re.findall(r"[ML]([\d.]+) ", ring))


@OF_JOBS
def test_a_drawing_speaks_to_a_screen_reader_and_holds_all_it_shows(job: str) -> None:
    for drawing in content(job).drawings:
        svg, name = tree(drawing), drawing.name
        assert svg.get("role") == "img", name
        assert svg.get("aria-labelledby") == f"{name}-t {name}-d"
        assert svg.findtext("title") and len(svg.findtext("desc") or "") > 20, name
        assert drawing.width <= 186, f"{name}: wider than A4 or Letter hold between their margins"
        for left, top, right, foot in boxes(drawing):
            assert left > -0.6 and top > -0.6, name
            assert right < drawing.width + 0.6 and foot < drawing.height + 0.6, name
        for x, y in drawn(svg):
            assert -0.6 < x < drawing.width + 0.6 and -0.6 < y < drawing.height + 0.6, name


def drawn(svg: ET.Element) -> Iterator[tuple[float, float]]:
    """The corners of all that is drawn, but for what is cut off at the edge of a detail."""
    for element in svg:
        at = {key: float(element.get(key, 0)) for key in ("x", "y", "width", "height")}
        match element.tag:
            case "rect":
                yield at["x"], at["y"]
                yield at["x"] + at["width"], at["y"] + at["height"]
            case "line":
                yield float(element.get("x1", 0)), float(element.get("y1", 0))
                yield float(element.get("x2", 0)), float(element.get("y2", 0))
            case "path" | "polyline":
                told = element.get("d", "") + element.get("points", "")
                for x, y in re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", told):
                    yield float(x), float(y)


@OF_JOBS
def test_words_keep_clear_of_each_other_and_are_large_enough(job: str) -> None:
    for drawing in content(job).drawings:
        for one, two in combinations(boxes(drawing), 2):
            apart = one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]
            assert apart, f"{drawing.name}: {one} lies over {two}"
        sizes = [float(each.get("font-size", 0)) for each in tree(drawing).iter("text")]
        assert min(sizes) >= 3, drawing.name


@OF_JOBS
def test_a_cut_is_drawn_in_its_room_with_own_ids(job: str) -> None:
    cuts = [each for each in content(job).drawings if each.name.startswith("operation")]
    assert len(cuts) > 5
    for drawing in cuts:
        assert drawing.width <= 114 and drawing.height <= 68, drawing.name
        assert {"before", "table"} <= set(words(drawing)), drawing.name
        ids = re.findall(r'id="([^"]+)"', drawing.svg)
        assert len(ids) == len(set(ids)) and all(each.startswith(drawing.name) for each in ids)
        assert set(re.findall(r"url\(#([^)]+)\)", drawing.svg)) <= set(ids)


@OF_JOBS
def test_what_a_cut_leaves_is_drawn_once(job: str) -> None:
    """With what to measure on it where that is drawn, else beside the cut."""
    cut = [each for sheet in content(job).machines for each in sheet.operations if each.cuts]
    assert len(cut) > 5
    for each in cut:
        beside = [drawn for drawn in each.cuts if "after" in words(drawn.drawing)]
        assert bool(beside) is not bool(each.where)
        for drawn in each.cuts:
            assert ("After it." in drawn.drawing.description) is bool(beside)


@OF_JOBS
def test_a_drawing_needs_no_colour_and_no_stylesheet(job: str) -> None:
    for drawing in content(job).drawings:
        colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]+)"', drawing.svg))
        for colour in colours:
            digits = colour[1:]
            parts = {
                digits[i : i + len(digits) // 3] for i in range(0, len(digits), len(digits) // 3)
            }
            assert len(parts) == 1, f"{colour} is no grey"
        assert "class=" not in drawing.svg and "style=" not in drawing.svg
        for element in tree(drawing).iter("text"):
            assert element.get("fill") and element.get("font-family")


def test_an_end_is_broken_off_and_a_short_part_is_not() -> None:
    work = {operation.number: operation.asks.work for operation in plan("larder").operations}
    blocks = [block for sheet in content("larder").machines for block in sheet.operations]
    ends = [block for block in blocks if work[int(block.rows[0].number)] == "end"]
    assert ends and all(len(block.cuts) == 1 for block in ends)
    assert all("polyline" in block.cuts[0].drawing.svg for block in ends)
    assert "polyline" not in groove_drawing().svg


def test_dimensions_that_would_collide_take_lanes_of_their_own() -> None:
    alone = across([Dimension(0, 50, "2 in", 0, 0)], 10)
    apart = across([Dimension(0, 50, "2 in", 0, 0), Dimension(60, 110, "2 in", 0, 0)], 10)
    over = across([Dimension(0, 50, "2 in", 0, 0), Dimension(20, 90, "3 in", 0, 0)], 10)
    assert alone.depth == apart.depth < over.depth
    one, two = Dimension(0, 30, "1 in", 0, 0), Dimension(10, 40, "1 in", 0, 0)
    assert upright([one, two], 0).depth == pytest.approx(2 * upright([one], 0).depth)
    assert across([], 10).depth == 0 and upright([], 10).depth == 0


def test_a_line_to_another_lane_is_broken_where_a_name_stands_on_it() -> None:
    """A moulding 6.4 mm high on paper has no room for its name under the line of its face, which
    reaches on to the thickness; one of 12 mm has."""
    for high, broken in ((6.4, True), (12.0, False)):
        short = Dimension(0, high, "3/8 in", 0, 0, name="moulding")
        drawn = upright([short, Dimension(0, 24, "1 1/4 in", 0, 0, name="thick")], 60).elements
        grounds = [at for at, each in enumerate(drawn) if each.startswith("<rect")]
        assert bool(grounds) == broken
        assert all("<line" not in "".join(drawn[at:]) for at in grounds)  # drawn over all of them
        assert all("moulding" in drawn[at + 1] for at in grounds)


def test_a_short_dimension_has_its_words_beside_it() -> None:
    small, large = (across([Dimension(0, size, "1/16 in", 0, 0)], 0) for size in (1.0, 60.0))
    assert small.low < -text_width("1/16 in", 4.0) and large.low == 0


@pytest.mark.parametrize(
    ("places", "expected"),
    [
        ([10.0, 20.0], [10.0, 20.0]),
        ([10.0, 10.0], [7.5, 12.5]),
        ([10.0, 11.0, 30.0], [8.0, 13.0, 30.0]),
        ([0.0, 0.0, 0.0], [0.0, 5.0, 10.0]),
        ([100.0, 100.0], [95.0, 100.0]),
        ([], []),
    ],
)
def test_marks_are_moved_apart_as_little_as_needs_be(
    places: list[float], expected: list[float]
) -> None:
    assert spread(places, 5.0, 0.0, 100.0) == pytest.approx(expected)


def stick(*places: str, title: str = "stile") -> Stick:
    marks = (StickMark(Line.END, inches(at), INCHES.round(inches(at))) for at in places)
    return Stick(title, Role.STILE, tuple(marks))


def test_a_story_stick_counts_every_figure_from_the_datum() -> None:
    """Its figures stand in the table by their numbers, and for a screen reader in its words."""
    zones = (Zone(inches("2"), inches("3 1/2")), Zone(inches("9"), inches("10")))
    made = stick("-1", "0", "2", "3 1/2", "9", "10", "11")
    drawing = story_stick("stick", "stile", made, zones, INCHES)
    assert drawing is not None and words(drawing) == ["1", "2"]
    assert all(f"end {at} in" in drawing.description for at in ("−1", "0", "2", "3 1/2", "9"))
    rail, bar = (
        (float(each.get("x", 0)), float(each.get("width", 0)))
        for each in tree(drawing).iter("rect")
        if each.get("fill") == "#d4d4d4"
    )
    per_inch = 160 / 12
    assert rail[1] == pytest.approx(1.5 * per_inch, abs=0.02)
    assert bar[0] - rail[0] == pytest.approx(7 * per_inch, abs=0.02)


def test_a_mark_is_drawn_and_told_at_the_shop_s_nearest_mark() -> None:
    """1/3 in lies nearest to 21/64 in."""
    drawing = story_stick("stick", "stile", stick("0", "1/3", "2"), (), INCHES)
    assert drawing is not None
    assert "end 21/64 in" in drawing.description


def test_a_stick_with_more_marks_than_there_is_room_for_is_not_drawn() -> None:
    for count, drawn in ((MOST, True), (MOST + 1, False)):
        made = stick(*(str(number) for number in range(count)))
        zones = [Zone(inches(str(number)), inches(str(number))) for number in range(count)]
        assert (story_stick("stick", "stile", made, zones, INCHES) is not None) == drawn
    assert story_stick("stick", "stile", stick("0"), (), INCHES) is None


def rectangles(drawing: Drawing) -> list[tuple[float, ...]]:
    return [
        tuple(float(each.get(key, 0)) for key in ("x", "y", "width", "height"))
        for each in tree(drawing).iter("rect")
    ]


def test_the_elevation_is_drawn_to_scale_with_its_sizes() -> None:
    """Stiles 110 wide in a leaf of 840 by 2040 mm; two hinges to 60 in of height and one more."""
    leaf = whole("vestibule").elevation
    drawing = leaf_drawing("leaf", "Leaf", leaf, METRIC)
    assert {METRIC.show(size.size) for size in leaf.dimensions} <= set(words(drawing))
    rects = rectangles(drawing)
    stile = max(rects, key=lambda rect: rect[3])
    scale = stile[2] / 110
    assert stile[3] == pytest.approx(2040 * scale, rel=2e-3)
    hinges = [rect for rect in rects if rect[2:] == (1.4, 5.0)]
    assert len(rects) == len(leaf.boxes) + 3 and len(hinges) == 3
    assert all(x < stile[0] for x, *_ in hinges), "they are outside the left edge"
    right = leaf_drawing("leaf", "Leaf", replace(leaf, hinge=Side.RIGHT), METRIC)
    assert min(x for x, _, *size in rectangles(right) if size == [1.4, 5.0]) > 840 * scale
    usual = leaf_drawing("leaf", "Leaf", replace(leaf, hinges=()), METRIC)
    down = [y + 2.5 for _, y, *size in rectangles(usual) if size == [1.4, 5.0]]
    assert [(y - stile[1]) / stile[3] for y in down] == pytest.approx([0.1, 0.5, 0.9], abs=1e-3)
    unsaid = leaf_drawing("leaf", "Leaf", replace(leaf, hinge=None), METRIC)
    assert "hinge side" not in words(unsaid) and "does not say" in unsaid.description


def test_the_parts_of_the_elevation_have_their_names_on_the_sheets() -> None:
    for name in ("larder", "vestibule"):
        found = whole(name)
        drawing = leaf_drawing("leaf", "Leaf", found.elevation, INCHES)
        assert {part.name for part in found.joinery.parts} <= set(words(drawing))
    assert "lock" in words(drawing)


def test_both_leaves_of_a_pair_are_drawn_the_second_a_mirror_image() -> None:
    """Leaves 18 wide, 1/8 apart: 36 1/8 over all; every rectangle of one has its image."""
    leaf = whole("larder").elevation
    drawing = leaf_drawing("leaf", "Leaf", leaf, INCHES)
    rects = [rect for rect in rectangles(drawing) if rect[2:] != (1.4, 5.0)]
    assert len(rects) == 2 * len(leaf.boxes)
    first, last = min(x for x, *_ in rects), max(x + wide for x, _, wide, _ in rects)
    scale = max(rects, key=lambda rect: rect[3])[2] / 2.25
    assert (last - first) / scale == pytest.approx(36.125, rel=2e-3)
    assert words(drawing).count("hinge side") == 2


def crossed(drawing: Drawing) -> list[str]:
    """The figures that a thin line runs through: plane arithmetic on level and upright lines."""
    lines = [[float(each.get(key, "0")) for key in ("x1", "y1", "x2", "y2")]
             for each in tree(drawing).iter("line")
             if float(each.get("stroke-width", "0")) <= THIN]  # fmt: skip
    found = []
    for (left, top, right, foot), figure in zip(boxes(drawing), words(drawing), strict=True):
        for x1, y1, x2, y2 in lines:
            over = min(x1, x2) < right - 0.2 and max(x1, x2) > left + 0.2
            if over and min(y1, y2) < foot - 0.2 and max(y1, y2) > top + 0.2:
                found.append(figure)
    return found


@pytest.mark.parametrize("pair", [None, Meeting.PLAIN, Meeting.REBATED])
@pytest.mark.parametrize("middle", ["2 1/2", "3 3/4", "8"])
@pytest.mark.parametrize(("high", "notation"), [("40", INCHES), ("86", INCHES), ("86", METRIC)])
def test_no_line_runs_through_a_size_of_the_elevation(
    pair: Meeting | None, middle: str, high: str, notation: Notation
) -> None:
    lap = inches("1/2") if pair is Meeting.REBATED else Length.ZERO
    wide = inches("54") if pair else inches("27")
    opening = Opening(wide, inches(high), pair=pair, lap=lap)
    job = designs.two_fields()
    rails = (job.rails[0], replace(job.rails[1], width=inches(middle)), job.rails[2])
    fields = (
        replace(job.fields[0], sight_height=None),
        replace(job.fields[1], sight_height=inches("12")),
    )
    job = replace(job, leaf=None, opening=opening, count=2, rails=rails, fields=fields)
    drawn = leaf_drawing("leaf", "Leaf", elevation(lay_out(job, designs.SECTIONS)), notation)
    assert crossed(drawn) == []
    reach = max(right for _, _, right, _ in boxes(drawn))
    assert reach <= drawn.width and min(left for left, *_ in boxes(drawn)) >= 0


def test_the_right_leaf_of_a_pair_is_turned_about() -> None:
    """Columns in shares of 1 to 2: the narrow light is next to the hinges of both leaves."""
    field = FrameField(Fill.GLASS, 1, 2, column_shares=(Fraction(1), Fraction(2)))
    opening = Opening(inches("48"), inches("40"), pair=Meeting.PLAIN)
    job = replace(designs.leaf(), leaf=None, opening=opening, count=2, fields=(field,))
    drawn = leaf_drawing("leaf", "Leaf", elevation(lay_out(job, designs.SECTIONS)), INCHES)
    panes = sorted(rect for rect in rectangles(drawn) if rect[3] > 40 and rect[2] > 8)
    narrow, wide, far_wide, far_narrow = (rect[2] for rect in panes)
    assert narrow == far_narrow < wide == far_wide


def test_sections_are_dimensioned_as_their_files_say() -> None:
    """Frame and bar of the larder: moulding 3/8 by 3/8, rebate 7/16 by 1/2, 1 1/4 thick; mortise
    1 1/2 deep and 3/8 wide; bar 1 1/8 wide."""
    drawings = member_sections("section", "Larder", whole("larder").joinery, INCHES)
    told = [each for drawing in drawings for each in words(drawing)]
    for words_, count in (
        *(("rebate 7/16 in", 2), ("moulding 3/8 in", 2), ("mortise 1 1/2 in", 1)),
        *(("bar 1 1/8 in", 1), ("1 1/4 in", 2), ("1/2 in", 2), ("3/8 in", 4)),
        *(("stile and top rail, 2 1/4 in wide", 1), ("bottom rail, 2 7/8 in wide", 1)),
    ):
        assert told.count(words_) == count, words_
    assert sum(drawing.width for drawing in drawings) <= 192, "in one row, a gap between them"


@pytest.mark.parametrize(
    ("moulding", "rebate", "thick", "shown"),
    [
        (("20 mm", "3 mm"), ("12 mm", "5 mm"), "20 mm", 26.0),
        (("6 mm", "9 mm"), ("14 mm", "3 mm"), "20 mm", 20.0),
        (("3 mm", "9 mm"), ("5 mm", "8 mm"), "40 mm", 32.0),
        (("6 mm", "9 mm"), ("60 mm", "3 mm"), "20 mm", 50.0),
    ],
)
def test_a_rail_is_drawn_as_far_as_it_is_cut_and_a_little_on(
    moulding: tuple[str, str], rebate: tuple[str, str], thick: str, shown: float
) -> None:
    """6 mm past the wider of moulding and rebate, four fifths of its thickness at the least, and
    never more than there is of it: 50 mm."""
    own = whole("larder").joinery
    rail = next(each for each in own.parts if each.role is Role.RAIL)
    section = replace(
        rail.section,
        thickness=Length(thick),
        sticking=replace(
            rail.section.sticking, width=Length(moulding[0]), depth=Length(moulding[1])
        ),
        rebate=replace(rail.section.rebate, width=Length(rebate[0]), depth=Length(rebate[1])),
    )
    part = replace(rail, section=section, width=Length("50 mm"))
    made = _section_of(part, None, own)
    assert made.shown == pytest.approx(shown) and made.broken is (shown < 50)
    bare = _section_of(replace(part, section=without_rebate(section)), None, own)
    assert [_told(each, INCHES).count("rebate") for each in (made, bare)] == [2, 0]


def test_a_groove_is_drawn_in_the_place_of_a_rebate() -> None:
    drawings = member_sections("section", "Vestibule", whole("vestibule").joinery, METRIC)
    told = {each for drawing in drawings for each in words(drawing)}
    assert {"groove 12 mm", "rebate 12 mm", "mortise 70 mm"} <= told
    assert all(drawing.width <= 196 for drawing in drawings)
    # Two stand in the first row, with a line for each rail under the one that has more; the bar's
    # has a row to itself, and fewer names.
    first, second, bar = drawings
    assert first.width + second.width + bar.width > 188
    assert first.height == second.height > bar.height


def test_a_reading_outside_its_tolerance_is_a_ring_and_is_told() -> None:
    readings = (
        ReadingDeviation(1, "length", inches("3/64"), inside=False),
        ReadingDeviation(2, "length", inches("-1/128"), inside=True),
    )
    charted = Charted("Length", inches("1/64"), inches("1/64"), readings)
    drawing = readings_chart("readings", "Readings", [charted], INCHES)
    fills = [each.get("fill") for each in tree(drawing).iter("circle")]
    assert fills == ["#fff", "#000"]
    beneath = {each.text: each.get("x") for each in tree(drawing).iter("text")}
    dots = [each.get("cx") for each in tree(drawing).iter("circle")]
    assert [beneath.get("1"), beneath.get("2")] == dots, "the piece's number is under its reading"
    heights = [float(each.get("cy", 0)) for each in tree(drawing).iter("circle")]
    assert heights[0] < heights[1], "a reading over the target stands higher"
    assert "piece 1 +3/64 in OUTSIDE" in drawing.description


@pytest.mark.parametrize(
    ("value", "written"),
    [(0.0, "0"), (-0.001, "0"), (12.5, "12.5"), (3.14159, "3.14"), (100.0, "100"), (-2.0, "-2")],
)
def test_coordinates_are_written_short_and_the_same_each_time(value: float, written: str) -> None:
    assert number(value) == written


def test_nothing_is_drawn_for_no_area() -> None:
    assert area([], "#000") == ""


def test_the_words_of_two_sides_do_not_lie_on_each_other_in_thin_wood() -> None:
    """Wood some 6 mm high on the paper and long enough for both beside each other."""
    operation, set_up = groove()
    assert isinstance(operation, Operation)
    scene = scene_of(run([operation], set_up.subject)[0], set_up.subject, INCHES)
    assert scene is not None
    wood = ((0.0, 0.0), (270.0, 0.0), (270.0, 44.0), (0.0, 44.0), (0.0, 0.0))
    thin = replace(
        scene, before=(wood,), after=(wood,), removed=(), width=270.0, height=44.0, marks=()
    )
    drawing, _ = cut_drawing("groove", "Groove", thin, LABELS)
    for one, other in combinations(boxes(drawing), 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    assert {"back", "face"} <= set(words(drawing))


def test_an_operation_without_a_fence_is_drawn_without_one() -> None:
    operation, set_up = groove(asks={"against": None})
    assert isinstance(operation, Operation)
    scene = scene_of(run([operation], set_up.subject)[0], set_up.subject, INCHES)
    assert scene is not None and not scene.fence
    drawing, _ = cut_drawing("groove", "Groove", scene, LABELS)
    assert "fence" not in words(drawing)


@OF_JOBS
def test_every_thing_with_boxes_is_shown_where_it_is_measured(job: str) -> None:
    """Each row's letter stands once between arrows in a drawing of its block."""
    blocks = [block for sheet in content(job).machines for block in sheet.operations]
    measured = [
        each for each in blocks if each.has_measures and each.measured_on == "the test piece"
    ]
    assert len(measured) > 10
    for block in measured:
        titles = {each.title for row in block.rows for each in row.measures}
        letters = [word for drawing in block.where for word in words(drawing) if len(word) == 1]
        assert sorted(letters) == sorted(title.partition(": ")[0] for title in titles)
        assert all(
            f"{title}" in drawing.description
            for drawing in block.where
            for title in titles
            if title[0] in words(drawing)
        )


def ring_points(drawing: Drawing) -> list[tuple[float, float]]:
    """Every point of the piece itself: the areas that are filled as wood."""
    paths = [each.get("d", "") for each in tree(drawing).iter("path") if each.get("fill") == PALE]
    pairs = (re.findall(r"(-?[\d.]+) (-?[\d.]+)", path) for path in paths)
    return [(float(x), float(y)) for found in pairs for x, y in found]


def test_a_measure_spans_what_it_measures() -> None:
    """Back cheek of the larder: over all at the tips, the back at the shoulders, which stand
    1 7/16 less 7/16, 1 in, inside them."""
    (block,) = [
        block
        for sheet in content("larder").machines
        for block in sheet.operations
        if block.title == "Back cheek and shoulder, face down"
    ]
    lines = [
        tuple(float(each.get(key, 0)) for key in ("x1", "y1", "x2", "y2"))
        for each in tree(block.where[0]).iter("line")
    ]
    level = sorted({(x1, x2) for x1, y1, x2, y2 in lines if y1 == y2 and x2 - x1 > 20})
    (outer, inner) = level
    ring = [x for x, _ in ring_points(block.where[0])]
    assert outer[0] == pytest.approx(min(ring), abs=0.02)
    tenon = inner[0] - outer[0]
    assert outer[1] - inner[1] == pytest.approx(tenon, abs=0.02)
    heights = [y for _, y in ring_points(block.where[0])]
    thick = max(heights) - min(heights)
    assert tenon / thick == pytest.approx(1 / 1.25, rel=0.01)


@OF_JOBS
def test_every_cut_names_the_side_that_is_down_and_the_cutter_at_the_cutter(job: str) -> None:
    of = {operation.number: operation for operation in plan(job).operations}
    cuts = [drawing for drawing in content(job).drawings if drawing.name.startswith("operation")]
    assert len(cuts) > 8
    for drawing in cuts:
        operation, shown = of[int(drawing.name.removeprefix("operation-"))], words(drawing)
        assert operation.asks.down is not None
        assert f"{SURFACES[operation.asks.down]} down" in shown
        assert shown.count(cutter_word(operation)) == 1
        rests = [name for name in ("stop", "fence") if any(word.startswith(name) for word in shown)]
        assert rests == ["fence" if operation.setting(SettingName.FENCE) else "stop"]
    notes = [
        cut.note for sheet in content(job).machines for b in sheet.operations for cut in b.cuts
    ]
    assert notes and not any("Grey" in note for note in notes)


def test_the_word_for_a_cutter_stands_at_it() -> None:
    """On the table's strip, right beside the kerf that the blade is drawn in."""
    drawing = groove_drawing("7/16", "1/2")
    (blade,) = [each for each in tree(drawing).iter("text") if each.text == "blade"]
    grey = _filled(drawing, GREY)[0]
    xs = [float(x) for x in re.findall(r"[ML]([\d.]+) ", grey)]
    wide = text_width("blade", 3.2)
    at = float(blade.get("x", "0"))
    left = at - wide if blade.get("text-anchor") == "end" else at
    assert min(abs(left + wide - min(xs)), abs(left - max(xs))) < 2.0


@pytest.mark.parametrize(
    ("room", "row"), [((0.0, 40.0), False), ((14.0, 40.0), False), ((14.0, 26.0), True)]
)
def test_a_cutter_without_room_beside_it_has_a_row_for_its_word(
    room: tuple[float, float], row: bool
) -> None:
    """A blade seen from 20 to 24; its word is some 9 mm wide."""
    made = LabelRoom(*room, 10.0, 14.0, 20.0, 24.0)
    assert needs_row("blade", made) is row
    assert f'y="{14 if row else 10}"' in cutter_label("blade", made)


@pytest.mark.parametrize(
    ("low", "beyond", "end"),
    [(20.0, 14.0, 20.0 - 1.2), (4.0, 14.0, None), (-20.0, 14.0, None), (20.0, 6.0, None)],
)
def test_a_word_in_its_row_under_the_table_is_clear_of_the_lines_from_the_cutter(
    low: float, beyond: float, end: float | None
) -> None:
    """Lines to the dimensions below run down from both sides of the cutter; at the left of it there
    are none. Over a cutter there are none either, and where the left has no room it is the middle.
    """
    label = cutter_label("blade", LabelRoom(14.0, 26.0, 10.0, beyond, low, 24.0))
    x = float(re.search(r' x="([\d.]+)"', label)[1])  # type: ignore[index]
    assert ('text-anchor="end"' in label) is (end is not None)
    assert x == pytest.approx(
        end or max((low + 24.0) / 2, text_width("blade", 3.2) / 2 + 1), abs=0.006
    )
