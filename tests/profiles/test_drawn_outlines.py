"""Outlines out of SVG and DXF drawings, against the same mouldings by plane geometry.

The drawings are made here, by hand as text or with ezdxf; none of them is anybody's moulding.
"""

from __future__ import annotations

import io
import math
import re
import shutil
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setupsheets.files.faults import DataFaults
from setupsheets.lengths import Length, Unit
from setupsheets.shop.drawn_outlines import CURVE_ERROR, DrawingFault, bezier_parts, drawn_steps
from setupsheets.shop.loading import load
from setupsheets.shop.outlines import Shape, shape_outline
from tests.profiles.test_outlines import area_taken
from tests.running import run

ezdxf = pytest.importorskip("ezdxf", reason="DXF needs the extra `drawings`")
pytest.importorskip("svgelements", reason="SVG needs the extra `drawings`")

SECTION = """kind: section
version: 1
title: A shop's own
member: frame
unit: {unit}
thickness: 1 3/4 in
sticking: {{shape: ovolo, width: {width}, depth: {depth}, outline: {outline}}}
rebate: {{width: 1/2 in, depth: 3/4 in}}
"""


def svg(body: str, size: str = 'width="60mm" height="40mm"', box: str = "0 0 60 40") -> str:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{box}">'
    return f"{head}{body}</svg>"


def points(folder: Path, name: str, text: str | bytes, width: str, depth: str) -> Any:
    """The outline of a section that names a drawing, read by the program's own loader."""
    data = text if isinstance(text, bytes) else text.encode()
    (folder / name).write_bytes(data)
    path = folder / "own.yaml"
    path.write_text(SECTION.format(unit="mm", width=width, depth=depth, outline=name))
    return load(path, "section", Unit.IN).sticking.points()


# An ovolo 10 wide and 10 deep with a quirk of 2, round radius 8: drawn at (20, 5) on its page.
OVOLO = shape_outline(Shape.OVOLO, 10, 10, 2)
SVG_WAYS = {
    "absolute": '<path d="M30 5 V7 A8 8 0 0 0 22 15 H20" fill="none"/>',
    "from the sight edge": '<path d="M20 15 H22 A8 8 0 0 1 30 7 V5"/>',
    "relative, in a moved group": '<g transform="translate(10 -3)">'
    '<path d="m20 8 v2 a8 8 0 0 0 -8 8 h-2"/></g>',
}


def same(found: Any, wanted: Any, within: float) -> bool:
    """Whether every point of one lies on the other, and the ends are the same."""
    return (
        math.dist(found[0], wanted[0]) < 1e-6
        and math.dist(found[-1], wanted[-1]) < 1e-6
        and all(_off(point, wanted) <= within for point in found)
        and all(_off(point, found) <= within for point in wanted)
    )


def _off(point: Any, line: Any) -> float:
    return min(_from_piece(point, a, b) for a, b in pairwise(line))


def _from_piece(p: Any, a: Any, b: Any) -> float:
    along = math.dist(a, b) ** 2
    t = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / along if along else 0.0
    t = min(1.0, max(0.0, t))
    return math.dist(p, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))


@pytest.mark.parametrize("way", SVG_WAYS)
def test_an_ovolo_comes_out_of_svg_as_the_trade_s(way: str, tmp_path: Path) -> None:
    found = points(tmp_path, "mine.svg", svg(SVG_WAYS[way]), "10", "10")
    assert same(found, OVOLO, 0.0101)


def test_a_circle_stays_an_arc_and_an_ellipse_strays_no_further_than_is_stated(
    tmp_path: Path,
) -> None:
    """A quarter of an ellipse 10 by 6, by cosine and sine at a thousand places."""
    drawing = tmp_path / "round.svg"
    drawing.write_text(svg(SVG_WAYS["absolute"]))
    steps: Any = drawn_steps(drawing, Length("10 mm"), Length("10 mm"))
    assert ["centre" in each for each in steps] == [False, True, False]
    found = points(tmp_path, "oval.svg", svg('<path d="M10 0 A10 6 0 0 1 0 6"/>'), "10", "6")
    turns = [index * math.pi / 2000 for index in range(1001)]
    true = [(10 * math.cos(turn), 6 * math.sin(turn)) for turn in turns]
    assert max(_off(point, found) for point in true) <= CURVE_ERROR
    assert 3 < len(found) < 60


