"""Rods and templates as they come out of the files: SVG, DXF and PDF are read back and measured.

What is measured is held against plane geometry done by hand from the door's sizes. SVG is read with
the standard library, DXF with ezdxf, PDF with pypdf, which had no part in writing it.
"""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from itertools import combinations, pairwise
from math import dist

import pytest
import typer
from msgspec.structs import replace
from shapely import LineString, box

from setupsheets.commands.shared import printed
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.rods import rods
from setupsheets.lengths import Length, Unit
from setupsheets.sheets.drawings.drawing import SMALL
from setupsheets.sheets.full_size.plate import Ink, Plate, check_scale, hatched
from setupsheets.sheets.full_size.plate_svg import plate_drawing
from setupsheets.sheets.full_size.rod_drawing import rod_plates
from setupsheets.sheets.full_size.templates import templates_plates
from setupsheets.sheets.full_size.tiles import PlatePaper, page_size, pages_html, tiles_of, window
from setupsheets.sheets.letters.letters import text_width
from setupsheets.shop.jobs import Clearances, Fill, Job, Meeting, Opening
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields

ezdxf = pytest.importorskip("ezdxf", reason="DXF needs the extra `dxf`")
pypdf = pytest.importorskip("pypdf", reason="PDF is read back with pypdf")

INCH = 25.4
# The leaf worked by hand: sight opening 18 between stiles 3 wide, sticking 3/8, rebate 7/16, rail
# mortises 1 1/4 without a gap. All marks of its width rod, from the left edge, in inches:
WIDTH_MARKS = [0, 1.75, 2.5625, 2.625, 3, 21, 21.375, 21.4375, 22.25, 24]
# And of its height rod: horns 1 long, haunches 1, three bars 1 1/8 wide between lights of 9 5/32,
# their tenons 1 1/8 wide less nothing, mortises for them at their sight edges.
BARS = [3 + 293 / 32 * n + 1.125 * (n - 1) + more for n in (1, 2, 3) for more in (0, 1.125)]
HEIGHT_MARKS = [-1, 0, 1, 3, *BARS, 43, 45, 46, 47]


def plates_of(job: Job) -> list[Plate]:
    joinery = work_out(job, SECTIONS, FINEST)
    both = rods(joinery.layout)
    return [
        *rod_plates(both, job.title, SIXTY_FOURTHS),
        *templates_plates(joinery, both, job.title, SIXTY_FOURTHS),
    ]


@cache
def plate(name: str) -> Plate:
    (found,) = [each for each in plates_of(leaf()) if each.name == name]
    return found


def places(found: Sequence[float]) -> list[float]:
    """Each place once, in order, to a hundredth of a mm."""
    return sorted({round(each, 2) for each in found})


def pytest_places(inches: Sequence[float]) -> list[float]:
    return places([each * INCH for each in inches])


# ---------------------------------------------------------------------------------------------- SVG


def svg_lines(text: str) -> list[list[tuple[float, float]]]:
    """Every polyline in mm from the drawing's upper left, once its size is that of its viewBox."""
    root = ET.fromstring(text)
    box = [float(each) for each in root.attrib["viewBox"].split()]
    assert root.attrib["width"] == f"{box[2]:.2f}".rstrip("0").rstrip(".") + "mm"
    assert root.attrib["height"] == f"{box[3]:.2f}".rstrip("0").rstrip(".") + "mm"
    group = next(each for each in root if each.tag.endswith("}g"))
    found = re.fullmatch(r"translate\(([-\d.]+) ([-\d.]+)\)", group.attrib["transform"])
    assert found
    dx, dy = map(float, found.groups())
    lines = []
    for each in group:
        if each.tag.endswith("}polyline"):
            pairs = (pair.split(",") for pair in each.attrib["points"].split())
            lines.append([(float(x) + dx, float(y) + dy) for x, y in pairs])
    return lines


def test_svg_has_every_mark_where_the_sizes_put_it() -> None:
    drawn = plate("width-rod")
    lines = svg_lines(plate_drawing(drawn).svg)
    bent = [line for line in lines if len(line) == 4 and line[0][1] > line[-1][1]]
    from_datum = [line[0][0] + drawn.corner[0] for line in bent]
    assert places(from_datum) == pytest.approx(pytest_places(WIDTH_MARKS), abs=0.011)


# ---------------------------------------------------------------------------------------------- DXF


