"""Markdown of the sheets into HTML: sections, real table heads, and drawings put in by name.

Raw HTML is switched off. An image is replaced by the drawing of its path; any other image shows
its words, so that nothing is ever fetched.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from html import escape
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.renderer import RendererHTML
    from markdown_it.token import Token

_SECTIONS = {"h1": "section", "h2": "article"}
_not_slug = re.compile(r"[^a-z0-9]+").sub


def body(markdown: str, drawings: Mapping[str, str]) -> str:
    """The HTML of the sheets, to stand in a page's ``main``."""
    parser = _parser()
    tokens = list(_in_sections(parser.parse(markdown)))
    _head_tables(tokens)
    _name_figures(tokens, drawings)
    html: str = parser.renderer.render(tokens, parser.options, {"drawings": drawings})
    return html


@lru_cache(maxsize=1)
def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt  # noqa: PLC0415

    parser = MarkdownIt("commonmark", {"html": False}).enable("table")
    parser.add_render_rule("image", _image)
    parser.add_render_rule("link_open", _nothing)
    parser.add_render_rule("link_close", _nothing)
    return parser


def _image(
    self: RendererHTML, tokens: Sequence[Token], index: int, options: Any, env: dict[str, Any]
) -> str:
    """A drawing as a figure's content; the words alone where there is no such drawing."""
    token = tokens[index]
    drawing: str | None = env["drawings"].get(token.attrs.get("src"))
    if drawing is None:
        return escape(token.content)
    # Inside HTML the namespace is understood, and no address at all is left in the page.
    return drawing.replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)


def _nothing(self: RendererHTML, *_: Any) -> str:
    """A page that is read at a bench leads nowhere else."""
    return ""


def _in_sections(tokens: Sequence[Token]) -> Iterator[Token]:
    """Every first-level heading opens a sheet, every second-level one a block on it; a block whose
    heading begins with a number in bold is an operation."""
    from markdown_it.token import Token  # noqa: PLC0415

    open_now: list[str] = []
    for index, token in enumerate(tokens):
        tag = _SECTIONS.get(token.tag, "") if token.type == "heading_open" else ""
        if tag:
            while open_now and (tag == "section" or open_now[-1] == "article"):
                yield _closing(open_now.pop())
            children = tokens[index + 1].children or [token]
            numbered = any(child.type == "strong_open" for child in children[:2])
            kind = "sheet" if tag == "section" else "operation" if numbered else "block"
            yield Token(f"{tag}_open", tag, 1, block=True, attrs={"class": kind})
            open_now.append(tag)
        yield token
    while open_now:
        yield _closing(open_now.pop())


def _closing(tag: str) -> Token:
    from markdown_it.token import Token  # noqa: PLC0415

    return Token(f"{tag}_close", tag, -1, block=True)


def _head_tables(tokens: Sequence[Token]) -> None:
    """Scopes for the heads of columns and of rows; every table has its column heads as classes."""
    table: Token | None = None
    in_body = first = False
    for index, token in enumerate(tokens):
        if token.type == "table_open":
            table = token
        elif token.type in ("tbody_open", "tbody_close"):
            in_body = token.type == "tbody_open"
        elif token.type == "tr_open":
            first = True
        elif token.type == "th_open" and table is not None:
            token.attrSet("scope", "col")
            table.attrJoin("class", _not_slug("-", tokens[index + 1].content.lower()).strip("-"))
        elif token.type == "td_open":
            if first and in_body:
                token.tag = tokens[index + 2].tag = "th"
                token.attrSet("scope", "row")
            first = False


def _name_figures(tokens: Sequence[Token], drawings: Mapping[str, str]) -> None:
    """A paragraph that holds a drawing gets the drawing's kind and width as its classes:
    ``operation-07``, 83 mm wide, makes it a ``drawing operation-drawing w85``."""
    for index, token in enumerate(tokens):
        if token.type != "inline" or not token.children or token.children[0].type != "image":
            continue
        name = str(token.children[0].attrs.get("src", "")).rpartition("/")[2]
        kind = _not_slug("-", re.split(r"[-.]", name)[0].lower())
        wide = _width_of(drawings.get(str(token.children[0].attrs.get("src", "")), ""))
        tokens[index - 1].attrSet("class", f"drawing {kind}-drawing w{wide}")


def _width_of(drawing: str) -> int:
    """A drawing's width in mm, up to the next 5, at least 60."""
    found = re.search(r'width="([0-9.]+)mm"', drawing)
    return max(60, math.ceil(float(found[1]) / 5) * 5) if found else 0
