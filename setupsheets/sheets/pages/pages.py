"""Finished sheets as pages: Markdown from templates, HTML from the Markdown, JSON as it is.

Whatever a user wrote is escaped on its way into the Markdown, so that a title can neither break a
table nor become markup; the HTML is made with raw HTML switched off, and a drawing gets into the
page only by its name. One HTML file with no outside links comes of it.
"""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setupsheets.sheets.content.finished import SheetContent
from setupsheets.sheets.content.finished_parts import PartsSheet
from setupsheets.sheets.drawings.drawing import xml_text

if TYPE_CHECKING:
    from jinja2 import Environment

_TEMPLATES = Path(__file__).parent / "templates"

# Always escaped: what can begin markup anywhere in a line. At the start of a value only: what can
# begin a heading, list, rule or underline there.
_anywhere = re.compile(r"([\\`*_\[\]<>|&~])").sub
_at_start = re.compile(r"^(?:([#=:+-])(?=\s|\1|$)|([0-9]{1,9})([.)])(?=\s|$))").sub
_controls = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]").sub


def escape_markdown(value: object) -> str:
    """Any text as one line of Markdown that shows just that text."""
    words = " ".join(_controls("", str(value)).split())
    words = _anywhere(r"\\\1", words)
    return _at_start(lambda m: f"\\{m[1]}" if m[1] else f"{m[2]}\\{m[3]}", words)


def to_markdown(content: SheetContent) -> str:
    """The sheets as Markdown; drawings are links to ``drawings/NAME.svg`` beside the file."""
    page = _environment().get_template("sheets.md").render(content=content)
    return re.sub(r"\n{3,}", "\n\n", page).strip() + "\n"


def parts_to_markdown(parts: PartsSheet) -> str:
    """The parts sheets alone as Markdown."""
    page = _environment().get_template("parts.md").render(parts=parts)
    return re.sub(r"\n{3,}", "\n\n", page).strip() + "\n"


def drawing_files(content: SheetContent | PartsSheet) -> Mapping[str, str]:
    """The SVG files that the Markdown links to, by the path that it uses."""
    return {f"drawings/{item.name}.svg": item.svg for item in content.drawings}


def to_html(content: SheetContent) -> str:
    """The sheets as one HTML file that holds its own style and drawings."""
    foot = f"{content.title}  ·  {content.date}  ·  {content.fingerprint}"
    title = f"{content.title}: setup sheets"
    return _page(title, foot, to_markdown(content), drawing_files(content))


def parts_to_html(parts: PartsSheet) -> str:
    """The parts sheets alone as one HTML file."""
    title = f"{parts.title}: parts"
    return _page(title, title, parts_to_markdown(parts), drawing_files(parts))


def _page(title: str, foot: str, markdown: str, drawings: Mapping[str, str]) -> str:
    from setupsheets.sheets.pages.markup import body  # noqa: PLC0415

    style = (_TEMPLATES / "sheets.css").read_text(encoding="utf-8")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{xml_text(title)}</title>\n"
        f"<style>\n@page {{ @bottom-left {{ content: {_css_string(foot)}; }} }}\n{style}</style>\n"
        f"</head>\n<body>\n<main>\n{body(markdown, drawings)}</main>\n"
        "</body>\n</html>\n"
    )


def to_json(content: SheetContent) -> str:
    """The sheets as JSON, a drawing by its name, title and description."""
    plain = _without_pictures(dataclasses.asdict(content))
    return json.dumps(plain, indent=2, ensure_ascii=False) + "\n"


@lru_cache(maxsize=1)
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415

    return Environment(
        loader=FileSystemLoader(_TEMPLATES),
        undefined=StrictUndefined,
        finalize=escape_markdown,
        autoescape=False,  # it would escape for HTML; finalize escapes for Markdown
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def _css_string(words: str) -> str:
    """A text as a CSS string: everything but plain characters by its code."""
    shown = " ".join(words.split())
    return (
        '"' + "".join(c if c.isalnum() or c in " .,:·-" else f"\\{ord(c):x} " for c in shown) + '"'
    )


def _without_pictures(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_pictures(item) for key, item in value.items() if key != "svg"}
    if isinstance(value, list | tuple):
        return [_without_pictures(item) for item in value]
    return value
