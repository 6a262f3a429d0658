"""`log JOB RECIPE`: a test piece into the record, with the advice; asks what was not given."""

from __future__ import annotations

from typing import Annotated

import typer

from setupsheets.commands.readings import (
    ByOption,
    DateOption,
    FoundOption,
    LengthOption,
    PairOption,
    RecipeArgument,
    SureOption,
    day,
    set_up_of,
    time_of,
)
from setupsheets.commands.shared import JobArgument, JsonOption, ShopOption
from setupsheets.records.verdicts import Verdict

DidOption = Annotated[
    list[str],
    typer.Option(
        "--did",
        metavar="WHAT",
        help="What was moved before this piece, since the one before it: advised, nothing, or "
        "CAUSE=AMOUNT for each. What is told twice adds.",
    ),
]
SameOption = Annotated[
    bool,
    typer.Option("--same", help="These readings are of the last test piece, measured again."),
]
NextOption = Annotated[
    bool,
    typer.Option("--next", help="A further piece, even if it reads just as the last one did."),
]
StrikeOption = Annotated[
    list[str],
    typer.Option(
        "--strike",
        metavar="MEASURE",
        help="Strike out the last reading of that measure, a slip: it stays in the file and "
        "counts no more.",
    ),
]
DialledOption = Annotated[
    list[str],
    typer.Option(
        "--dialled",
        metavar="CAUSE=FIGURE",
        help="A figure first dialled, where it was not what the sheet says; also later, of a dial "
        "that turns out to have been set wrong.",
    ),
]
VerdictOption = Annotated[
    Verdict | None, typer.Option("--verdict", help="Close the record with this verdict.")
]
AlthoughOption = Annotated[
    str,
    typer.Option(
        "--although",
        metavar="WHY",
        help="Why it is called proved although the test pieces do not prove it.",
    ),
]
KeptOption = Annotated[str, typer.Option("--kept", help="Where the test piece is kept.")]
AfreshOption = Annotated[
    bool, typer.Option("--afresh", help="Begin a new record even if one is open.")
]
JoinOption = Annotated[
    bool,
    typer.Option(
        "--join",
        help="Make one of all open records of this set-up: each test piece counts once, with the "
        "dials as its own record has them. No file is changed.",
    ),
]
ApartOption = Annotated[
    bool, typer.Option("--apart", help="Take apart again what --join made one of.")
]
IdOption = Annotated[
    str,
    typer.Option(
        "--id",
        metavar="LETTERS",
        help="Letters and digits of your own for this act: given again, it is kept once.",
    ),
]


def log(
    job: JobArgument,
    recipe: RecipeArgument,
    found: FoundOption = [],  # noqa: B006  (typer makes a new list of it)
    by: ByOption = None,
    length: LengthOption = None,
    pair: PairOption = False,
    did: DidOption = [],  # noqa: B006
    same: SameOption = False,
    next_piece: NextOption = False,
    sure: SureOption = False,
    strike: StrikeOption = [],  # noqa: B006
    dialled: DialledOption = [],  # noqa: B006
    verdict: VerdictOption = None,
    although: AlthoughOption = "",
    kept: KeptOption = "",
    afresh: AfreshOption = False,
    join: JoinOption = False,
    apart: ApartOption = False,
    id_: IdOption = "",
    date: DateOption = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Keep a test piece's readings, and advise.

    Asks for what is not given, and goes on with the next piece until the parts can be cut.

    Example: setupsheets log larder cope-crosscut-saw/cross-bar
    """
    from setupsheets.bench.acts import Act  # noqa: PLC0415
    from setupsheets.bench.typed_pieces import TypedReadings  # noqa: PLC0415
    from setupsheets.commands import acts  # noqa: PLC0415

    today = day(date)
    opened = set_up_of(job, recipe, shop, today, dialled=dialled, afresh=afresh, ask=not found)
    asked = Act(
        date=today,
        found=TypedReadings(found, by, length, pair),
        did=did,
        dialled=dialled,
        same=same,
        next_piece=next_piece,
        sure=sure,
        strikes=strike,
        verdict=verdict,
        although=although,
        kept=kept,
        own=id_,
        time=time_of(date),
    )
    if join or apart:
        if asked.says_anything(opened) or afresh or join is apart:
            message = "this is an act of its own: give it without other options"
            raise typer.BadParameter(message, param_hint="--join" if join else "--apart")
        (acts.join if join else acts.take_apart)(opened, asked, as_json=as_json)
        return
    acts.act(opened, asked, as_json=as_json)
