"""What stands on paper only where it is asked for: what a maker wants now and then, and seldom at
the machine. Markdown and JSON have all of it."""

from __future__ import annotations

from collections.abc import Collection

from msgspec.structs import replace

from setupsheets.sheets.content.finished import SheetContent
from setupsheets.sheets.content.finished_parts import PartsBlock, PartsSheet
from setupsheets.wording.asked_for import ASKED_FOR, Asked, left_out_words


def with_asked(content: SheetContent, asked: Collection[Asked]) -> SheetContent:
    """The sheets with what is ``asked`` for and without the rest of that kind, which the cover
    names. What a block left out has to warn of stays."""
    found = {each: _left(content.parts, each) for each in ASKED_FOR if each not in asked}
    out = [each for each, blocks in found.items() if blocks]
    names = {block.name for blocks in found.values() for block in blocks}
    pages = (
        replace(
            page,
            blocks=tuple(_kept(block) if block.name in names else block for block in page.blocks),
        )
        for page in content.parts.pages
    )
    shown = (
        replace(page, blocks=tuple(each for each in page.blocks if each.shows)) for page in pages
    )
    parts = replace(content.parts, pages=tuple(page for page in shown if page.blocks))
    cover = replace(content.cover, left_out=left_out_words(out))
    return replace(content, cover=cover, parts=parts)


def _left(parts: PartsSheet, kind: Asked) -> list[PartsBlock]:
    """The blocks of a kind; of story sticks those with nothing that is marked out at the bench."""
    if kind is Asked.STICKS:
        return [each for each in parts.blocks if not each.worked]
    name = {Asked.BOARDS: "boards", Asked.FITS: "fits", Asked.SEASONS: "movement"}[kind]
    return [each for each in parts.blocks if each.name == name]


def _kept(block: PartsBlock) -> PartsBlock:
    return replace(block, title="", words="", table=None, drawing=None)
