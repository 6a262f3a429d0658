"""How many test pieces are due for a set-up, and why: the one place that decides it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from msgspec import Struct, field

from setupsheets.corrections.limiting import BestChance, pieces_expected, reach_before_first_cut
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.stopping import MOST_PIECES
from setupsheets.corrections.untold import believe_as_told
from setupsheets.files.known_results import once_known
from setupsheets.joinery.members.parts import MadeAs
from setupsheets.lengths import Length
from setupsheets.records.answer import BelievedFrom, believed_from
from setupsheets.records.changes import SAME, ChangeSince
from setupsheets.records.learnt import side_of
from setupsheets.records.model import options_of
from setupsheets.records.offset_history import OffsetHistory
from setupsheets.records.record import Record
from setupsheets.records.standing import Stands, how_it_stands
from setupsheets.shop.finding import Shop
from setupsheets.shop.recipes import MadeSize


class Prospects(NamedTuple):
    """What a set-up comes to before its first piece: how many test pieces it will take, and the
    best that can be reached, None where nothing is measured that a setting moves."""

    pieces: int
    reach: BestChance | None


def prospects_of(record: Record, shop: Shop, history: OffsetHistory) -> Prospects:
    """The prospects of a record without pieces, from what is known of its machines."""
    if record.is_dry_fit:
        return Prospects(1, None)
    sure = float(shop.settings.sure_enough)
    options = [each for each in options_of(record, shop) if not each.blank]
    return _prospects(believed_from(record, shop, history), options, sure)


@once_known(most=400)
def _prospects(told: BelievedFrom, options: Sequence[ReadingOption], sure: float) -> Prospects:
    belief = believe_as_told(*told)
    return Prospects(
        pieces_expected(belief, options, sure, MOST_PIECES),
        reach_before_first_cut(belief, options, sure, MOST_PIECES),
    )


class PiecesDue(Struct, frozen=True):
    """So many test ``pieces`` are to be got out ``today``, as the record of a set-up ``stands``:
    none while its proof holds, one more while it is open, else as many as are needed and one to
    spare.

    ``record`` is that one, None where there is none; ``since`` is what has changed that asks for
    them, ``fits`` what is fitted to a mate today and was fitted otherwise then; ``returns`` by
    cause, of a proof of long ago, one standard deviation of where its dial will cut, set again;
    ``reach`` the best that can be reached, None where that is not asked.
    """

    pieces: int
    stands: Stands = Stands.NOT
    record: Record | None = None
    today: datetime.date = datetime.date.max
    since: tuple[ChangeSince, ...] = ()
    fits: Mapping[MadeSize, MadeAs] = field(default_factory=dict)
    returns: Mapping[str, Length] = field(default_factory=dict)
    reach: BestChance | None = None


def pieces_due(
    record: Record | None,
    changes: Sequence[ChangeSince],
    today: datetime.date,
    history: OffsetHistory,
    shop: Shop,
    new: Record,
) -> PiecesDue:
    """What is due for the set-up of a ``record``, ``new`` being the one that would begin today and
    ``changes`` what has changed since."""
    stands = how_it_stands(record, changes, today)
    if record is not None and stands in (Stands.OPEN, Stands.PROVED):
        return PiecesDue(int(stands is Stands.OPEN), stands, record, today)
    prospects = prospects_of(new, shop, history)
    needed = prospects.pieces + 1
    if record is None or stands is Stands.NOT:
        return PiecesDue(needed, record=record, today=today, reach=prospects.reach)
    ended = tuple(change for change in changes if change.ends_proof)
    return PiecesDue(
        pieces=needed,
        stands=stands,
        record=record,
        today=today,
        since=ended or tuple(each for each in changes if each.asks_anew or each.tells_why),
        fits={
            size: made
            for size, made in new.fits.items()
            if size not in record.fitted_to or abs(record.fitted_to[size] - made.size) > SAME
        },
        returns=_returns(record, history, shop) if stands is Stands.AGED else {},
        reach=prospects.reach,
    )


def _returns(record: Record, history: OffsetHistory, shop: Shop) -> Mapping[str, Length]:
    told = (
        (item.cause, history.of(item.machine, item.setting, side_of(item, record, shop), item.aim))
        for item in record.settings
    )
    return {cause: known.give_or_take for cause, known in told if known is not None}