def test_svg_in_inches_is_as_large_as_it_says(tmp_path: Path) -> None:
    """A chamfer 3/8 by 3/8 in: it takes half a square of 9.525 mm (plane geometry)."""
    drawing = svg('<path d="M40 10 L10 40"/>', 'width="1in" height="1in"', "0 0 80 80")
    found = points(tmp_path, "c.svg", drawing, "3/8 in", "3/8 in")
    assert [round(each, 6) for point in found for each in point] == [9.525, 0.0, 0.0, 9.525]
    assert area_taken(found) == pytest.approx(9.525**2 / 2)


def test_a_curve_strays_no_further_than_is_stated(tmp_path: Path) -> None:
    """One cubic Bezier from (10, 0) to (0, 10), worked out here at a thousand places."""
    control = [(10.0, 0.0), (9.0, 6.0), (2.0, 3.0), (0.0, 10.0)]
    drawing = svg('<path d="M10 0 C 9 6 2 3 0 10"/>')
    found = points(tmp_path, "b.svg", drawing, "10", "10")
    steps = [index / 1000 for index in range(1001)]
    weights = [((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3) for t in steps]
    true = [
        tuple(sum(w * p[axis] for w, p in zip(each, control, strict=True)) for axis in (0, 1))
        for each in weights
    ]
    assert max(_off(point, found) for point in true) <= CURVE_ERROR
    assert len(found) < 60


@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=3, max_size=4))
def test_chords_of_any_bezier_stay_within_the_bound(control: list[tuple[float, float]]) -> None:
    count = bezier_parts(control, 0.05)

    def at(t: float) -> tuple[float, float]:
        row = control
        while len(row) > 1:  # de Casteljau
            row = [((1 - t) * a[0] + t * b[0], (1 - t) * a[1] + t * b[1]) for a, b in pairwise(row)]
        return row[0]

    for index in range(min(count, 12)):
        ends = at(index / count), at((index + 1) / count)
        middle = at((index + 0.5) / count)
        assert _from_piece(middle, *ends) <= 0.05 + 1e-9


# ---------------------------------------------------------------------------------------------- DXF


def dxf(draw: Callable[[Any], object], unit: int = 4) -> bytes:
    made = ezdxf.new("R2010")
    made.header["$INSUNITS"] = unit
    draw(made.modelspace())
    into = io.StringIO()
    made.write(into)
    return into.getvalue().encode()


def loose_pieces(space: Any) -> None:
    """Lines and an arc in no order, y upwards: the quarter round about (30, 85), radius 8."""
    space.add_line((20, 85), (22, 85))
    space.add_arc((30, 85), 8, 90, 180)
    space.add_line((30, 93), (30, 95))


def polyline(space: Any) -> None:
    """The same as one polyline; a bulge is the tangent of a quarter of the arc's angle."""
    bulge = math.tan(math.pi / 8)
    space.add_lwpolyline([(30, 95, 0), (30, 93, bulge), (22, 85, 0), (20, 85, 0)], format="xyb")


def vast(space: Any) -> None:
    space.add_open_spline([(9e9, 0, 0), (9e9, -6, 0), (2, -3, 0), (0, -9e9, 0)], degree=3)


def two_lines(space: Any) -> None:
    space.add_line((9, 9), (5, 5))
    space.add_line((4, 4), (0, 0))


@pytest.mark.parametrize("draw", [loose_pieces, polyline])
def test_an_ovolo_comes_out_of_dxf_as_the_trade_s(
    draw: Callable[[Any], object], tmp_path: Path
) -> None:
    assert same(points(tmp_path, "mine.dxf", dxf(draw), "10", "10"), OVOLO, 0.0101)


