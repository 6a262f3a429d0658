"""`parts JOB` in every form: text, pages, files for others, JSON."""

from __future__ import annotations

import csv
import io
import json
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import load_workbook

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
    data = (larder / "orders" / "larder-cut-list.csv").read_bytes()
    # Unicode 15, 23.8: the byte order mark of UTF-8; RFC 4180: lines end CRLF
    assert data.startswith(b"\xef\xbb\xbfPiece,") and data.count(b"\n") == data.count(b"\r\n") > 9
    assert next(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))["Piece"] == "stile"
    printed = run("parts", "larder", "--format", "csv").out
    assert printed.startswith("Piece,") and "Width to order (in)" in printed


@pytest.mark.parametrize("name", ["larder", "vestibule"])
def test_csv_and_workbook_count_every_piece_of_the_cut_list_once(
    name: str, request: pytest.FixtureRequest
) -> None:
    """Against the JSON: as many pieces, and as long all together, first blanks with what they have
    over. A unit is 25.4 mm to the inch."""
    folder: Path = request.getfixturevalue(name)
    told = json.loads(run("parts", name, "--json").out)["cut_list"]
    length = sum(
        row["count"] * Fraction(row["rough"]["length"]["mm"]) + Fraction(row["first_longer"]["mm"])
        for row in told
    )
    run("parts", name, "--format", "csv", "--to", "orders")
    text = (folder / "orders" / f"{name}-cut-list.csv").read_text("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    ran = run("parts", name, "--format", "xlsx", "--to", "orders")
    assert ran.code == 0 and ran.out.strip() == f"orders/{name}-parts.xlsx"
    sheet = load_workbook(folder / "orders" / f"{name}-parts.xlsx")["Cut list"]
    heads, *cells = sheet.iter_rows(values_only=True)
    book = [dict(zip(heads, row, strict=True)) for row in cells]
    unit, mm = ("in", Fraction("25.4")) if name == "larder" else ("mm", Fraction(1))
    for found in (rows, book):
        counts = [int(str(row["How many"])) for row in found]
        assert min(counts) > 0 and sum(counts) == sum(row["count"] for row in told)
        sizes = [Fraction(str(row[f"Rough length ({unit})"])) * mm for row in found]
        assert sum(n * size for n, size in zip(counts, sizes, strict=True)) == length
        assert sum(row["What for"] == "first blank" for row in found) == sum(
            Fraction(row["first_longer"]["mm"]) > 0 for row in told
        )


def test_several_forms_go_to_a_folder_at_once(larder: Path) -> None:
    ran = run("parts", "larder", "--format", "csv,xlsx, labels", "--to", "orders")
    names = ("cut-list.csv", "glass-order.csv", "parts.xlsx", "labels.html")
    assert ran.out.split() == [f"orders/larder-{name}" for name in names]
    assert all((larder / path).stat().st_size > 100 for path in ran.out.split())
    ran = run("parts", "larder", "--format", "csv,md")
    assert ran.code == 2 and not ran.out
    assert "expected a folder to write csv,md into: a terminal shows one of them" in ran.err


def test_a_workbook_goes_to_a_folder_alone(larder: Path) -> None:
    ran = run("parts", "larder", "--format", "xlsx")
    assert ran.code == 2 and "--to" in ran.err and not ran.out


def test_a_missing_library_is_told_with_the_name_of_its_extra(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(sys.modules, "setupsheets.sheets.pages.workbook", raising=False)
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    ran = run("parts", "larder", "--format", "xlsx", "--to", "orders")
    assert ran.code == 2 and "extra `spreadsheet`" in " ".join(ran.err.split())
    assert not (larder / "orders").exists()


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
    "options", [["--format", "pdf"], ["--to", "somewhere"], ["--format", "csv,text", "--to", "x"]]
)
def test_forms_that_there_are_not_are_refused(larder: Path, options: list[str]) -> None:
    ran = run("parts", "larder", *options)
    assert ran.code == 2 and "expected" in ran.err
