"""`parts JOB` in every form: text, pages, files for others, JSON."""

from __future__ import annotations

import csv
import io
import json
from fractions import Fraction
from pathlib import Path

import pytest

from tests.running import run


def test_all_of_the_job_is_printed(larder: Path) -> None:
    ran = run("parts", "larder")
    assert ran.code == 0
    for title in (
        *("Three lengths", "From the opening", "Lights, between rebates", "Story stick: stile"),
        *("Spacer blocks", "Cut list", "Boards to buy", "What the seasons do", "Glass to order"),
        *("Beads, mitred", "What to measure before glue", "How the joints may come out"),
    ):
        assert title in ran.out
    assert "qualified glazier" in ran.out


def test_csv_goes_to_files_or_to_the_terminal(larder: Path) -> None:
    ran = run("parts", "larder", "--format", "csv", "--to", "orders")
    assert ran.out.split() == ["orders/larder-cut-list.csv", "orders/larder-glass-order.csv"]
    text = (larder / "orders" / "larder-cut-list.csv").read_text("utf-8")
    assert next(csv.DictReader(io.StringIO(text)))["Piece"] == "stile"
    assert "Width × height to order" in run("parts", "larder", "--format", "csv").out


@pytest.mark.parametrize("form", ["md", "html"])
def test_pages_are_written_whole(larder: Path, form: str) -> None:
    ran = run("parts", "larder", "--format", form, "--to", "out")
    page = (larder / ran.out.strip()).read_text("utf-8")
    assert "Glass to order" in page and "Dry fit" in page
    assert (larder / "out" / "drawings" / "door.svg").is_file() == (form == "md")
    assert run("parts", "larder", "--format", form).out.startswith(page[:200])


def test_json_has_everything_exactly(larder: Path) -> None:
    found = json.loads(run("parts", "larder", "--json").out)
    assert {part["name"] for part in found["parts"]} >= {"stile", "cross bar"}
    # 18 in is 457.2 mm and 41 1/2 in 1054.1 mm: 25.4 mm to the inch
    assert {name: Fraction(each["mm"]) for name, each in found["leaf"].items()} == {
        "width": Fraction("457.2"),
        "height": Fraction("1054.1"),
    }
    part = next(part for part in found["parts"] if part["name"] == "cross bar")
    lengths = [
        Fraction(part[name]["mm"]) / Fraction("25.4") for name in ("face", "back", "overall")
    ]
    assert lengths == [Fraction(57, 4), Fraction(115, 8), Fraction(121, 8)]


def test_a_job_whose_set_ups_cannot_be_worked_out_has_its_parts_all_the_same(larder: Path) -> None:
    shop = larder / "shop.yaml"
    text = shop.read_text("utf-8").replace("    mortiser: mortiser\n", "")
    shop.write_text(text.replace("    drill_press: drill-press\n", ""), "utf-8")
    ran = run("parts", "larder")
    assert ran.code == 0 and "Three lengths" in ran.out and "test piece of" not in ran.out
    assert "first_choice" in ran.err and "test pieces of its set-ups are not counted" in ran.err


@pytest.mark.parametrize(
    "options", [["--format", "pdf"], ["--to", "somewhere"], ["--format", "text", "--to", "x"]]
)
def test_forms_that_there_are_not_are_refused(larder: Path, options: list[str]) -> None:
    ran = run("parts", "larder", *options)
    assert ran.code == 2 and "expected" in ran.err
