"""The PDF of the extra: for the paper that is asked for, and with no font on the machine at all.

What is in it is read back by pypdf, a library of others.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.running import run

JOB = Path(__file__).parents[2] / "examples" / "larder" / "jobs" / "larder.yaml"
POINTS = {"A4": (595, 842), "Letter": (612, 792)}
BARE = """<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>{0}/none</dir><cachedir>{0}/cache</cachedir></fontconfig>"""


@pytest.fixture(autouse=True)
def pdf() -> None:
    try:
        import weasyprint  # noqa: F401, PLC0415  slow to import where nothing is printed
    except (ImportError, OSError):
        pytest.skip("the extra `pdf` or the Pango library is not here")


def read(folder: Path, paper: str) -> PdfReader:
    """The PDF in a folder, each of its pages for that paper and saying what it is."""
    (file,) = folder.glob("*.pdf")
    reader = PdfReader(file)
    pages = reader.pages
    assert {(round(p.mediabox.width), round(p.mediabox.height)) for p in pages} == {POINTS[paper]}
    for page in pages:
        head = " ".join(page.extract_text().split())
        assert re.search(
            r"\d+ of \d+ · Larder cupboard doors · \d{4}-\d\d-\d\d · [0-9a-f]{4}-", head
        ), head
    return reader


def test_the_pdf_is_for_the_paper_that_is_asked_for_and_each_page_says_what_it_is(
    tmp_path: Path,
) -> None:
    options = ("--machine", "mortiser", "--format", "pdf", "--paper", "Letter")
    ran = run("sheet", JOB, "--to", tmp_path, *options)
    assert ran.code == 0, ran.err
    assert len(read(tmp_path, "Letter").pages) > 1


def test_a_paper_that_is_none_is_told_with_those_there_are(tmp_path: Path) -> None:
    ran = run("sheet", JOB, "--to", tmp_path, "--format", "pdf", "--paper", "A3")
    assert ran.code == 2 and "A4" in ran.err and not list(tmp_path.iterdir())


def test_without_any_font_on_the_machine_every_label_is_read_back(tmp_path: Path) -> None:
    config = tmp_path / "fonts.conf"
    config.write_text(BARE.format(tmp_path), encoding="utf-8")
    command = [sys.executable, "-W", "ignore", "-m", "setupsheets", "sheet", str(JOB)]
    ran = subprocess.run(
        [*command, "--machine", "table-saw", "--to", str(tmp_path), "--format", "pdf,html"],
        env={**os.environ, "FONTCONFIG_FILE": str(config)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    pages = read(tmp_path, "A4").pages
    assert len(pages) > 2
    words = re.sub(r"\s+", "", "".join(page.extract_text() for page in pages))
    (page,) = tmp_path.glob("*.html")
    labels = set(re.findall(r"<text[^>]*>([^<&]+)</text>", page.read_text("utf-8")))
    assert len(labels) > 15
    lost = {each for each in labels if re.sub(r"\s+", "", each) not in words}
    assert not lost
