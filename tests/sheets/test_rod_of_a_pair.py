"""The width rod of a pair, read back from its files: both leaves, their gaps and the opening.

Places are plane arithmetic done by hand, from the left leaf's left edge. The doors are of
`tests/doors.py`: moulding 3/8 in or 10 mm wide, rebate 7/16 in or 12 mm, rail mortises 1 1/2 in or
40 mm deep with 1/16 in or 2 mm left at their bottom. That one meeting stile loses half its
thickness at the face and the other at the back is common practice, no source.
"""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from msgspec.structs import replace
from shapely import Polygon

from setupsheets.sheets.full_size.plate import Ink
from setupsheets.shop.jobs import Fill, Panels
from tests.doors import begun, door
from tests.joinery.designs import inches, two_fields
from tests.running import run
from tests.sheets.test_full_size import (
    INCH,
    has,
    laid_together,
    level_lines,
    pdf_pages,
    plates_of,
    svg_lines,
)

ezdxf = pytest.importorskip("ezdxf", reason="DXF needs the extra `dxf`")

MORE = "count: 2\nopening: {}\n"


class Pair(NamedTuple):
    """A pair's opening and, in its unit, the left leaf's marks and what else is marked."""

    unit: str
    opening: str
    left: list[float]
    span: float
    beyond: list[float]
    total: str
    heights: tuple[float, float]
    named: tuple[str, ...]


PAIRS = {
    # 40 = 1/8 + 20 1/16 + (1/8 - 1/2) + 20 1/16 + 1/8; walls 1/2 behind the outer edges.
    "rebated, in": Pair(
        "in",
        "{width: 40, height: 48, pair: rebated, lap: 1/2}",
        [0, 1.0625, 2.0625, 2.125, 2.5, 17.5625, 17.9375, 18, 19, 19.5625, 20.0625],
        39.75,
        [-0.125, 39.875],
        "The opening is 40 in wide: gap 1/8 in, leaf 20 1/16 in, gap 1/8 in less the lap of "
        "1/2 in, leaf 20 1/16 in, gap 1/8 in.",
        (-0.5, 47.5),
        (
            "−1/8 in  edge of the opening",
            "19 9/16 in  wall of the meeting rebate, meeting stile, left leaf",
            "19 11/16 in  outer edge, meeting stile, right leaf",
            "20 1/16 in  outer edge, meeting stile, left leaf",
            "39 3/4 in  outer edge, stile, right leaf",
        ),
    ),
    # 1010 = 2 + 507.5 + (3 - 12) + 507.5 + 2
    "rebated, mm": Pair(
        "mm",
        "{width: 1010, height: 1240, pair: rebated, lap: 12, "
        "clearances: {top: 3, hinge: 2, bottom: 7, meeting: 1.5}}",
        [0, 27, 53, 55, 65, 442.5, 452.5, 454.5, 480.5, 495.5, 507.5],
        1006,
        [-2, 1008],
        "The opening is 1010 mm wide: gap 2 mm, leaf 507.5 mm, gap 3 mm less the lap of 12 mm, "
        "leaf 507.5 mm, gap 2 mm.",
        (-7, 1233),
        (
            "−2 mm  edge of the opening",
            "498.5 mm  outer edge, meeting stile, right leaf",
            "507.5 mm  outer edge, meeting stile, left leaf",
            "951 mm  face shoulder, rails, right leaf",
        ),
    ),
    # 1010 = 2 + 501.5 + 3 + 501.5 + 2; the strip 32 wide over the middle of the gap, 503
    "astragal, mm": Pair(
        "mm",
        "{width: 1010, height: 1240, pair: astragal, strip_width: 32, strip_thickness: 10, "
        "clearances: {top: 3, hinge: 2, bottom: 7, meeting: 1.5}}",
        [0, 27, 53, 55, 65, 436.5, 446.5, 448.5, 474.5, 501.5],
        1006,
        [-2, 1008, 487, 519],
        "The opening is 1010 mm wide: gap 2 mm, leaf 501.5 mm, gap 3 mm, leaf 501.5 mm, gap 2 mm.",
        (-7, 1233),
        (
            "487 mm  edge of the strip over the gap",
            "501.5 mm  outer edge, meeting stile, left leaf",
            "504.5 mm  outer edge, meeting stile, right leaf",
            "1006 mm  outer edge, stile, right leaf",
        ),
    ),
    # 40 = 1/8 + 19 13/16 + 1/8 + 19 13/16 + 1/8. Each leaf is made 1/4 wider, 20 1/16, with its
    # sight edge 2 1/2 from that; in height the bottom edge is made 1/4 lower than it hangs.
    "fitted, in": Pair(
        "in",
        "{width: 40, height: 48, pair: plain, fitting: 1/4}",
        [0, 1.0625, 2.0625, 2.125, 2.5, 17.5625, 17.9375, 18, 19, 19.8125, 20.0625],
        39.75,
        [-0.125, 39.875],
        "The opening is 40 in wide: gap 1/8 in, leaf 19 13/16 in, gap 1/8 in, leaf 19 13/16 in, "
        "gap 1/8 in.",
        (-0.25, 47.75),
        (
            "19 13/16 in  outer edge, meeting stile, left leaf",
            "20 1/16 in  edge before it is fitted, meeting stile, left leaf",
            "19 15/16 in  outer edge, meeting stile, right leaf",
        ),
    ),
}


