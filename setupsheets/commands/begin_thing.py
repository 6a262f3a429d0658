"""`begin --cutter NAME` and its like: one new file in a shop, asked for or given."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import typer

from setupsheets.commands import readings
from setupsheets.files.faults import field_name
from setupsheets.files.safe_writing import new_file
from setupsheets.shop.beginning import NewThing, begun
from setupsheets.shop.cutters import CUT_SHAPES, CutShape, CutterType
from setupsheets.shop.editors import with_schema_line, write_schemas
from setupsheets.shop.finding import Shop, is_name
from setupsheets.shop.listing import NO_NAME
from setupsheets.shop.outlines import same_outline
from setupsheets.shop.sections import Member

ONLY_LIKE_ANOTHER = ("recipe", "caution")
"""Kinds of which most is a list of things, which nobody can be asked for."""


def begin_thing(
    kind: str, name: str, shop: Shop, like: str | None, given: Sequence[str], *, yes: bool
) -> None:
    """Write a new thing of a kind into a shop once all of it is known and sound, and tell what to
    do with it. Nothing that is there is overwritten."""
    if not is_name(name):
        raise typer.BadParameter(NO_NAME.format(name=name), param_hint=f"--{kind}")
    if like is None and kind in ONLY_LIKE_ANOTHER:
        message = f"a {kind} is begun as a copy of another: give --like NAME, one of those that "
        raise typer.BadParameter(f"{message}`setupsheets list {kind}` tells", param_hint="--like")
    thing = begun(kind, name, shop, like)
    if thing.path.exists():
        message = f"there is a {kind} of this name already, {_here(thing)}: choose another"
        raise typer.BadParameter(message, param_hint=f"--{kind}")
    for each in given:
        key, equals, text = each.partition("=")
        try:
            if not equals:
                raise ValueError(f"expected KEY=VALUE, found {each!r}")
            thing.put(key.strip(), text)
        except ValueError as error:
            raise typer.BadParameter(f"{key.strip()}: {error}", param_hint="--with") from None
    if yes or not readings.at_terminal():
        _take_usual(thing)
    else:
        from setupsheets.commands.questions import ask_thing  # noqa: PLC0415

        ask_thing(thing)
    thing.checked()
    hidden = shop.has(kind, name)
    in_shop = thing.path.relative_to(shop.folder).as_posix()
    new_file(thing.path, with_schema_line(thing.text(), in_shop))
    thing.shop = Shop.open(shop.folder)  # with it in the place of what it hides
    write_schemas(thing.shop, f"kept in {_here(thing)}")
    typer.echo(f"Kept in {_here(thing)}.")
    if hidden:
        typer.echo(f"It takes the place of the built-in {kind} of that name.")
    for line in _next(thing):
        typer.echo(line)


def _take_usual(thing: NewThing) -> None:
    """Take what stands there for all that is not given; typer's own error for what is needed."""
    missing = []
    while (question := thing.next_question()) is not None:
        steps, key = question
        if thing.at(steps) is None and thing.needs(steps, key):
            missing.append(f'--with "{field_name(steps)}=..." ({key.sentence.rstrip(".")})')
        thing.keep(steps)
    if missing:
        message = f"nobody is here to ask, and this is needed: {'; '.join(missing)}; or --like NAME"
        raise typer.BadParameter(message, param_hint=f"--{thing.kind}")


def _here(thing: NewThing) -> Path:
    """Where its file lies, seen from this folder."""
    here = Path.cwd()
    return thing.path.relative_to(here) if thing.path.is_relative_to(here) else thing.path


def _next(thing: NewThing) -> Iterator[str]:
    """What a maker does with the new thing: lines to edit, commands to type."""
    name, kind = thing.name, str(thing.data.get("type", ""))
    shape = CUT_SHAPES[CutterType(kind)] if thing.kind == "cutter" else None
    if shape is CutShape.MOULDING:
        yield "Next, the cope bit that fits it, and the sections that it makes:"
        yield f"  setupsheets begin --cutter {name}-cope --like {name} --with type=cope_bit"
        for member in Member:
            given = f"--with member={member} --with cutters.{kind}={name}"
            yield f"  setupsheets begin --section {name}-{member} {given}"
    elif shape is CutShape.COPE:
        yield f"Next, name it in the sections that it fits: cutters: {{cope_bit: {name}}}"
    elif thing.kind in ("cutter", "machine"):
        yield f"To take it everywhere: in shop.yaml first_choice: {thing.kind}s: {kind}: {name}"
    elif thing.kind == "section":
        tongue = thing.shop.settings.notation.show(thing.shop.section(name).tongue_thickness)
        yield f"Between its moulding and its rebate {tongue} stands: tenons and their mortises have"
        yield "that thickness, so its mortise chisel or drill is to be as wide."
        yield from _of_another_profile(thing)
        place = "bars" if thing.data["member"] == Member.BAR else "stiles"
        yield "Next, name it in a job, or in a new one:"
        yield f"  setupsheets begin --job NAME --with {place}.section={name}"
    if thing.kind == "job":
        yield "Next:"
    drawn = " --draw drawings" if {"profile", "sticking"} & thing.data.keys() else ""
    yield f"  setupsheets check {_here(thing)}{drawn}"
    if thing.kind == "job":
        yield f"  setupsheets sheet {name} --open"


def _of_another_profile(thing: NewThing) -> Iterator[str]:
    """Of a section the cutters that make or fit another moulding than its own."""
    section = thing.shop.section(thing.name)
    own = section.sticking.points()
    cutters = [thing.shop.cutter(name) for name in section.cutters.values()]
    others = [
        cutter.name
        for cutter in cutters
        if cutter.profile and not same_outline(cutter.profile.points(), own)
    ]
    if others:
        yield f"Of another profile than it: {', '.join(others)}. Begin those that fit, and name"
        yield f"them under cutters: in {_here(thing)}, or take these out."
