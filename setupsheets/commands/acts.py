"""One act of `log` at the command line: what must be said first is asked, and what it comes to is
told."""

from __future__ import annotations

import typer

from setupsheets.bench.acts import Act, is_own, joined, keep, kept_before, worked_out
from setupsheets.commands.asking import answered, piece_after_piece, settled
from setupsheets.commands.readings import tell
from setupsheets.commands.shared import print_json
from setupsheets.commands.terminal import say
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.bench import (
    beside_lines,
    came_between_words,
    dials_line,
    doubted_dial_options,
    doubted_dial_words,
    joined_words,
    unlike_words,
    verdict_line,
)


def refuse(words: str) -> typer.Exit:
    """What is wrong with the data, told on stderr; to be raised."""
    typer.echo(words, err=True)
    return typer.Exit(1)


def act(opened: OpenSetUp, asked: Act, *, as_json: bool) -> None:
    """Keep what the options say in one entry and tell what it comes to; ask where they say nothing.

    What is to be known before comes first: other open records of the same set-up, what its ends go
    into.
    """
    says = asked.says_anything(opened)
    for line in beside_lines(opened, begins=opened.path is None and not says):
        typer.echo(line, err=True)
    if not says:
        piece_after_piece(opened, asked)
        return
    if asked.own and not is_own(asked.own):
        message = "expected 4 to 40 lower-case letters and digits"
        raise typer.BadParameter(message, param_hint="--id")
    if kept_before(opened, asked.own):
        told = opened.answer() if opened.record.pieces else None
        _tell(opened, told, "Kept before", as_json=as_json)
        return
    opened = answered(opened, asked.date)
    kept = settled(opened, asked, lambda said: keep(opened, said))
    if kept.others:
        typer.echo(came_between_words(), err=True)
    looked_for = kept.opened.beyond(kept.told)
    for far in kept.opened.doubted_dials(kept.told).items():
        words = doubted_dial_words(kept.opened, *far, looked_for)
        typer.echo(f"{words} {doubted_dial_options(kept.opened, *far)}", err=True)
    _tell(kept.opened, kept.told, as_json=as_json)


def join(opened: OpenSetUp, asked: Act, *, as_json: bool) -> None:
    """Make one record of all that are open of the set-up, and tell what they come to together."""
    if not opened.others:
        raise refuse("Only one record of this set-up is open: there is nothing to join.")
    if names := opened.unlike_others():
        raise refuse(unlike_words(opened, names))
    kept, told, _ = joined(opened, asked)
    _tell_joined(kept, told, as_json=as_json)


def take_apart(opened: OpenSetUp, asked: Act, *, as_json: bool) -> None:
    """Take apart again what was joined, and tell what the record comes to by itself."""
    if not opened.told.joined:
        raise refuse("No other record was joined to this one: there is nothing to take apart.")
    kept, told, _ = worked_out(*opened.taken_apart(asked.entry_in(opened)), asked)
    _tell_joined(kept.write(kept.told.entries[-1]), told, as_json=as_json)


def _tell_joined(kept: OpenSetUp, told: Answer | DryFitAnswer | None, *, as_json: bool) -> None:
    typer.echo(joined_words(kept.told, kept.told.entries[-1]), err=True)
    _tell(kept, told, as_json=as_json)


def _tell(
    opened: OpenSetUp,
    told: Answer | DryFitAnswer | None,
    kept: str = "Kept",
    *,
    as_json: bool,
) -> None:
    if as_json:
        from setupsheets.json_forms.answer_form import log_form  # noqa: PLC0415

        print_json(log_form(opened, told))
    else:
        if told is not None and opened.record.verdict is not Verdict.GIVEN_UP:
            tell(opened, told)
        if words := verdict_line(opened):
            say(words)
        say(dials_line(opened.record, opened.notation))
    typer.echo(f"{kept} in {opened.path}", err=True)