@pytest.fixture(scope="module", params=PAIRS)
def drawn(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Pair, Path]:
    """A pair and the folder that its rods were written to, as SVG and DXF."""
    pair, folder = PAIRS[request.param], tmp_path_factory.mktemp("pair")
    job = door(begun(folder, pair.unit), pair.unit, more=MORE.format(pair.opening))
    ran = run("rod", job, "--to", folder / "out", "--format", "svg,dxf")
    assert ran.code == 0, ran.err
    return pair, folder / "out"


def marks_of(pair: Pair) -> list[float]:
    """All places: the right leaf is the left one's mirror image."""
    return sorted({*pair.left, *(pair.span - each for each in pair.left), *pair.beyond})


def rod_file(folder: Path, ending: str) -> Path:
    (found,) = folder.glob(f"*{ending}")
    return found


def test_svg_has_the_opening_and_both_leaves_at_full_size(drawn: tuple[Pair, Path]) -> None:
    pair, folder = drawn
    lines = svg_lines(rod_file(folder, "-width-rod.svg").read_text("utf-8"))
    starts = sorted({line[0][0] for line in lines if len(line) == 4 and line[0][1] > line[3][1]})
    scale, marks = INCH if pair.unit == "in" else 1.0, marks_of(pair)
    assert [each - starts[0] for each in starts] == pytest.approx(
        [(each - marks[0]) * scale for each in marks], abs=0.02
    )


def modelspace(folder: Path, name: str) -> Any:
    return ezdxf.readfile(rod_file(folder, name)).modelspace()


def test_dxf_has_every_mark_of_both_leaves_and_the_opening(drawn: tuple[Pair, Path]) -> None:
    pair, folder = drawn
    found = modelspace(folder, "-width-rod.dxf").query('LWPOLYLINE[layer=="marks"]')
    places = sorted(mark.get_points("xy")[0][0] for mark in found)
    assert places == pytest.approx(marks_of(pair), abs=1e-5)
    upwards = modelspace(folder, "-height-rod.dxf").query('LWPOLYLINE[layer=="marks"]')
    heights = [mark.get_points("xy")[0][0] for mark in upwards]
    for wanted in pair.heights:
        assert has(heights, wanted, 1e-5)