def dxf_marks(name: str, unit: Unit) -> list[float]:
    from setupsheets.sheets.full_size.plate_dxf import plate_dxf  # noqa: PLC0415

    read = ezdxf.read(io.StringIO(plate_dxf(plate(name), unit)))
    assert read.header["$INSUNITS"] == {Unit.IN: 1, Unit.MM: 4}[unit]
    assert not read.audit().errors
    marks = read.modelspace().query('LWPOLYLINE[layer=="marks"]')
    return [mark.get_points("xy")[0][0] for mark in marks]


@pytest.mark.parametrize(
    ("name", "marks"), [("width-rod", WIDTH_MARKS), ("height-rod", HEIGHT_MARKS)]
)
def test_dxf_has_every_mark_in_the_unit_that_it_states(name: str, marks: list[float]) -> None:
    in_inches, in_mm = dxf_marks(name, Unit.IN), dxf_marks(name, Unit.MM)
    assert sorted(in_inches) == pytest.approx(sorted(marks), abs=1e-6)
    assert sorted(in_mm) == pytest.approx(sorted(mark * INCH for mark in marks), abs=1e-5)


def test_dxf_has_the_sections_at_full_size_on_their_layer() -> None:
    from setupsheets.sheets.full_size.plate_dxf import plate_dxf  # noqa: PLC0415

    read = ezdxf.read(io.StringIO(plate_dxf(plate("width-rod"), Unit.IN)))
    sections = read.modelspace().query('LWPOLYLINE[layer=="section"]')
    boxes = [list(zip(*each.get_points("xy"), strict=True)) for each in sections]
    spans = sorted((min(x), max(x), min(y), max(y)) for x, y in boxes)
    assert len(spans) == 2 and all(each.closed for each in sections)
    assert spans[0] == pytest.approx((0, 3, -1.375, 0))
    assert spans[1] == pytest.approx((21, 24, -1.375, 0))
    lines = {each.dxf.name: each.dxf.linetype.upper() for each in read.layers}
    assert lines["hidden"] == "DASHED"
    assert {lines[each] for each in Ink if each != "hidden"} == {"CONTINUOUS"}


# ---------------------------------------------------------------------------------------------- PDF

Line = list[tuple[float, float]]


def pdf_pages(data: bytes) -> list[tuple[float, float, list[Line]]]:
    """Size of every page in mm, and the lines on it in mm from its upper left corner: what pypdf
    makes of the page's operators and their transformations."""
    pages = []
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        wide, high = (float(each) / 72 * INCH for each in page.mediabox[2:])
        lines: list[Line] = []
        page.extract_text(visitor_operand_before=_gathering(lines, high))
        pages.append((wide, high, lines))
    return pages


def _gathering(lines: list[Line], high: float) -> Callable[..., None]:
    def visit(operator: bytes, operands: Sequence[float], cm: Sequence[float], _tm: object) -> None:
        if operator not in (b"m", b"l"):
            return
        x, y = (float(each) for each in operands)
        a, b, c, d, e, f = cm
        across, up = (a * x + c * y + e) / 72 * INCH, (b * x + d * y + f) / 72 * INCH
        if operator == b"m":
            lines.append([])
        lines[-1].append((across, high - up))

    return visit


def printed_or_skipped(html: str) -> bytes:
    try:
        return printed(html)
    except typer.BadParameter as error:
        pytest.skip(error.message)


def level_lines(lines: Sequence[Line]) -> list[float]:
    return [
        abs(line[1][0] - line[0][0])
        for line in lines
        if len(line) == 2 and abs(line[0][1] - line[1][1]) < 1e-3
    ]


def has(lengths: Sequence[float], wanted: float, within: float = 0.02) -> bool:
    return any(abs(each - wanted) <= within for each in lengths)


@cache
def roll() -> list[tuple[float, float, list[Line]]]:
    plates = [plate("width-rod"), plate("templates")]
    return pdf_pages(printed_or_skipped(pages_html(plates, PlatePaper.ROLL)))


def test_a_roll_has_one_page_to_each_plate_at_full_size() -> None:
    pages = roll()
    assert len(pages) == 2
    wide, _, lines = pages[0]
    assert wide > 24 * INCH
    bent = [line for line in lines if len(line) == 4 and line[0][1] > line[-1][1] + 5]
    starts = sorted(line[0][0] for line in bent)
    assert [each - starts[0] for each in starts] == pytest.approx(
        [each * INCH for each in WIDTH_MARKS], abs=0.02
    )


def test_the_check_scale_measures_right_on_every_page() -> None:
    for _, _, lines in roll():
        level = level_lines(lines)
        assert has(level, 100.0) and has(level, 4 * INCH)
        assert not has(level, 99.0) and not has(level, 4.05 * INCH)


