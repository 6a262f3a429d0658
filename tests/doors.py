"""Doors of other makers' shops: a shop begun anew, a job written into it, what it prints.

Sizes are invented unless a test says otherwise.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from tests.running import Ran, run

SIZES = {
    "in": {"wide": "16", "high": "32", "stile": "2 1/2", "rail": "3", "haunch": "3/4", "horn": "1",
           "deep": "1 1/2", "gap": "1/16", "glass": "1/8", "bedding": "1/16", "more": "1/4"},
    "mm": {"wide": "420", "high": "820", "stile": "65", "rail": "80", "haunch": "20", "horn": "25",
           "deep": "40", "gap": "2", "glass": "4", "bedding": "2", "more": "6"},
}  # fmt: skip
REBATED_PAIR = """
count: 2
opening:
  width: 48
  height: 72
  pair: rebated
  lap: 3/8
  clearances: {top: 1/8, hinge: 3/32, lock: 1/4, bottom: 3/8, meeting: 5/64}
"""
"""A pair's opening whose gaps are all different; a single leaf's lock has no place in it."""
SECTION = {"in": "ovolo-frame-inch", "mm": "ovolo-frame-metric"}


@cache
def _as_begun(unit: str) -> Mapping[str, bytes]:
    """What `begin` writes, by path: it is the same every time."""
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(folder) / "shop"
        assert run("begin", shop, "--unit", unit, "--yes").code == 0
        files = [path for path in shop.rglob("*") if path.is_file()]
        return {path.relative_to(shop).as_posix(): path.read_bytes() for path in files}


def begun(folder: Path, unit: str) -> Path:
    """A shop as `begin` makes it."""
    shop = folder / f"shop-{unit}"
    for name, content in _as_begun(unit).items():
        file = shop / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    return shop


def put(shop: Path, path: str, text: str) -> Path:
    """A file of the shop, written."""
    file = shop / path
    file.parent.mkdir(exist_ok=True)
    file.write_text(text, "utf-8")
    return file


def door(shop: Path, unit: str, section: str = "", fields: str = "", more: str = "") -> Path:
    """A door of one field without bars, with two rails; ``more`` are further lines of its job."""
    size, of = SIZES[unit], section or SECTION[unit]
    wide, high, stile, rail = (size[key] for key in ("wide", "high", "stile", "rail"))
    has = set(re.findall(r"^(\w+):", more, re.MULTILINE))
    lines = {
        "kind": "job",
        "version": "1",
        "title": "Another door",
        "timber": "white-oak",
        "leaf": f"{{width: {wide}, height: {high}}}",
        "stiles": f"{{section: {of}, width: {stile}, horn: {size['horn']}}}",
        "rails": "\n  - " + "\n  - ".join(
            f"{{name: {name} rail, section: {of}, width: {rail}, haunch: {size['haunch']}}}"
            for name in ("top", "bottom")
        ),
        "fields": fields or "[{fill: glass}]",
        "joints": f"{{rail_mortise: {size['deep']}, gap: {size['gap']}}}",
        "glazing": f"{{thickness: {size['glass']}, clearance: {size['gap']}, "
                   f"bedding: {size['bedding']}}}",
        "allowances": f"{{length: {size['horn']}, width: {size['more']}, "
                      f"thickness: {size['more']}}}",
    }  # fmt: skip
    if "opening" in has:
        del lines["leaf"]
    text = "".join(f"{key}: {value}\n" for key, value in lines.items() if key not in has)
    return put(shop, "jobs/door.yaml", text + more)


def printed(job: Path) -> str:
    """The job's sheets as Markdown."""
    ran = run("sheet", job, "--format", "md", "--to", job.parent / "out")
    assert ran.code == 0, ran.err
    return (job.parent / "out" / f"{job.stem}.md").read_text("utf-8")


def checked(job: Path) -> Ran:
    """What `check` says of the job."""
    return run("check", job)


def operations(sheet: str) -> list[tuple[str, str]]:
    """Every operation of a printed sheet in order: its title and its block."""
    found = re.split(r"^## \*\*[\d–, ]+\*\* ", sheet, flags=re.MULTILINE)[1:]
    return [(text.partition("\n")[0], text.partition("\n")[2]) for text in found]


def blocks(sheet: str) -> dict[str, str]:
    """Every operation of a printed sheet by its title, the later one of two that share a title."""
    return dict(operations(sheet))


def set_to(block: str) -> list[str]:
    """The figures to set of one printed operation, in order."""
    return re.findall(r"\| \*\*([^*]+)\*\*(?: leave it as it is from operation \d+)? \|", block)