def across(ring: list[tuple[float, float]], level: float) -> list[float]:
    """Where an outline crosses a level."""
    return [
        a[0] + (level - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
        for a, b in pairwise([*ring, ring[0]])
        if (a[1] > level) != (b[1] > level)
    ]


def test_the_wood_at_the_meeting_keeps_the_gap_at_face_and_back(drawn: tuple[Pair, Path]) -> None:
    """At a quarter and at three quarters of the thickness the gap is the same; of a rebated pair
    it lies further left at the back, by the lap."""
    pair, folder = drawn
    found = modelspace(folder, "-width-rod.dxf").query('LWPOLYLINE[layer=="section"]')
    rings = [[(x, y) for x, y in each.get_points("xy")] for each in found]
    wood = [ring for ring in rings if max(y for _, y in ring) < 1e-6]
    assert len(wood) == 4
    deep = min(y for ring in wood for _, y in ring)
    gap, lap = (0.125, 0.5) if pair.unit == "in" else (3.0, 12.0)
    rights = []
    for level in (0.25 * deep, 0.75 * deep):
        spans = sorted((min(at), max(at)) for at in (across(ring, level) for ring in wood))
        assert spans[2][0] - spans[1][1] == pytest.approx(gap, abs=1e-5)
        rights.append(spans[1][1])
    shift = lap if "rebated" in pair.opening else 0.0
    assert rights[0] - rights[1] == pytest.approx(shift, abs=1e-5)
    covers = [ring for ring in rings if ring not in wood]
    if "astragal" in pair.opening:
        (cover,) = covers
        assert sorted(x for x, _ in cover) == pytest.approx([487, 487, 519, 519])
        assert sorted(y for _, y in cover) == pytest.approx([0, 0, 10, 10])
    else:
        assert not covers


def leaning(folder: Path) -> list[tuple[float, float]]:
    """Where the dashed lines of bevels stand at the face, and how far off that at the back."""
    found = modelspace(folder, "-width-rod.dxf").query('LWPOLYLINE[layer=="hidden"]')
    lines = [each.get_points("xy") for each in found]
    return sorted((line[0][0], line[1][0] - line[0][0]) for line in lines if len(line) == 2)


# Architectural Woodwork Standards, 1st edition, 2009: 3 degrees; tan 3 degrees is 0.0524078.
BEVELS = {"in": 1.25 * 0.0524078, "mm": 44 * 0.0524078}


def test_bevels_are_drawn_off_the_back_of_every_edge_that_has_one(
    drawn: tuple[Pair, Path],
) -> None:
    """At both hinge edges, and at both edges of a meeting that is not rebated."""
    pair, folder = drawn
    off = BEVELS[pair.unit]
    wanted = [(0.0, off), (pair.span, -off)]
    if "rebated" not in pair.opening:
        edge = 19.8125 if pair.unit == "in" else 501.5
        wanted += [(edge, -off), (pair.span - edge, off)]
    assert [at for at, _ in leaning(folder)] == pytest.approx([at for at, _ in sorted(wanted)])
    assert [by for _, by in leaning(folder)] == pytest.approx(
        [by for _, by in sorted(wanted)], abs=1e-4
    )
    said = " ".join(words(rod_file(folder, "-width-rod.svg")))
    assert "for pins at the face" in said
    assert ("bevel of the rebated meeting edges is not drawn" in said) == (
        "rebated" in pair.opening
    )
    assert ("the left leaf opens first" in said) == ("rebated" in pair.opening)


@pytest.mark.parametrize("hinge", ["left", "right"])
def test_a_leaf_alone_has_its_lock_bevel_across_from_its_hinges_where_it_hangs(
    hinge: str, tmp_path: Path
) -> None:
    """900 wide less 3 and 3, and 4 left on at the lock edge: 898 as made, 894 as hung."""
    gaps = "clearances: {hinge: 3, lock: 3}"
    opening = f"{{width: 900, height: 1240, hinge: {hinge}, hinge_bevel: 0, fitting: 4, {gaps}}}"
    job = door(begun(tmp_path, "mm"), "mm", more=f"opening: {opening}\n")
    ran = run("rod", job, "--to", tmp_path / "out", "--format", "svg,dxf")
    assert ran.code == 0, ran.err
    ((at, by),) = leaning(tmp_path / "out")
    lock, off = (894.0, -BEVELS["mm"]) if hinge == "left" else (4.0, BEVELS["mm"])
    assert at == pytest.approx(lock)
    assert by == pytest.approx(off, abs=1e-3)


def words(file: Path) -> list[str]:
    return [each.text or "" for each in ET.parse(file).iter() if each.tag.endswith("}text")]


def test_what_is_written_names_the_parts_of_each_leaf(drawn: tuple[Pair, Path]) -> None:
    pair, folder = drawn
    said = words(rod_file(folder, "-width-rod.svg"))
    assert pair.total in said
    for wanted in ("stile", "meeting stile"):
        assert said.count(wanted) == 2
    assert said.count("left leaf") == said.count("right leaf") == 1
    assert set(pair.named) <= set(said)
    assert sum("face shoulder, rails, " in each for each in said) == 4
    assert sum("wall of the meeting rebate" in each for each in said) == (
        2 if "rebated" in pair.opening else 0
    )
    assert sum("edge before it is fitted" in each for each in said) == (
        2 if "fitting" in pair.opening else 0
    )
    upwards = words(rod_file(folder, "-height-rod.svg"))
    assert "Both leaves are alike in height: this one rod is for both." in upwards
    assert sum(each.endswith("  edge of the opening") for each in upwards) == 2


def test_the_template_of_a_section_is_as_wide_as_the_stile_is_made(
    drawn: tuple[Pair, Path],
) -> None:
    """Once for both stiles of both leaves, though the meeting stile is drawn as fitted."""
    pair, folder = drawn
    said = [each for file in folder.glob("*-templates*.svg") for each in words(file)]
    size = "2 1/2 in × 1 1/4 in" if pair.unit == "in" else "65 mm × 44 mm"
    (row,) = [row for row, each in enumerate(said) if "stile" in each and "section:" in each]
    assert said[row + 1].startswith(size)
    assert sum("meeting stiles of the pair" in each for each in said) == 1


@pytest.mark.parametrize(
    ("name", "paper"),
    [("rebated, in", "roll"), ("fitted, in", "roll"), ("astragal, mm", "A4")],
)
def test_on_paper_both_leaves_and_the_check_scale_measure_right(
    tmp_path: Path, name: str, paper: str
) -> None:
    """Of the pages that name the width rod: a roll has one, tiles are laid cross on cross."""
    pypdf = pytest.importorskip("pypdf", reason="PDF is read back with pypdf")
    pair = PAIRS[name]
    job = door(begun(tmp_path, pair.unit), pair.unit, more=MORE.format(pair.opening))
    ran = run("rod", job, "--to", tmp_path / "out", "--format", "pdf", "--paper", paper)
    if "extra" in ran.err:
        pytest.skip(ran.err)
    data = rod_file(tmp_path / "out", ".pdf").read_bytes()
    texts = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages]
    pages = [page for page, text in zip(pdf_pages(data), texts, strict=True) if "width rod" in text]
    scale, marks = INCH if pair.unit == "in" else 1.0, marks_of(pair)
    wanted = [(each - marks[0]) * scale for each in marks]
    if paper == "roll":
        ((_, _, lines),) = pages
        assert has(level_lines(lines), 100.0) and has(level_lines(lines), 4 * INCH)
        bent = {line[0][0] for line in lines if len(line) == 4 and line[0][1] > line[-1][1] + 5}
        found = sorted(bent)
        assert [each - found[0] for each in found] == pytest.approx(wanted, abs=0.03)
    else:
        assert len(pages) > 2
        assert laid_together(pages) == pytest.approx(wanted, abs=0.15)


def test_a_raised_panel_keeps_its_tongue_all_the_way_into_the_groove() -> None:
    """1/2 in thick, its border of 2 in sunk to a tongue of 1/4: 20 3/4 by 1/2 less 2 by 1/4 twice,
    9 3/8 square inches."""
    panels = Panels(inches("1/2"), inches("1/4"), inches("1/2"), inches("1/8"), inches("2"))
    job = replace(two_fields(Fill.GROOVED_PANEL), panels=panels)
    rod = next(each for each in plates_of(job) if each.name.startswith("width-rod-2"))
    (drawn,) = (each.points for each in rod.strokes if each.ink is Ink.PANE)
    assert Polygon(drawn).area / 25.4**2 == pytest.approx(9.375)