@cache
def tiled(paper: PlatePaper) -> list[tuple[float, float, list[Line]]]:
    return pdf_pages(printed_or_skipped(pages_html([plate("width-rod")], paper)))


def laid_together(pages: Sequence[tuple[float, float, list[Line]]]) -> list[float]:
    """Each page is put where its left register line lies on the right one of the page before it;
    the places of all marks then, from the first one on, in mm."""
    moved, found, before = 0.0, set(), 0.0
    for number, (_, high, lines) in enumerate(pages):
        level = level_lines(lines)
        assert has(level, 100.0) and has(level, 4 * INCH)
        joins = sorted(
            line[0][0]
            for line in lines
            if len(line) == 2
            and line[0][0] == line[1][0]
            and abs(line[1][1] - line[0][1]) > high / 2
        )
        assert len(joins) == (1 if number in (0, len(pages) - 1) else 2)
        if number:
            moved += before - joins[0]
        before = joins[-1]
        bent = [line for line in lines if len(line) == 4 and line[0][1] > line[-1][1] + 5]
        inside = [line[0][0] for line in bent if 12.0 <= line[0][0] <= pages[number][0] - 12.0]
        found |= {round(each + moved, 1) for each in inside}
    places = sorted(found)
    return [each - places[0] for each in places]


@pytest.mark.parametrize("paper", [PlatePaper.A4, PlatePaper.LETTER])
def test_tiles_laid_cross_on_cross_make_the_whole_rod(paper: PlatePaper) -> None:
    """Then every mark must stand at its distance from the datum edge, found on the first page."""
    pages = tiled(paper)
    sizes = {PlatePaper.A4: (210.0, 297.0), PlatePaper.LETTER: (215.9, 279.4)}
    assert all(sorted(page[:2]) == pytest.approx(sizes[paper], abs=0.2) for page in pages)
    assert len(pages) > 2
    assert laid_together(pages) == pytest.approx([each * INCH for each in WIDTH_MARKS], abs=0.15)


def test_tiles_cover_the_whole_plate_and_overlap() -> None:
    drawn = plate("height-rod")
    shown = window((210.0, 297.0))
    tiles = tiles_of(drawn, shown)
    assert max(each.corner[0] + shown[0] for each in tiles) >= drawn.far[0]
    assert max(each.corner[1] + shown[1] for each in tiles) >= drawn.far[1]
    first, second = tiles[0], tiles[1]
    assert first.corner[0] + shown[0] - second.corner[0] == pytest.approx(14.0)


def test_a_rod_longer_than_a_page_of_a_pdf_is_refused_on_a_roll_alone() -> None:
    """ISO 32000-1, Annex C: 14,400 units of 1/72 in are 200 in, value from memory."""
    tall = plates_of(leaf(sight_height="201"))
    with pytest.raises(ValueError, match="height rod is longer"):
        pages_html(tall, PlatePaper.ROLL)
    assert pages_html(tall[:1], PlatePaper.A4)


# ------------------------------------------------------------------------------------------- words


def test_every_mark_is_named_with_its_figure() -> None:
    words = [each.words for each in plate("width-rod").words]
    for wanted in (
        "0 in  outer edge, stile",
        "1 3/4 in  end of tenon, rails and cross bar",
        "2 9/16 in  back shoulder, rails and cross bar",
        "2 5/8 in  face shoulder, rails and cross bar",
        "3 in  sight edge, stile",
        "21 3/8 in  face shoulder, rails and cross bar",
        "24 in  outer edge, stile",
    ):
        assert wanted in words
    said = "All figures from the left edge of the leaf, seen from outside; the other edge is 24 in"
    assert f"{said} from it." in plate("width-rod").notes
    let = "1 in  mortise for the bottom rail starts; mortise for the haunch of the bottom rail ends"
    assert let in [each.words for each in plate("height-rod").words]


def test_no_words_of_marks_lie_on_each_other() -> None:
    for each in plates_of(leaf()) + plates_of(replace(two_fields(Fill.PANEL), title="Two")):
        upright = sorted(word.at[0] for word in each.words if word.upright)
        assert all(b - a > 4.5 for a, b in pairwise(upright))


def test_what_is_left_on_for_fitting_is_told() -> None:
    opening = Opening(inches("24 1/4"), inches("46 5/8"), fitting=inches("1/8"))
    drawn, *_ = plates_of(replace(leaf(), leaf=None, opening=opening))
    assert "1/8 in of that is left on, to be planed off as it is fitted." in drawn.notes
    assert not any("left on" in note for note in plate("height-rod").notes)


