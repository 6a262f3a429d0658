"""Both examples on paper: pages, white at the foot, sizes of type, letters lost, by engine.

    python -m tests.benchmarks.paper

Chromium and WeasyPrint print each example on A4 and on Letter; poppler's pdftoppm and pypdf
read what they made. White is what of a page between its margins lies below the last ink. A label
is lost where its words reach out of their drawing, with any of three fonts in place of the page's.
WeasyPrint leaves the letters of drawings in mm: 3.2 in its column is 9.1 pt.
"""

from __future__ import annotations

import datetime
import io
import math
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from setupsheets.machining.plan import joinery_of, plan_job
from setupsheets.records.shop_records import ShopRecords
from setupsheets.sheets.content.asked_for import with_asked
from setupsheets.sheets.letters.letters import font_faces
from setupsheets.sheets.making import make_sheets
from setupsheets.sheets.pages.pages import to_html
from setupsheets.shop.finding import Shop
from tests.browser.questions import LOST_LABELS

EXAMPLES = Path(__file__).parents[2] / "examples"
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN = 7.0
FONTS = ("DejaVu Sans", "Liberation Serif", "DejaVu Sans Mono")
DOTS = 60  # to the inch, for measuring white


def html_of(name: str) -> str:
    """An example's sheets as the program writes them today."""
    shop = Shop.open(EXAMPLES / name)
    job = shop.job(name)
    plan = plan_job(job, joinery_of(job, shop), shop)
    return to_html(
        with_asked(make_sheets(ShopRecords(shop), plan, datetime.date.today()).content, ())
    )


def whites(pdf: bytes) -> Iterator[float]:
    """The part of each page between its margins that is white at its foot."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["pdftoppm", "-gray", "-r", str(DOTS), "-", f"{folder}/page"]
        subprocess.run(command, input=pdf, check=True)
        for path in sorted(Path(folder).iterdir()):
            found = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", path.read_bytes())
            assert found
            wide, high = int(found[1]), int(found[2])
            dots = np.frombuffer(path.read_bytes()[found.end() :], np.uint8).reshape(high, wide)
            last = np.flatnonzero((dots < 200).any(axis=1)).max(initial=0)
            margin = MARGIN / 25.4 * DOTS
            yield float((high - margin - last) / (high - 2 * margin))


def sizes(pdf: bytes) -> dict[float, int]:
    """How many letters of words there are in each size, in points."""
    from pypdf import PdfReader  # noqa: PLC0415

    found: dict[float, int] = {}

    def seen(words: str, page: list[float], line: list[float], _: Any, size: float) -> None:
        turned = page[0] * page[3] - page[1] * page[2], line[0] * line[3] - line[1] * line[2]
        points = round(size * math.sqrt(abs(turned[0] * turned[1])), 1)
        found[points] = found.get(points, 0) + len(words.strip())

    for page in PdfReader(io.BytesIO(pdf)).pages:
        page.extract_text(visitor_text=seen)
    return {size: count for size, count in found.items() if count}


def told(name: str, engine: str, paper: str, pdf: bytes) -> None:
    """One line of the table."""
    white = list(whites(pdf))
    least = min(sizes(pdf))
    print(
        f"{name:10} {engine:10} {paper:7} {len(white):5}   {np.mean(white):5.0%} {max(white):5.0%}"
        f" {sum(each > 1 / 3 for each in white):6}   {least:5.1f}  {max(sizes(pdf)):5.1f}"
    )


def main() -> None:
    """Prints one table for the engines that are there, and says which are not."""
    path = shutil.which("chromium")
    if not shutil.which("pdftoppm") or path is None:
        sys.exit("pdftoppm (poppler) and chromium are needed")
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    pages = {name: html_of(name) for name in ("larder", "vestibule")}
    print("job        engine     paper   pages   white: mean most over 1/3   type: least most, pt")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        page = browser.new_page()
        for name, html in pages.items():
            page.set_content(html)
            for paper in PAPERS:
                made = page.pdf(
                    format=paper,
                    margin={"top": "7mm", "bottom": "7mm", "left": "7mm", "right": "7mm"},
                )
                told(name, "Chromium", paper, made)
            for font in FONTS:
                other = html.replace(font_faces(), "").replace("Setupsheets Sans", font)
                page.set_content(other)
                lost = page.evaluate(LOST_LABELS)
                print(f"{name:10} in {font}: {len(lost)} labels lost {lost[:5]}")
        browser.close()
    from weasyprint import HTML  # noqa: PLC0415

    for name, html in pages.items():
        for paper in PAPERS:
            sized = html.replace("size: auto;", f"size: {paper};")
            told(name, "WeasyPrint", paper, HTML(string=sized).write_pdf())


if __name__ == "__main__":
    main()
