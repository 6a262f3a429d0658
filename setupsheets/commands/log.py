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
    TypedReadings,
    day,
    set_up_of,
)
from setupsheets.commands.shared import JobArgument, JsonOption, ShopOption
from setupsheets.records.record import Verdict

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
        help="A figure first dialled, where it was not what the sheet says.",
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
    id_: IdOption = "",
    date: DateOption = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Keep a test piece's readings, and advise.

    Asks for what is not given, and goes on with the next piece until the parts can be cut.

    Example: setupsheets log larder cope-crosscut-saw/cross-bar
    """
    from setupsheets.commands.acts import Act, act, tell_beside  # noqa: PLC0415
    from setupsheets.commands.asking import piece_after_piece  # noqa: PLC0415

    today = day(date)
    opened = set_up_of(job, recipe, shop, today, dialled=dialled, afresh=afresh, ask=not found)
    tell_beside(opened)
    asked = Act(
        date=today,
        found=TypedReadings(found, by, length, pair),
        did=did,
        same=same,
        next_piece=next_piece,
        sure=sure,
        strikes=strike,
        verdict=verdict,
        although=although,
        kept=kept,
        own=id_,
    )
    if asked.says_anything(opened):
        act(opened, asked, as_json=as_json)
    else:
        piece_after_piece(opened, asked)
