"""A phone without a screen: it reads a page's forms and sends what stands in them, as a browser
without a script does (HTML, WHATWG: form submission)."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlencode, urljoin

from starlette.testclient import TestClient

from setupsheets.phone.server import bench_app
from tests.known_values import a_command

TOKEN = "test-token-of-43-letters-0123456789-abcdefg"
HOST = "bench.test"
DAY = datetime.date(2021, 3, 1)


@dataclass
class Form:
    """A form as it stands on a page: where it goes, what is in it, what can be filled in or chosen,
    the buttons that send it."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)
    buttons: dict[str, tuple[str, str]] = field(default_factory=dict)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.links: dict[str, str] = {}
        self.words: list[str] = []
        self._open: list[tuple[str, dict[str, str]]] = []
        self._heard = ""
        self._in_form = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append(Form(found["action"], found["method"]))
            self._in_form = True
        elif tag in ("input", "select") and self._in_form:
            self.forms[-1].names.add(found["name"])
        if tag == "input" and self._in_form:
            off = found["type"] in ("radio", "checkbox") and "checked" not in found
            assert off or found["name"] not in self.forms[-1].fields, "sent twice, the last counts"
            if not off:
                self.forms[-1].fields[found["name"]] = found.get("value", "")
        elif tag in ("a", "button"):
            self._open.append((tag, found))
            self._heard = ""

    def handle_data(self, data: str) -> None:
        self._heard += data
        self.words.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._in_form = False
        if self._open and self._open[-1][0] == tag:
            _, found = self._open.pop()
            words = " ".join(self._heard.split())
            if tag == "a":
                self.links[words] = found["href"]
            elif self._in_form:
                self.forms[-1].buttons[words] = (found.get("name", ""), found.get("value", ""))


class Phone:
    """One phone on a shop: the page that it shows, and what a finger does there."""

    def __init__(self, shop: Path, app: object = None) -> None:
        self.app = app or bench_app(shop, TOKEN, [HOST], lambda: DAY)
        self.client = TestClient(self.app, f"http://{HOST}", follow_redirects=True)  # type: ignore[arg-type]
        self.status = 0
        self.html = ""
        self.path = ""

    def open(self, path: str) -> Phone:
        """Go to an address."""
        with a_command():
            return self._shows(self.client.get(urljoin(self.path, path)))

    def press(self, words: str, **typed: str) -> Phone:
        """Press a button, or follow a link, that begins with these words."""
        page = self.page
        for form in page.forms:
            for said, (name, value) in form.buttons.items():
                if said.startswith(words):
                    assert typed.keys() <= form.names, "nothing to fill in"
                    sent = form.fields | typed | ({name: value} if name else {})
                    return self.send(form.action, sent)
        link = next((to for said, to in page.links.items() if said.startswith(words)), None)
        assert link is not None, f"nothing to press: {words}; {[*page.links]}"
        assert not typed, "a link takes nothing along"
        return self.open(link)

    def send(self, action: str, fields: dict[str, str], **headers: str) -> Phone:
        """Send fields as a form of this page."""
        sent = {
            "origin": f"http://{HOST}",
            "content-type": "application/x-www-form-urlencoded",
        } | headers
        where = urljoin(self.path, action)
        with a_command():
            return self._shows(self.client.post(where, content=urlencode(fields), headers=sent))

    @property
    def page(self) -> _Reader:
        read = _Reader()
        read.feed(self.html)
        return read

    @property
    def words(self) -> str:
        """The words of the page."""
        return " ".join(" ".join(self.page.words).split())

    def _shows(self, answer: object) -> Phone:
        self.status = answer.status_code  # type: ignore[attr-defined]
        self.html = answer.text  # type: ignore[attr-defined]
        self.path = str(answer.url)  # type: ignore[attr-defined]
        return self


def set_up_path(job: str, set_up: str) -> str:
    """The path of a set-up, as it stands in the codes on paper."""
    return f"/{TOKEN}/{job}/{set_up.replace('/', '~')}"
