"""Finished sheets as pages: Markdown and HTML, each from templates of its own, JSON as it is.

Whatever a user wrote is escaped on its way into the Markdown, so that a title can neither break a
table nor become markup.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from setupsheets.sheets.content.finished import MachinePages, SheetContent
from setupsheets.sheets.content.finished_parts import PartsSheet
from setupsheets.sheets.content.small_papers import PartLabel, SetUpCard
from setupsheets.sheets.pages.escaping import code_span, escape_markdown
from setupsheets.sheets.pages.known_templates import known_environment
from setupsheets.sheets.pages.users_notes import notes_as_markdown

if TYPE_CHECKING:
    from jinja2 import Environment

DRAWINGS = "drawings"
_STANDS_FOR = "\ue000" * 8
"""The mark of what sheets were made from while they are laid out: it is another after each piece,
and what the piece does not change is laid out as before."""

_TEMPLATES = Path(__file__).parent / "templates"


def to_markdown(content: SheetContent | MachinePages, folder: str = DRAWINGS) -> str:
    """The sheets as Markdown; drawings are links into the ``folder`` beside the file."""
    page = _environment().get_template(f"{_template(content)}.md")
    return _tidy(page.render(content=content, folder=folder))


def _template(content: SheetContent | MachinePages) -> str:
    return "sheets" if isinstance(content, SheetContent) else "machine-alone"


def _tidy(page: str) -> str:
    return re.sub(r"\n{3,}", "\n\n", page).strip() + "\n"


def parts_to_markdown(parts: PartsSheet) -> str:
    """The parts sheets alone as Markdown."""
    page = _environment().get_template("parts.md")
    return _tidy(page.render(parts=parts, folder=DRAWINGS))


def drawing_files(
    content: SheetContent | MachinePages | PartsSheet, folder: str = DRAWINGS
) -> Mapping[str, str]:
    """The SVG files that the Markdown links to, by the path that it uses."""
    return {f"{folder}/{item.name}.svg": item.svg for item in content.drawings}


def to_html(content: SheetContent | MachinePages, paper: str = "auto") -> str:
    """The sheets as one HTML file that holds its own style, letters and drawings; for ``paper``
    where that is told, else for whichever a browser prints on."""
    from setupsheets.sheets.pages.web import page_of  # noqa: PLC0415

    which = f"{content.title} · {content.date} · {_STANDS_FOR}"
    page, title = f"{_template(content)}.html", f"{content.title}: setup sheets"
    laid_out = page_of(page, title, which, paper=paper, content=content)
    return laid_out.replace(_STANDS_FOR, content.fingerprint)


def parts_to_html(parts: PartsSheet) -> str:
    """The parts sheets alone as one HTML file."""
    from setupsheets.sheets.pages.web import page_of  # noqa: PLC0415

    return page_of("parts-alone.html", f"{parts.title}: parts", parts.title, parts=parts)


def card_to_html(card: SetUpCard) -> str:
    """A card of A6 as one HTML file."""
    from setupsheets.sheets.pages.web import small_page_of  # noqa: PLC0415

    paper = "size: 105mm 148mm; margin: 5mm;"
    return small_page_of("card.html", f"{card.title}: card", paper, card=card)


def labels_to_html(title: str, labels: Sequence[PartLabel]) -> str:
    """Labels for parts as one HTML file, to print and cut apart."""
    from setupsheets.sheets.pages.web import small_page_of  # noqa: PLC0415

    paper = "size: auto; margin: 9mm 12mm;"
    return small_page_of("labels.html", f"{title}: labels", paper, job=title, labels=labels)


@lru_cache(maxsize=1)
def _environment() -> Environment:
    # What Jinja could escape by itself it escapes for HTML: finalize escapes for Markdown.
    made = known_environment((_TEMPLATES,), finalize=_escaped, keep_trailing_newline=True)
    made.filters |= {"noted": notes_as_markdown, "code": code_span}
    return made


def _escaped(value: object) -> object:
    """A value as Markdown; what is Markdown already stays as it is."""
    return value if hasattr(value, "__html__") else escape_markdown(value)
