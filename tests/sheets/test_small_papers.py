"""The card for the nail and the labels for parts, against what `recall` and `parts` say."""

from __future__ import annotations

import json
import re
import shutil
from html import unescape
from pathlib import Path

import pytest

from tests.doors import begun, door
from tests.running import run
from tests.sheets.sheet_plans import EXAMPLES


@pytest.fixture
def larder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    copy = tmp_path / "larder"
    shutil.copytree(EXAMPLES / "larder", copy)
    monkeypatch.chdir(copy)
    return copy


def words(page: str) -> str:
    """A page's own words, without style and tags."""
    body = page.partition("<body>")[2]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


@pytest.mark.parametrize(
    ("asked", "kept"),
    [
        (("cross-bar", "cope", "2022"), "on the nail over the crosscut saw, marked 2022"),
        (("bar-grooved", "2019"), None),
    ],
)
def test_a_card_has_the_figures_of_then(larder: Path, asked: tuple[str, ...],
                                        kept: str | None) -> None:  # fmt: skip
    """What `recall` calls dialled then, its record and date, where the test piece hangs."""
    told = json.loads(run("recall", *asked, "--json").out)["recalled"]
    ran = run("recall", *asked, "--card", larder / "card.html")
    assert ran.code == 0, ran.err
    page = (larder / "card.html").read_text("utf-8")
    said = words(page)
    record = told["record"]
    kept = kept or record["kept"]
    for each in told["settings"]:
        dialled, aim = (each[name]["words"] for name in ("then_dialled", "then_aim"))
        row = f"{each['title']} {dialled} aim {aim}"
        assert row in said.replace("\u00a0", " ")
    assert f"Date {record['date']}" in said and f"Hangs {kept}" in said
    assert record["name"] in said and "proved with" in said
    labels = ("Date", "Stands", "Hangs", "Set-up", "Job", "Section", "Timber", "Parts", "Cutters")
    assert re.search(" .+ ".join(labels), said)
    assert "size: 105mm 148mm" in page
    assert re.search(r"<title>[^<]+: card</title>", page)
    assert "cut a test piece before any part" in said


def test_a_card_tells_sizes_by_the_rule_and_the_cutters_that_are_named(larder: Path) -> None:
    """9.7 mm is 3/8 in and .007 over; a dial whose cutter is not kept names none."""
    for path in (larder / "records").glob("2022*.yaml"):
        text = path.read_text("utf-8").replace("    cutter: cope-ovolo-inch\n", "")
        text = text.replace("aim: 3/8 in", "aim: 9.7 mm").replace(
            "target: 14 3/8 in", "target: 367 mm"
        )
        path.write_text(text, "utf-8")
    ran = run("recall", "cross-bar", "cope", "2022", "--card", larder / "card.html")
    assert ran.code == 0, ran.err
    said = words((larder / "card.html").read_text("utf-8")).replace("\u00a0", " ")
    assert "aim 3/8 in full by .007 in" in said
    assert "14 29/64 in scant by .004 in" in said
    cutters = re.search(r"Cutters (.*?) (?:Notes|Dial|Set)", said)
    assert cutters and " and" not in cutters[1] and "," not in cutters[1], said


def test_a_card_comes_as_pdf_of_one_page_of_a6(larder: Path) -> None:
    """105 by 148 mm: ISO 216. It says what the page of the same set-up says."""
    from pypdf import PdfReader  # noqa: PLC0415

    asked = ("cross-bar", "cope", "2022")
    for name in ("card.html", "card.pdf"):
        ran = run("recall", *asked, "--card", larder / name)
        if "Pango" in ran.err:
            pytest.skip("WeasyPrint finds no Pango library here")
        assert ran.code == 0, ran.err
    (page,) = PdfReader(larder / "card.pdf").pages
    size = [float(each) * 25.4 / 72 for each in (page.mediabox.width, page.mediabox.height)]
    assert size == pytest.approx([105, 148], abs=0.5)
    said = words((larder / "card.html").read_text("utf-8")).split()
    told = "".join(page.extract_text().split()).replace("\u00a0", "")
    figures = [each for each in said if any(c.isdigit() for c in each)]
    assert len(figures) > 15 and all(each.replace("\u00a0", "") in told for each in figures)


def test_a_card_tells_what_is_not_proved_and_reloads_itself(larder: Path) -> None:
    found = [f"--found={each}" for each in ("near_wall=3/8", "mortise_depth=1 17/32")]
    logged = run("log", "larder", "mortise-chisel/stile-for-bottom-rail", "--date", "2026-03-14",
                 *found, "--kept", "in the drawer")  # fmt: skip
    assert logged.code == 0, logged.err
    assert run("recall", "mortise-chisel", "--card", larder / "card.html").code == 0
    said = words((larder / "card.html").read_text("utf-8")).replace("\u00a0", " ")
    assert "Stands open after 1 test piece, not proved" in said
    assert "1 17/32 in 1 1/2 in" in said  # found, should be
    again = re.search(r"setupsheets (recall \S+ 2026-03-14)", said)
    assert again and "mortise-chisel/stile-for-bottom-rail" in run(*again[1].split()).out


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_every_part_of_every_leaf_has_its_label(tmp_path: Path, unit: str) -> None:
    job = door(begun(tmp_path, unit), unit, more="count: 3\n")
    table = run("parts", job, "--format", "md").out.partition("| Part | How many |")[2]
    rows = re.findall(r"^\| (.+?) \| (\d+) \| (.*) \|$", table.partition("\n\n")[0], re.MULTILINE)
    ran = run("parts", job, "--format", "labels", "--to", tmp_path)
    assert ran.code == 0, ran.err
    page = (tmp_path / "door-labels.html").read_text("utf-8")
    labels = [words(f"<body>{each}").replace("\u00a0", " ")
              for each in page.split('<div class="label">')[1:]]  # fmt: skip
    assert len(rows) == 3 and len(labels) == sum(int(count) for _, count, _ in rows)
    for name, count, sizes in rows:
        mine = [each for each in labels if each.startswith(name)]
        assert len(mine) == len({*mine}) == int(count)
        assert all(size.strip() in each for each in mine for size in sizes.split("|"))
        assert all(sum(f"leaf {leaf} of 3" in each for each in mine) == int(count) / 3
                   for leaf in (1, 2, 3))  # fmt: skip
    assert not [each for each in labels if re.search(r"\s,|,\s*,", each)]
    assert all("both ends into the stile" in each for each in labels if "rail" in each[:12])
    length = r"[\d /]+ (?:in|mm)"
    ends = rf"(?:face |{length} long, a horn of {length} at each end counted in)"
    assert all(re.search(rf" wide, {length} thick {ends}", each) for each in labels)
    assert all(
        re.search(r"\d of \d, leaf \d of 3 ", each) for each in labels if "stile" in each[:6]
    )


def test_labels_never_say_which_end_where_a_part_lies_either_way_up(larder: Path) -> None:
    """An upright between a rail and a cross bar is the same part above and below."""
    page = words(run("parts", "larder", "--format", "labels").out)
    assert "one end into the cross bar, the other into the bottom rail or top rail" in page
    # 12 1/8 and two tenons of 17/64 are 12 21/32 in, in the marks of a rule.
    assert "face 12 1/8 in, back 12 1/4 in, over the tenons 12 21/32 in" in page.replace(
        "\u00a0", " "
    )