@pytest.mark.parametrize(("unit", "size"), [(1, "1/2 in"), (4, "0.5 mm"), (5, "5 mm")])
def test_dxf_is_in_the_unit_that_its_header_says(unit: int, size: str, tmp_path: Path) -> None:
    drawing = dxf(lambda space: space.add_line((3.5, 2), (3, 1.5)), unit)
    found = points(tmp_path, "c.dxf", drawing, size, size)
    assert found[0][0] == pytest.approx(float(Length(size).mm))


def test_a_spline_comes_out_of_dxf_within_what_is_stated(tmp_path: Path) -> None:
    """A spline of degree 3 with four control points and no inner knot is the Bezier curve."""
    control = [(10, 0), (9, -6), (2, -3), (0, -10)]

    def draw(space: Any) -> None:
        space.add_open_spline([(*each, 0) for each in control], degree=3)

    found = points(tmp_path, "s.dxf", dxf(draw), "10", "10")
    same_curve = points(tmp_path, "s.svg", svg('<path d="M10 0 C 9 6 2 3 0 10"/>'), "10", "10")
    assert same(found, same_curve, 2 * CURVE_ERROR)


# ------------------------------------------------------------------------------------------ refused

REFUSED: list[tuple[str, str, str | bytes, str]] = [
    ("no unit", "a.svg", svg(SVG_WAYS["absolute"], 'width="60" height="40"'), "unit is not stated"),
    ("px", "a.svg", svg(SVG_WAYS["absolute"], 'width="60px" height="40px"'), "unit is not stated"),
    (
        "no viewBox",
        "a.svg",
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm"><path d="M1 0L0 1"/></svg>',
        "unit is not stated",
    ),
    (
        "two paths",
        "a.svg",
        svg('<path d="M9 0 L0 9"/><path d="M30 0 L20 9"/>'),
        "more than one path",
    ),
    ("two runs", "a.svg", svg('<path d="M9 0 L0 9 M30 0 L20 9"/>'), "more than one path"),
    ("closed", "a.svg", svg('<path d="M30 5 L20 15 H30 Z"/>'), "closed"),
    ("nothing", "a.svg", svg(""), "no line, arc or curve"),
    ("mirrored", "a.svg", svg('<path d="M20 5 L30 15"/>'), "sight edge at the left"),
    ("too wide", "a.svg", svg('<path d="M31 5 L20 15"/>'), "11.000 mm wide and 10.000 mm deep"),
    (
        "endless",
        "a.svg",
        svg('<path d="M9e9 0 C 9e9 6e9 2e9 3e9 0 9e9"/>'),
        "more than 5000 pieces",
    ),
    ("climbs", "a.svg", svg('<path d="M30 5 L25 12 L23 9 L20 15"/>'), "may not climb"),
    ("no svg", "a.svg", "<svg", "not readable as SVG"),
    ("not xml", "a.svg", b"\x00\x01\x02", "not readable as SVG"),
    ("entities", "a.svg", f'<!DOCTYPE svg [<!ENTITY a "b">]>{svg("")}', "entities"),
    ("no dxf", "a.dxf", "nothing", "not readable as DXF"),
    ("dxf without unit", "a.dxf", dxf(loose_pieces, 0), "unit is not stated"),
    ("words in it", "a.dxf", dxf(lambda space: space.add_text("9 mm")), "holds a TEXT"),
    (
        "apart",
        "a.dxf",
        dxf(lambda s: (s.add_line((9, 9), (5, 5)), s.add_line((4, 4), (0, 0)))),
        "path",
    ),
]


@pytest.mark.parametrize(
    ("what", "name", "text", "message"), REFUSED, ids=[row[0] for row in REFUSED]
)
def test_a_drawing_that_is_no_outline_is_refused_at_its_line(
    what: str, name: str, text: str | bytes, message: str, tmp_path: Path
) -> None:
    with pytest.raises(DataFaults) as found:
        points(tmp_path, name, text, "10", "10")
    (fault,) = found.value.faults
    assert message in fault.message
    assert str(fault).startswith(f"{tmp_path / 'own.yaml'}:7:")


