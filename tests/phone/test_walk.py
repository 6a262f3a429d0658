"""One set-up on the phone from the list of jobs to proved, page by page, word by word, as a maker
reads it: what stands there, where each link leads, what each form has in it.

Figures come from the larder job, readings are invented. Each page of `walk.txt` was read as a maker
reads it; one that shows otherwise is read anew before it is put there.
"""

from __future__ import annotations

import re
from pathlib import Path

from tests.commands.test_bench import CROSS_BAR, found
from tests.phone.phones import DAY, TOKEN, Phone, set_up_path
from tests.phone.shown import shown
from tests.running import run

WALK = Path(__file__).parent / "walk.txt"
STICKING = set_up_path("larder", "sticking-router-table")
DRY_FIT = set_up_path("larder", "dry-fit")
METRIC = set_up_path("vestibule", "sticking-router-table")
KEEP = "Keep it, next line"


class Pages:
    """What was seen, page after page; ``part`` leaves out what stood there before."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.addresses: set[str] = set()

    def seen(self, page: Phone, of: str, part: str = "") -> None:
        html = page.html
        self.addresses.update(re.findall(r'(?:href|src|action)="([^"]*)"', html))
        if part == "more":
            html = re.sub(r"<article.*</article>", "<p>...</p>", html, flags=re.S)
        self.lines.extend([f"## {of}: {page.status}", *shown(html), ""])

    def are_as_read(self, name: str, folder: Path) -> None:
        (folder / name).write_text("\n".join(self.lines), "utf-8")
        read = (Path(__file__).parent / name).read_text("utf-8").split("\n")
        assert self.lines == read, folder / name


def test_every_page_of_a_set_up_is_as_it_was_read(larder: Path) -> None:
    (larder / "jobs" / "broken.yaml").write_text("kind: job\nversion: 1\n", "utf-8")
    phone = Phone(larder)
    other = Phone(larder, phone.app)
    pages = Pages()
    seen = pages.seen

    seen(phone.open(f"/{TOKEN}/"), "jobs")
    seen(phone.press("Larder cupboard"), "route")
    seen(phone.open(STICKING), "set-up")
    seen(phone.press("Read test piece"), "first line")
    seen(phone.press(KEEP, whole="0", over="3", under="8"), "second line")
    seen(phone.press(KEEP, typed="four"), "no length")
    seen(phone.press(KEEP, typed="4 3/8"), "a slip")
    seen(phone.press("Keep it, and read", typed=".445"), "kept, the same line")
    seen(other.open(STICKING), "in hand on another phone", "more")
    seen(phone.press("Take back"), "taken back")
    phone.press("Keep it, and read", typed=".445")
    seen(phone.press(KEEP, typed=".445"), "to be read again")
    seen(phone.press("Read that again"), "read again")
    phone.press("Keep it, and read", typed=".375")
    phone.press(KEEP, typed=".375").press("Read that again").press("Keep it, and", typed=".445")
    seen(phone.press(KEEP, typed=".445"), "answer")
    seen(other.open(STICKING), "advice that waits", "more")
    seen(phone.press("Write that", did="otherwise"), "nothing said")
    seen(phone.press("Write that", did="advised"), "done as advised")
    phone.press("Read a further").press(KEEP, typed=".375")
    seen(phone.press(KEEP, typed=".375"), "ready")
    seen(phone.press("Cut the parts so", kept="peg 4"), "proved")
    seen(phone.open(STICKING), "proved set-up", "more")
    pages.are_as_read("walk.txt", larder)
    assert not [each for each in pages.addresses if not each.startswith(f"/{TOKEN}/")]
    kinds = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
    for end, kind in kinds.items():
        (path,) = [each for each in pages.addresses if each.endswith(end)]
        answer = phone.client.get(path)
        assert answer.status_code == 200 and answer.headers["content-type"].startswith(kind)
        assert answer.headers["cache-control"] == "private, max-age=86400"
    home = phone.client.head(f"/{TOKEN}/", follow_redirects=False)
    assert home.status_code == 200 and not home.content


def test_what_is_to_be_settled_first_and_other_work_is_as_it_was_read(larder: Path) -> None:
    """Two open records of one set-up, and a copy that a synced folder made; three operations at two
    machines; a dry fit from its first line to its end."""
    ran = run("log", "larder", CROSS_BAR, *found(overall="15 1/8"), "--date", f"{DAY}")
    assert ran.code == 0, ran.err
    (head,) = (larder / "records").glob("*.yaml")
    text = re.sub(r"begun: .*", "begun: '2021-03-01T23:59:59.000000Z'", head.read_text("utf-8"))
    head.with_name(f"{head.stem[:-6]}aaaaaa.yaml").write_text(text, "utf-8")
    head.with_name(f"{head.stem} (1).yaml").write_text(head.read_text("utf-8"), "utf-8")
    phone, pages = Phone(larder), Pages()
    pages.seen(phone.open(set_up_path("larder", CROSS_BAR)), "to be settled first")
    pages.seen(phone.press("Make one record"), "made one", "more")
    pages.seen(phone.press("Give this"), "given up", "more")
    pages.seen(phone.open(DRY_FIT), "dry fit")
    pages.seen(phone.press("Read the dry fit"), "its first line")
    phone.press(KEEP, typed="45 15/64")
    while "Skip this line" in phone.words:
        phone.press("Skip this line")
    pages.seen(phone, "every line gone through")
    pages.seen(phone.press("What does it come to?"), "what it comes to")
    pages.seen(phone.open(DRY_FIT), "dry fit again", "more")
    pages.seen(phone.open(f"{DRY_FIT}/answer").press("It fits"), "it fits")
    pages.are_as_read("walk-of-the-rest.txt", larder)


def test_a_line_in_mm_is_as_it_was_read(vestibule: Path) -> None:
    phone, pages = Phone(vestibule), Pages()
    pages.seen(phone.open(METRIC).press("Read test piece"), "a line in mm")
    pages.seen(phone.press(KEEP, typed="10,2", hair="full"), "a comma")
    pages.are_as_read("line-in-mm.txt", vestibule)