def test_templates_have_each_section_cope_and_moulding_once_at_its_size() -> None:
    words = " ".join(each.words for each in plate("templates").words)
    assert words.count("section:") == 2 and words.count("end:") == 1
    assert words.count("moulding:") == 1 and words.count("reverse:") == 1
    assert "section: top rail, bottom rail and stile 3 in × 1 3/8 in" in words
    assert "end: top rail, bottom rail and cross bar, into the stile" in words
    areas = [
        (max(x for x, _ in s.points) - min(x for x, _ in s.points))
        for s in plate("templates").strokes
        if s.ink == "section"
    ]
    assert any(each == pytest.approx(3 * INCH) for each in areas)
    assert any(each == pytest.approx(1.125 * INCH) for each in areas)
    # an end: reach 1 1/4 and twice the thickness of wood; both ends have the same mortise depth
    assert any(each == pytest.approx((1.25 + 1.375) * INCH, abs=0.01) for each in areas)


def test_a_rod_in_mm_says_mm() -> None:
    metric = replace(SIXTY_FOURTHS, unit=Unit.MM, finest=SIXTY_FOURTHS.finest.__class__(1, 2))
    layout = work_out(leaf(), SECTIONS, Length("0.5 mm")).layout
    drawn = next(iter(rod_plates(rods(layout), "Door", metric)))
    assert all(" in  " not in each.words for each in drawn.words if each.upright)
    assert any(each.words.startswith("76 mm  ") for each in drawn.words)


@pytest.mark.parametrize("high", ["33", "12"])
def test_templates_lie_apart_in_rows_with_their_words_below(high: str) -> None:
    """8 mm from each other, in rows of 172 mm at the most; lines of words 4.6 mm apart, the first
    of them so far below its shape that its letters are clear of it; 6 mm around all."""
    found = [each for each in plates_of(leaf(sight_height=high)) if each.name[:9] == "templates"]
    for drawn in found:
        boxes, lines = [], {word.at: word.words for word in drawn.words}
        for ring in (each.points for each in drawn.strokes if each.ink == "section"):
            (left, *_, right), (top, *_, foot) = (sorted(axis) for axis in zip(*ring, strict=True))
            first, count = foot + 1 + 0.8 * 4.6, 0
            while (said := _at(lines, left, first + 4.6 * count)) is not None:
                right, count = max(right, left + text_width(said, SMALL)), count + 1
            assert count >= 2, "it says what it is"
            boxes.append((left, top, right, foot + 1 + 4.6 * count))
        assert drawn.corner == (-6, -6) and min(each[0] for each in boxes) == pytest.approx(0)
        far = [max(each[at] for each in boxes) + 6 for at in (2, 3)]
        assert drawn.far == pytest.approx(far) and far[0] <= 172 + 6
        for one, other in combinations(boxes, 2):
            beside = max(other[0] - one[2], one[0] - other[2])
            below = max(other[1] - one[3], one[1] - other[3])
            assert max(beside, below) >= 8 - 1e-6
        rows = sorted({round(each[1], 3) for each in boxes})
        for row, after in pairwise(rows):
            mine = [each for each in boxes if round(each[1], 3) == row]
            assert after == pytest.approx(max(each[3] for each in mine) + 8, abs=0.01)
            at = next(each for each in boxes if round(each[1], 3) == after and each[0] < 1e-6)
            assert max(each[2] for each in mine) + 8 + (at[2] - at[0]) > 172, "it had no room"
        for each in (each.points for each in drawn.strokes if each.ink == "hatching"):
            inside = [
                box for box in boxes
                if all(box[0] - 0.01 <= x <= box[2] + 0.01 and box[1] - 0.01 <= y <= box[3] + 0.01
                       for x, y in each)
            ]  # fmt: skip
            assert len(inside) == 1


def _at(lines: Mapping[tuple[float, float], str], x: float, y: float) -> str | None:
    near = (words for at, words in lines.items() if dist(at, (x, y)) < 0.01)
    return next(near, None)


