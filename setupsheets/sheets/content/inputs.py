"""What a job's sheets are made from: its plan, what is found out about it, what is on record."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct, field

from setupsheets.lengths import Length, Notation
from setupsheets.machining.findings import PlanFindings
from setupsheets.machining.operations import Setting, SetUp
from setupsheets.machining.plan import Plan
from setupsheets.machining.routing.route import Standing, standing
from setupsheets.records.current import CurrentSetting, ReasonKind, SetUpState
from setupsheets.shop.cautions import Caution
from setupsheets.shop.settings import ShopSettings
from setupsheets.wording.lists import counted

States = Mapping[str, SetUpState]
"""By set-up name what the records say about it."""


def first_longer(states: States) -> Length:
    """How much longer the first blanks of parts with tenons are left: one figure for the job, the
    most that any of its set-ups asks for, and nought where none does."""
    asked = (state.leave_longer for state in states.values())
    return max((each for each in asked if each is not None), default=Length.ZERO)


_AS_AIMED = (ReasonKind.AIM, ReasonKind.RESET)


class OnRecord(Struct, frozen=True):
    """What the records say about a job's set-ups; one that is not there was never made.

    ``unread`` are the files of records that could not be read and do not count."""

    states: States
    unread: tuple[str, ...] = ()

    def state(self, set_up: SetUp) -> SetUpState:
        """What they say about a set-up."""
        return self.states.get(set_up.name, SetUpState(settings={}))

    def of(self, set_up: SetUp, setting: Setting) -> CurrentSetting | None:
        """What they say about one setting, where that is more than to set it to its aim."""
        known = self.state(set_up).settings.get(setting.cause)
        return None if known is None or known.reason.kind in _AS_AIMED else known

    def to_dial(self, set_up: SetUp, setting: Setting) -> Length:
        """The figure to dial: what they say, else the aim as near as the dial can be moved."""
        known = self.of(set_up, setting)
        return known.set_to if known is not None else setting.dial.nearest(setting.aim)


class SheetInputs(Struct, frozen=True, dict=True):
    """All that the sheets of one job are made from; ``timber`` is its title, ``addresses`` lead a
    phone to its set-ups, by name."""

    plan: Plan
    shop: ShopSettings
    records: OnRecord
    cautions: Sequence[Caution]
    findings: PlanFindings
    date: datetime.date
    timber: str
    addresses: Mapping[str, str] = field(default_factory=dict)

    @property
    def notation(self) -> Notation:
        """How the shop writes lengths."""
        return self.shop.notation

    @cached_property
    def standing(self) -> Mapping[int, Standing]:
        """By number of an operation, what is left as it is there, as figures are to be dialled."""
        return standing(self.plan.tasks, self.records.to_dial)


def fingerprint(plan: Plan, records: OnRecord) -> str:
    """Eight hexadecimal digits that change with any figure of the plan or of what is to be set."""
    digest = hashlib.sha256("\n".join(_figures(plan, records)).encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}"


def _figures(plan: Plan, records: OnRecord) -> Iterator[str]:
    for part in plan.joinery.parts:
        sizes = (part.width, part.thickness, part.face, part.back, part.overall)
        yield f"part {part.name} {part.count} {' '.join(str(size.mm) for size in sizes)}"
    for mortise in plan.joinery.mortises:
        places = (mortise.start, mortise.end, mortise.depth)
        yield f"mortise {mortise.part} {' '.join(str(place.mm) for place in places)}"
    for set_up in plan.set_ups:
        yield f"set-up {set_up.name} {counted(set_up.counts)}"
        known = records.state(set_up).settings
        for operation in set_up.operations:
            cutter = operation.cutter.name if operation.cutter else ""
            yield f"{operation.number} {operation.name} {operation.machine.name} {cutter}"
            for setting in operation.settings:
                now = known[setting.cause].set_to if setting.cause in known else setting.aim
                yield f"{setting.name} {setting.aim.mm} {now.mm}"
