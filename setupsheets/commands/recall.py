"""`recall WORDS...`: finds set-ups of earlier days, and reloads the newest for today."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.readings import DateOption, day
from setupsheets.commands.shared import (
    JsonOption,
    ShopOption,
    open_shop,
    print_json,
    printed,
    tell_passed_over,
)
from setupsheets.commands.terminal import print_table, say

if TYPE_CHECKING:
    from setupsheets.lengths import Notation
    from setupsheets.records.recall import Recalled
    from setupsheets.records.record import Record
    from setupsheets.records.shop_records import FoundRecord, ShopRecords
    from setupsheets.shop.finding import Shop

SHOWN = 20
"""Of the set-ups that are found the newest; with years of records one word finds thousands."""


def recall(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="WORDS...",
            help="Any words of it: profile, cutter, machine, job, timber, part, date. "
            "rabbet finds rebate, muntin finds bar.",
        ),
    ],
    number: Annotated[
        int, typer.Option("--number", min=1, help="Which of those found, counted from the newest.")
    ] = 1,
    chart: Annotated[
        Path | None,
        typer.Option("--chart", help="Write the readings, piece by piece, as an SVG chart here."),
    ] = None,
    card: Annotated[
        Path | None,
        typer.Option(
            "--card", help="Write a card of A6 to hang with the test piece here: HTML, or .pdf."
        ),
    ] = None,
    date: DateOption = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find an earlier set-up and reload it.

    Prints its settings beside what to set today, and what has changed since.

    Example: setupsheets recall ovolo bar crosscut-saw 2019
    """
    from setupsheets.records.recall import reload  # noqa: PLC0415
    from setupsheets.records.shop_records import ShopRecords  # noqa: PLC0415
    from setupsheets.wording.lists import listed  # noqa: PLC0415

    records = ShopRecords(open_shop(shop))
    found, more = _look_up(words, number, records)
    notation = records.shop.settings.notation
    asked = records.record(found[number - 1])
    recalled, joined = reload(asked, records, day(date)), records.joined_to(asked.name)
    _tell_beside(asked, records)
    _write_files(asked, chart, card, records.shop)
    tell_passed_over(records.shop)
    if as_json:
        from setupsheets.json_forms.recall_form import recall_form  # noqa: PLC0415

        names = [path.stem for path, _ in found]
        print_json(recall_form(names, more, joined, recalled, notation))
        return
    _print_found(found, number, more=more)
    _print_recalled(recalled, notation)
    if joined:
        say(f"One record with: {listed(joined)}")


def _look_up(
    words: Sequence[str], number: int, records: ShopRecords
) -> tuple[list[FoundRecord], bool]:
    """The newest records with all the words, and whether there are more; exits where there are too
    few."""
    from setupsheets.shop.listing import meant  # noqa: PLC0415

    every = records.asked_for(" ".join(words))
    found = list(islice(every, max(number, SHOWN)))
    if not found:
        tell_passed_over(records.shop)
        guess = meant(words, records.shop)
        typer.echo(f"No record has all of: {' '.join(words)}{guess}", err=True)
        raise typer.Exit(1)
    if number > len(found):
        message = f"only {len(found)} found, not {number}"
        raise typer.BadParameter(message, param_hint="--number")
    return found, next(every, None) is not None


def _tell_beside(record: Record, records: ShopRecords) -> None:
    """That other records of the same set-up are open as well."""
    from setupsheets.records.shop_records import open_ones  # noqa: PLC0415
    from setupsheets.wording.open_together import beside_words  # noqa: PLC0415

    open_ = [each.name for each in open_ones(records.of(record.job, record.set_up))]
    if record.name in open_ and len(open_) > 1:
        typer.echo(beside_words(record.job, record.set_up, open_), err=True)


def _write_files(record: Record, chart: Path | None, card: Path | None, shop: Shop) -> None:
    if chart is not None:
        _write_chart(record, chart, shop.settings.notation)
    if card is not None:
        _write_card(record, card, shop)


def _write_chart(record: Record, path: Path, notation: Notation) -> None:
    from setupsheets.files.safe_writing import write_atomically  # noqa: PLC0415
    from setupsheets.sheets.drawings.chart import record_chart  # noqa: PLC0415

    drawing = record_chart(record, notation)
    if drawing is None:
        raise typer.BadParameter("the record has no readings to draw", param_hint="--chart")
    write_atomically(path, drawing.svg)


def _write_card(record: Record, path: Path, shop: Shop) -> None:
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415
    from setupsheets.sheets.content.small_papers import card_of  # noqa: PLC0415
    from setupsheets.sheets.pages.pages import card_to_html  # noqa: PLC0415

    page = card_to_html(card_of(record, shop))
    write_all(path.parent, {path.name: printed(page) if path.suffix == ".pdf" else page})


def _print_found(found: Sequence[FoundRecord], number: int, *, more: bool) -> None:
    for place, (_, facts) in enumerate(found, 1):
        sign = ">" if place == number else " "
        say(
            f"{sign} {place}. {facts.date}  {facts.set_up}  ({facts.job}, {facts.timber}, "
            f"{facts.verdict})"
        )
    if more:
        say(f"  and earlier ones: another word finds fewer, --number {len(found) + 1} shows more")


def _print_recalled(recalled: Recalled, notation: Notation) -> None:
    from setupsheets.wording.lists import lowered  # noqa: PLC0415
    from setupsheets.wording.made_sizes import fitted_lines, mate_lines  # noqa: PLC0415
    from setupsheets.wording.pieces_due import due_line  # noqa: PLC0415
    from setupsheets.wording.set_ups import change_words, reason_words  # noqa: PLC0415
    from setupsheets.wording.titles import cause_title  # noqa: PLC0415

    show, record = notation.show, recalled.record
    settings = [(then, recalled.settings[then.cause]) for then in record.settings]
    if settings:
        print_table(
            ("setting", "machine", "aim then", "dialled then", "aim today", "SET TO"),
            [
                (
                    cause_title(then.cause),
                    then.machine,
                    show(then.aim),
                    notation.dialled(record.dialled(then.cause), now.finest),
                    show(now.aim),
                    notation.dialled(now.set_to, now.finest),
                )
                for then, now in settings
            ],
        )
    whose: dict[str, list[str]] = {}
    for then, now in settings:
        whose.setdefault(reason_words(now, notation), []).append(cause_title(then.cause))
    for reason, titles in whose.items():
        say(f"{', '.join(titles)}: {reason}")
    for line in fitted_lines(record.fits, notation):
        say(f"Fitted then: {lowered(line)}")
    for line in mate_lines(recalled.mates, record.parts, notation, unread=False):
        say(line)
    for change in recalled.changes:
        say(f"Changed since: {change_words(change, notation)}")
    say(due_line(recalled.due, notation))
    if record.kept:
        say(f"Test piece kept from that set-up: {record.kept}")