@pytest.mark.parametrize("name", ["../a.svg", "/tmp/a.svg", "a.png", "svg", "drawings\\\\a.svg"])
def test_only_a_drawing_beside_the_file_can_be_named(name: str, tmp_path: Path) -> None:
    path = tmp_path / "own.yaml"
    path.write_text(SECTION.format(unit="mm", width="10", depth="10", outline=f'"{name}"'))
    with pytest.raises(DataFaults, match=r"moulding\.svg"):
        load(path, "section", Unit.IN)


def test_a_drawing_that_is_not_there_is_told(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(
        SECTION.format(unit="mm", width="10", depth="10", outline="mine.svg")
    )
    with pytest.raises(DataFaults, match=r"mine\.svg: no such file"):
        load(tmp_path / "own.yaml", "section", Unit.IN)


@pytest.mark.parametrize(("library", "name"), [("svgelements", "a.svg"), ("ezdxf", "a.dxf")])
def test_a_library_that_is_not_there_is_named_with_its_extra(
    library: str, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / name).write_bytes(dxf(loose_pieces))
    monkeypatch.setitem(sys.modules, library, None)
    with pytest.raises(DrawingFault, match="extra `drawings`"):
        drawn_steps(tmp_path / name, Length("10 mm"), Length("10 mm"))


# ------------------------------------------------------------------------------------- drawn back


def test_check_draws_back_what_it_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Measured in the drawing: the moulding's piece of wood begins at its sight edge and ends 8 mm
    past the moulding, so that 10 mm are 10 mm."""
    shop = tmp_path / "shop"
    assert run("begin", str(shop), "--unit", "mm").code == 0
    (shop / "sections").mkdir()
    points(shop / "sections", "mine.svg", svg(SVG_WAYS["absolute"]), "10", "10")
    monkeypatch.chdir(shop)
    ran = run("check", "sections/own.yaml", "--draw", "drawn")
    assert ran.code == 0
    assert "drawn/outline-own.svg: The outline of own as it was read" in ran.err
    text = (shop / "drawn" / "outline-own.svg").read_text("utf-8")
    assert "10 mm wide, 10 mm deep" in text and "chords that stray 0.01 mm at most" in text
    found = re.search(
        r'polyline points="([^"]*)" fill="none" stroke="#000" stroke-width="0.35"', text
    )
    assert found
    ring = [tuple(map(float, pair.split(","))) for pair in found[1].split()]
    assert all(_off(point, ring) < 0.02 for point in OVOLO)
    assert max(x for x, _ in ring) == pytest.approx(18.0)


def test_a_door_is_proved_with_a_moulding_out_of_a_drawing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A section and the two bits that work it name one drawing, a hollow over a round as wide and
    deep as the larder's own ovolo; every cut is then proved against it."""
    shop, root = tmp_path / "larder", Path(__file__).parents[2]
    shutil.copytree(root / "examples" / "larder", shop, ignore=shutil.ignore_patterns("records"))
    for kind, names in (
        ("sections", ("ovolo-frame-inch", "ovolo-bar-inch")),
        ("cutters", ("sticking-ovolo-inch", "cope-ovolo-inch")),
    ):
        (shop / kind).mkdir(exist_ok=True)
        for name in names:
            text = (root / "profiles" / kind / f"{name}.yaml").read_text("utf-8")
            changed = text.replace("quirk: 1/16}", "outline: mine.svg}")
            assert changed != text
            (shop / kind / f"{name}.yaml").write_text(changed, "utf-8")
    curve = "M0.375 0 V0.0625 C0.2 0.0625 0.3 0.2 0.15 0.25 A0.125 0.125 0 0 0 0.025 0.375 H0"
    drawing = svg(f'<path d="{curve}"/>', 'width="1in" height="1in"', "0 0 1 1")
    (shop / "sections" / "mine.svg").write_text(drawing, "utf-8")
    monkeypatch.chdir(shop)
    ran = run("check", "jobs/larder.yaml", "--draw", "drawn")
    assert (ran.code, ran.err) == (0, "")
    assert "shapes come out on paper as designed" in ran.out