@pytest.mark.parametrize(("left", "right"), [(10.0, 40.0), (-40.0, -8.0)])
def test_a_section_is_hatched_by_slanting_lines_3_mm_apart(left: float, right: float) -> None:
    """At 45 degrees, over all of it and nothing else."""
    area = box(left, 20.0, right, 30.0).difference(box(left + 10, 20.0, left + 15, 25.0))
    lines = [LineString(each.points) for each in hatched(area)]
    assert all(each.within(area.buffer(1e-6)) for each in lines)
    sums = sorted({round(x + y, 6) for each in lines for x, y in each.coords})
    steps = [after - before for before, after in pairwise(sums)]
    assert all(each == pytest.approx(3 * 2**0.5, abs=1e-4) for each in steps)
    assert sums[0] - (left + 20) < 3 * 2**0.5 and right + 30 - sums[-1] < 3 * 2**0.5
    whole = sum(each.length for each in lines) * 3
    assert whole == pytest.approx(area.area, rel=0.05)


def test_the_check_scale_has_a_tick_for_each_centimetre_and_quarter_inch() -> None:
    """Longer ones at 50 mm and at whole inches."""
    strokes, words = check_scale((5.0, 7.0))
    assert [(each.at, each.words) for each in words] == [
        ((106.5, 11.0), "100 mm"), ((5 + 4 * INCH + 1.5, 16.0), "4 in"),
    ]  # fmt: skip
    for base, unit, count, long in ((11.0, 10.0, 10, 5), (16.0, INCH / 4, 16, 4)):
        mine = [each.points for each in strokes if each.points[0][1] == base]
        (bar,) = [each for each in mine if each[0][1] == each[1][1]]
        assert bar == ((5.0, base), (5 + unit * count, base))
        ticks = {each[0][0]: each[0][1] - each[1][1] for each in mine if each != bar}
        assert ticks == {
            5.0 + unit * at: pytest.approx(2.0 if at % long else 3.5) for at in range(count + 1)
        }


@pytest.mark.parametrize("paper", [PlatePaper.A4, PlatePaper.LETTER])
def test_templates_are_not_cut_by_a_tile_as_far_as_one_holds_them(paper: PlatePaper) -> None:
    """But for a rail 10 in wide, which lies on a page of its own."""
    rails = (*leaf().rails[:1], replace(leaf().rails[1], width=inches("10")))
    found = plates_of(replace(leaf(sight_height="33"), rails=rails))
    plates = [each for each in found if each.name.startswith("templates")]
    assert len(plates) > 1
    tiles = [len(tiles_of(each, window(page_size(each, paper)))) for each in plates]
    assert tiles[:-1] == [1] * (len(plates) - 1)
    widths = [each.width / INCH for each in plates]
    assert widths[-1] > 10 > max(widths[:-1])


# -------------------------------------------------------------------------------------------- pairs


def pair(meeting: Meeting, lap: str = "0") -> Plate:
    """The leaf as one of a pair, each leaf's share of the gap 1/16."""
    gaps = Clearances(meeting=Length("1/16 in"))
    opening = Opening(Length("48 3/8 in"), Length("46 5/8 in"), gaps, meeting, Length(f"{lap} in"))
    job = replace(leaf(), leaf=None, opening=opening, count=2)
    return plates_of(job)[-1]


def spans(drawn: Plate, high: float) -> list[tuple[float, float]]:
    """From where to where each shape of the last row reaches at a height below its face, in in."""
    shapes = [each.points for each in drawn.strokes if each.ink == "section"][-2:]
    found = []
    for ring in shapes:
        top = min(y for _, y in ring)
        level = top + high * INCH
        cut = [
            a[0] + (level - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
            for a, b in pairwise(ring)
            if (a[1] > level) != (b[1] > level)
        ]
        found.append((min(cut) / INCH, max(cut) / INCH))
    return sorted(found)


def test_meeting_stiles_of_a_plain_pair_stand_a_gap_apart() -> None:
    """Two leaves with 1/16 each: 1/8 between stiles that are 3 wide."""
    for high in (0.5, 1.0):
        (_, left), (right, _) = spans(pair(Meeting.PLAIN), high)
        assert right - left == pytest.approx(0.125, abs=1e-6)


def test_meeting_stiles_of_a_rebated_pair_lap_and_keep_the_gap_at_both_faces() -> None:
    """Lap 1/2, half the thickness each: the gap lies the lap further left at the back."""
    drawn = pair(Meeting.REBATED, "1/2")
    (_, left), (right, _) = spans(drawn, 0.5)
    (_, behind), (across, _) = spans(drawn, 1.0)
    assert right - left == pytest.approx(0.125, abs=1e-6)
    assert across - behind == pytest.approx(0.125, abs=1e-6)
    assert left - behind == pytest.approx(0.5, abs=1e-6)
