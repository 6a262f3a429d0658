"""What a maker does with a shop, each act with the state that it begins in.

The shop is a copy of an example of this project; the readings are invented.
"""

from __future__ import annotations

import hashlib
import re
import shutil
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from random import Random

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.plan import plan_of
from setupsheets.records.record import RecordedPiece
from setupsheets.records.shop_records import ShopRecords
from setupsheets.shop.finding import Shop
from tests.faults import forked
from tests.faults.forked import EXAMPLES

SET_UP = "cope-crosscut-saw/cross-bar"
LOG = ("log", "larder", SET_UP, "--date", "2026-03-15")
FIRST = (*LOG, "--found", "overall=15 1/8", "--found", "back_length=14 3/8")
NEXT = (*LOG, "--found", "overall=15 7/64", "--found", "face_length=14 1/4", "--did", "nothing")
THIRD = (*LOG, "--found", "overall=15 9/64", "--did", "nothing")
MOVED_FAR = (*LOG, "--found", "overall=15 1/64", "--did", "cope.fence=1/8")
TEMPORARY = (".tmp", ".lock")


@dataclass(frozen=True)
class Act:
    """One command, and those that were given before it. ``keeps`` says that it is to add a test
    piece or a verdict to the records; ``typed`` is what is typed at its prompts; ``prepare`` puts
    something into the shop first."""

    name: str
    command: tuple[str, ...]
    before: tuple[tuple[str, ...], ...] = ()
    keeps: bool = False
    typed: str = ""
    prepare: Callable[[Path], object] | None = None
    example: str = "larder"
    drawn: bool = False


class UnmadeError(Exception):
    """An act that does not end well undisturbed: nothing can be tried with it."""


def _strip_first(shop: Path) -> None:
    """A shop's own bar, whose strips would be sawn off before anything is guided by them."""
    text = (EXAMPLES.parent / "profiles" / "recipes" / "bar-grooved.yaml").read_text("utf-8")
    text = re.sub(r"^    after: \[.*\n", "", text, flags=re.MULTILINE)
    parts = re.split(r"(?m)^(?=  - name: (?:groove|sticking|strip)$|measures:)", text)
    assert len(parts) == 5
    head, groove, sticking, strip, rest = parts
    (shop / "recipes").mkdir()
    whole = head + strip + groove + sticking + rest
    (shop / "recipes" / "bar-grooved.yaml").write_text(whole, "utf-8")


TYPED = "15 1/8\n14 3/8\n.375\n\n14 1/4\n\nn\nnothing\nn\n"

ACTS = (
    Act("log: first piece", FIRST, keeps=True),
    Act("log: next piece", NEXT, (FIRST,), keeps=True),
    Act("log: third piece", THIRD, (FIRST, NEXT), keeps=True),
    Act("log: moved far", MOVED_FAR, (FIRST,), keeps=True),
    Act("log: piece and verdict", (*FIRST, "--verdict", "given up"), keeps=True),
    Act("log: verdict", (*LOG, "--verdict", "given up"), (FIRST,), keeps=True),
    Act("log: at the bench", LOG, keeps=True, typed=TYPED),
    Act("sheet", ("sheet", "larder"), (("sheet", "larder"), FIRST)),
    Act("sheet: new", ("sheet", "larder", "--format", "html,md,json")),
    Act("parts", ("parts", "larder", "--format", "csv", "--to", "orders")),
    Act("parts: pages", ("parts", "larder", "--format", "md", "--to", "orders")),
    Act("chart", ("recall", "cross", "--chart", "chart.svg", "--date", "2026-03-15"), (FIRST,)),
    Act("order", ("order", "bar-grooved", "--write"), prepare=_strip_first),
    Act("begin", ("begin", "new")),
)


def new_shop(folder: Path, *, records: bool = False, example: str = "larder") -> Path:
    """A copy of an example, as a rule without its records, named as its own resolved path."""
    shutil.copytree(EXAMPLES / example, folder)
    if not records:
        shutil.rmtree(folder / "records")
        (folder / "records").mkdir()
    return folder.resolve()


def made_ready(act: Act, folder: Path) -> Path:
    """A shop in the state that an act begins in."""
    shop = new_shop(folder, example=act.example)
    if act.prepare is not None:
        act.prepare(shop)
    for command in act.before:
        done = forked.run(command, shop, before=forked.same_names_each_time)
        if done.code != 0:
            raise UnmadeError(f"{command}: {done.err}")
    return shop


@cache
def _measured(example: str) -> Sequence[tuple[str, Mapping[str, Length]]]:
    """The set-ups of an example's job of which anything is measured, with what it should be."""
    shop = Shop.open(EXAMPLES / example)
    return [
        (set_up.name, {each.name: each.target for each in set_up.measurements})
        for set_up in plan_of(shop.job(example), shop).set_ups
        if set_up.measurements
    ]


def drawn_act(random: Random) -> Act:
    """A test piece of any set-up of an example, after none to two others of it, and what else `log`
    may be asked for with it."""
    example = random.choice(("larder", "vestibule"))
    set_up, measures = random.choice(_measured(example))
    day = f"2026-{random.randint(1, 12):02}-{random.randint(1, 28):02}"
    log = ("log", example, set_up, "--date", day, "--sure")

    def piece() -> tuple[str, ...]:
        wanted = random.sample([*measures], random.randint(1, min(3, len(measures))))
        off = {name: Length(f"{random.randint(-20, 20)}/64 in") for name in wanted}
        found = (f"{name}={measures[name] + off[name]!s}" for name in wanted)
        return (*log, *(word for each in found for word in ("--found", each)))

    nothing = ("--did", "nothing")
    earlier = [piece(), *((*piece(), *nothing) for _ in range(2))][: random.randint(0, 2)]
    extras: list[tuple[str, ...]] = [(), ("--kept", "on a nail"), ("--verdict", "given up")]
    if earlier:
        extras += [("--same",), ("--strike", earlier[-1][-1 if "=" in earlier[-1][-1] else -3])]
    chosen = random.choice(extras)
    if chosen[:1] == ("--strike",):
        chosen = ("--strike", chosen[1].partition("=")[0])
    command = (*piece(), *(nothing if earlier else ()), *chosen)
    name = f"{example}: {set_up}, {len(earlier)} before, {' '.join(chosen)}"
    return Act(name, command, tuple(earlier), keeps=True, example=example, drawn=True)


Snapshot = dict[str, str]


def snapshot(shop: Path) -> Snapshot:
    """Every file of a shop by its path, its content as a digest; no locks and temporary files."""
    return {
        str(path.relative_to(shop)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(shop.rglob("*"))
        if path.is_file() and not path.name.endswith(TEMPORARY) and ".index" not in path.parts
    }


def pieces(shop: Path) -> list[str] | None:
    """The test pieces and verdicts of all records in a shop; None where any cannot be read."""
    return forked.read(_pieces_in, shop)


def _pieces_in(folder: Path) -> list[str] | None:
    shop = Shop.open(folder)
    records = ShopRecords(shop)
    found = [records.record(each) for each in records.asked_for("")]
    told = [_piece(piece) for record in found for piece in record.pieces]
    told += [f"verdict {record.verdict}" for record in found]
    return None if shop.passed_over else sorted(told)


def _piece(piece: RecordedPiece) -> str:
    write = Notation(Unit.IN, Fraction(1, 64)).write
    return ", ".join(
        f"{each.of} {each.fit if each.found is None else write(each.found)}"
        for each in piece.readings
    )
