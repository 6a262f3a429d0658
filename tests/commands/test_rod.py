"""`rod JOB`: what it writes, and what it refuses."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from setupsheets.commands import rod
from tests.running import run
from tests.sheets.drawn_lines import read_svg


def test_rods_and_templates_are_written_as_drawings(larder: Path) -> None:
    ran = run("rod", "larder")
    names = ["height-rod", "width-rod", "templates-1", "templates-2"]
    assert ran.out.split() == [str(larder / f"rods/larder-{name}.svg") for name in names]
    text = (larder / "rods" / "larder-width-rod.svg").read_text("utf-8")
    assert "1 7/8 in  face shoulder, rails and cross bar, left leaf" in text
    # 36 3/8 less 1/8 at either jamb; two leaves of 18 with 1/8 between them
    assert "the right leaf's right edge is 36 1/8 in from it." in text
    parts = "gap 1/8 in, leaf 18 in, gap 1/8 in, leaf 18 in, gap 1/8 in"
    assert f"The opening is 36 3/8 in wide: {parts}." in text


def test_each_field_that_differs_has_its_own_width_rod(
    vestibule: Path,
) -> None:
    ran = run("rod", "vestibule", "--to", "out")
    assert [Path(line).name for line in ran.out.split()][:4] == [
        *("vestibule-height-rod.svg", "vestibule-width-rod-1.svg"),
        *("vestibule-width-rod-2.svg", "vestibule-templates-1.svg"),
    ]
    text = (vestibule / "out" / "vestibule-width-rod-2.svg").read_text("utf-8")
    assert "Vestibule door: width rod, field 2 from the top" in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--format", "png"), "expected any of svg, dxf, pdf, found png"),
        (("--format", "svg,dwg"), "found dwg"),
        (("--paper", "A3"), "expected one of roll, A4, Letter, found A3"),
    ],
)
def test_what_is_not_known_is_refused_with_what_is(
    larder: Path, arguments: tuple[str, ...], said: str
) -> None:
    ran = run("rod", "larder", *arguments)
    assert ran.code == 2 and said in ran.err
    assert f"Error: Invalid value for {arguments[0]}: expected " in ran.err
    assert not (larder / "rods").exists()


@pytest.mark.parametrize(
    ("library", "form", "extra"), [("ezdxf", "dxf", "drawings"), ("weasyprint", "pdf", "pdf")]
)
def test_a_library_that_is_not_there_is_named_with_how_to_get_it(
    larder: Path, monkeypatch: pytest.MonkeyPatch, library: str, form: str, extra: str
) -> None:
    monkeypatch.setitem(sys.modules, library, None)
    monkeypatch.delitem(sys.modules, "setupsheets.sheets.full_size.plate_dxf", raising=False)
    ran = run("rod", "larder", "--format", form)
    assert ran.code == 2 and f"extra `{extra}`" in " ".join(ran.err.replace("│", " ").split())
    assert not (larder / "rods").exists()


def test_a_design_that_cannot_be_made_is_told_and_nothing_drawn(larder: Path) -> None:
    job = larder / "jobs" / "larder.yaml"
    job.write_text(job.read_text("utf-8").replace("rail_mortise: 1 1/2", "rail_mortise: 3"))
    ran = run("rod", "larder")
    assert ran.code == 1 and "larder.yaml" in ran.err
    assert not (larder / "rods").exists()


@pytest.mark.parametrize(("paper", "name"), [("roll", "rods"), ("A4", "rods-A4")])
def test_rods_to_print_lie_on_the_paper_that_is_named(
    larder: Path, monkeypatch: pytest.MonkeyPatch, paper: str, name: str
) -> None:
    """A roll is as long as the rod, A4 measures 210 by 297 mm (ISO 216); what prints stands in."""
    monkeypatch.setattr(rod, "printed", lambda page: page.encode())
    ran = run("rod", "larder", "--format", "pdf", "--paper", paper, "--to", "out")
    assert (ran.code, ran.out.split()) == (0, [str(Path("out") / f"larder-{name}.pdf")])
    page = (larder / "out" / f"larder-{name}.pdf").read_text("utf-8")
    sizes = {tuple(map(float, each)) for each in re.findall(r"size: (\S+)mm (\S+)mm;", page)}
    assert (sizes <= {(210.0, 297.0), (297.0, 210.0)}) is (paper == "A4")
    assert (max(map(max, sizes)) > 36.125 * 25.4) is (paper == "roll")
    drawn = [read_svg(svg, name) for svg in re.findall(r"<svg.*?</svg>", page)]
    for each in drawn if paper == "roll" else ():  # between margins of 12 mm, and right up to them
        boxes = [said.box for said in each.words]
        boxes += [(*line.start, *line.end) for line in each.lines]
        for near, far, size in ((0, 2, each.width), (1, 3, each.height)):
            assert 12 <= min(min(box[near], box[far]) for box in boxes) < 25
            assert size - 25 < max(max(box[near], box[far]) for box in boxes) <= size - 12
