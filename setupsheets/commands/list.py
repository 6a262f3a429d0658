"""`list [KIND]`: what the shop has, and where each thing comes from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from setupsheets.commands.shared import (
    JsonOption,
    ShopOption,
    open_shop,
    print_json,
    tell_passed_over,
)
from setupsheets.commands.terminal import print_table, say
from setupsheets.files.faults import DataFaults, listed, unknown
from setupsheets.json_forms.document import form
from setupsheets.lengths import Unit

FORMULA_WORDS = ("formula", "formulas")


def list_things(
    kind: Annotated[
        str | None,
        typer.Argument(
            metavar="[KIND]",
            help="machines, cutters, sections, recipes, timbers, cautions, jobs or records; "
            "formulas for what a formula may be made of; or any word: rabbet finds rebate, muntin "
            "finds bar.",
        ),
    ] = None,
    keys: Annotated[
        bool,
        typer.Option(
            "--keys",
            help="What a file of that kind may hold, key by key; also of one key: job.opening.",
        ),
    ] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the shop's own things and built-in ones, or what their files may hold.

    Example: setupsheets list recipes

    Example: setupsheets list job --keys
    """
    if keys:
        _tell_keys(kind or "", shop, as_json=as_json)
        return
    if kind in FORMULA_WORDS:
        _tell_formulas(as_json=as_json)
        return
    from setupsheets.records.listed_records import RECORD_WORDS, listed_records  # noqa: PLC0415
    from setupsheets.shop.listing import KIND_WORDS, listed_things, meant, not_listed  # noqa: PLC0415

    opened = open_shop(shop)
    found = [] if kind in RECORD_WORDS else listed_things(opened, kind)
    found += listed_records(opened, kind)
    for fault in () if kind in RECORD_WORDS else not_listed(opened, kind):
        typer.echo(str(fault), err=True)
    tell_passed_over(opened)
    words = (*KIND_WORDS, *RECORD_WORDS, *FORMULA_WORDS)
    if not found and kind is not None and kind not in words:
        guess = _in_a_file(kind) or meant([kind], opened, words)
        typer.echo(f"Nothing here has the word {kind!r} in it{guess}", err=True)
        raise typer.Exit(1)
    if as_json:
        print_json(form("list", things=[item.as_json() for item in found]))
        return
    rows = [(item.kind, item.name, item.origin, item.title) for item in found]
    print_table(("kind", "name", "from", "title"), rows)


def _tell_keys(asked: str, shop: Path | None, *, as_json: bool) -> None:
    """The keys of a kind of file, or of one key of it; typer's own error where there is none."""
    from setupsheets.files.schema_keys import keys_of  # noqa: PLC0415
    from setupsheets.files.schemas import schema_of  # noqa: PLC0415
    from setupsheets.json_forms.keys_form import keys_form  # noqa: PLC0415
    from setupsheets.records.listed_records import RECORD_WORDS  # noqa: PLC0415
    from setupsheets.shop.file_examples import default_of, example_of  # noqa: PLC0415
    from setupsheets.shop.loading import KINDS  # noqa: PLC0415
    from setupsheets.wording.schema_keys import heading, key_lines  # noqa: PLC0415

    word, _, below = asked.partition(".")
    kinds = {each: kind for kind, (folder, _) in KINDS.items() for each in (folder, kind)}
    kinds |= dict.fromkeys(RECORD_WORDS, "record") | {"entry": "entry"}
    if word not in kinds:
        names = list(dict.fromkeys(kinds.values()))
        message = unknown("kind", word, names) if word else f"of which kind? {listed(names)}"
        raise typer.BadParameter(message, param_hint="KIND")
    kind, unit = kinds[word], _unit_of(shop)
    every = keys_of(kind)
    steps = tuple(below.split(".")) if below else ()
    wanted = [key for key in every if key.path[: len(steps)] == steps]
    if not wanted:
        known = [".".join(key.path) for key in every]
        raise typer.BadParameter(unknown("key", below, known), param_hint="KIND")
    if as_json:
        print_json(keys_form(kind, wanted, unit))
        return
    has_unit = any(key.path == ("unit",) and not key.needed for key in every)
    lines = heading(kind, schema_of(kind)["description"], unit, has_unit=has_unit)
    for key in wanted:
        example, default = example_of(key.schema, unit), default_of(key, unit)
        lines += ["", *key_lines(key, example, default, unit)]
    say("\n".join(lines), within_width=True)


def _tell_formulas(*, as_json: bool) -> None:
    from setupsheets.json_forms.keys_form import formulas_form  # noqa: PLC0415
    from setupsheets.wording.formula_names import formula_lines  # noqa: PLC0415

    if as_json:
        print_json(formulas_form())
    else:
        say("\n".join(formula_lines()), within_width=True)


def _unit_of(shop: Path | None) -> Unit:
    """The unit of the shop that is here or named; inches where there is none."""
    try:
        return open_shop(shop).settings.unit
    except DataFaults:
        if shop is not None:
            raise
        return Unit.IN


def _in_a_file(word: str) -> str:
    """Where a word is no thing but a key that files may hold: how to ask what it is."""
    from setupsheets.files.schema_keys import keys_of  # noqa: PLC0415
    from setupsheets.shop.loading import KINDS  # noqa: PLC0415

    found = [
        f"{kind}.{'.'.join(key.path)}"
        for kind in KINDS
        for key in keys_of(kind)
        if key.name == word
    ]
    many = f" and {len(found) - 1} more" if found[1:] else ""
    return f"; a file may: setupsheets list {found[0]} --keys{many}" if found else ""
