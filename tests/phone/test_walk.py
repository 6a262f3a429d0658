"""One set-up on the phone from the list of jobs to proved, page by page, word by word, as a maker
reads it: what stands there, where each link leads, what each form has in it.

Figures come from the larder job, readings are invented. Each page of `walk.txt` was read as a maker
reads it; one that shows otherwise is read anew before it is put there.
"""

from __future__ import annotations

import re
from pathlib import Path

from tests.phone.phones import TOKEN, Phone, set_up_path
from tests.phone.shown import shown

WALK = Path(__file__).parent / "walk.txt"
STICKING = set_up_path("larder", "sticking-router-table")
KEEP = "Keep it, next line"


def test_every_page_of_a_set_up_is_as_it_was_read(larder: Path) -> None:
    (larder / "jobs" / "broken.yaml").write_text("kind: job\nversion: 1\n", "utf-8")
    phone = Phone(larder)
    other = Phone(larder, phone.app)
    pages: list[str] = []
    addresses: set[str] = set()

    def seen(page: Phone, of: str, part: str = "") -> None:
        html = page.html
        addresses.update(re.findall(r'(?:href|src|action)="([^"]*)"', html))
        if part:  # the rest stands there as it stood before
            html = re.sub(r"<article.*</article>", "<p>...</p>", html, flags=re.S)
        pages.extend([f"## {of}: {page.status}", *shown(html), ""])

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
    (larder / "walk.txt").write_text("\n".join(pages), "utf-8")
    assert pages == WALK.read_text("utf-8").split("\n"), larder / "walk.txt"
    assert not [each for each in addresses if not each.startswith(f"/{TOKEN}/")]
    kinds = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
    for end, kind in kinds.items():
        (path,) = [each for each in addresses if each.endswith(end)]
        answer = phone.client.get(path)
        assert answer.status_code == 200 and answer.headers["content-type"].startswith(kind)
        assert answer.headers["cache-control"] == "private, max-age=86400"
    home = phone.client.head(f"/{TOKEN}/", follow_redirects=False)
    assert home.status_code == 200 and not home.content
