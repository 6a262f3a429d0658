"""Screens as pages: templates lay them out, style and script are files of their own beside them.

Nothing stands in a page that its Content Security Policy would have to make an exception for.
"""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from setupsheets.sheets.letters.letters import FONT, font_faces
from setupsheets.sheets.pages.web import environment
from setupsheets.wording.phone import STOP_FIRST

_TEMPLATES = Path(__file__).parent / "templates"
_TYPES = {"phone.css": "text/css", "phone.js": "text/javascript", "phone.svg": "image/svg+xml"}


def page(template: str, token: str, title: str, **values: Any) -> str:
    """A whole page; ``title`` is its head's, ``values`` what its template asks for."""
    return (
        environment(_TEMPLATES)
        .get_template(template)
        .render(
            home=f"/{token}/",
            title=title,
            stop_first=STOP_FIRST,
            style=f"/{token}/{asset_name('phone.css')}",
            icon=f"/{token}/{asset_name('phone.svg')}",
            script=f"/{token}/{asset_name('phone.js')}",
            **values,
        )
    )


@cache
def asset(name: str) -> str:
    """The style or the script."""
    text = (_TEMPLATES / name).read_text(encoding="utf-8")
    return font_faces() + text.replace("FONT", FONT) if name.endswith(".css") else text


@cache
def asset_name(name: str) -> str:
    """What it is called in a page's address: its name changes with what is in it."""
    stem, _, end = name.partition(".")
    return f"{stem}-{sha256(asset(name).encode()).hexdigest()[:12]}.{end}"


def assets() -> dict[str, tuple[str, str]]:
    """By the name that pages call it by, its type and its text."""
    return {asset_name(name): (kind, asset(name)) for name, kind in _TYPES.items()}
