"""What a maker does with a shop, each act with the state that it begins in.

The shop is a copy of an example of this project; the readings are invented.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.faults import forked

EXAMPLES = Path(__file__).parents[2] / "examples"
SET_UP = "cope-crosscut-saw/cross-bar"
LOG = ("log", "larder", SET_UP, "--date", "2026-03-15")
FIRST = (*LOG, "--found", "overall=15 1/8", "--found", "back_length=14 3/8")
NEXT = (*LOG, "--found", "overall=15 7/64", "--found", "face_length=14 1/4", "--did", "nothing")
THIRD = (*LOG, "--found", "overall=15 9/64", "--did", "nothing")
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


def new_shop(folder: Path, *, records: bool = False) -> Path:
    """A copy of the larder shop, as a rule without its records, named as its own resolved path."""
    shutil.copytree(EXAMPLES / "larder", folder)
    if not records:
        shutil.rmtree(folder / "records")
        (folder / "records").mkdir()
    return folder.resolve()


def made_ready(act: Act, folder: Path) -> Path:
    """A shop in the state that an act begins in."""
    shop = new_shop(folder)
    if act.prepare is not None:
        act.prepare(shop)
    for command in act.before:
        done = forked.run(command, shop, before=forked.same_names_each_time)
        assert done.code == 0, done.err
    return shop


Snapshot = dict[str, str]


def snapshot(shop: Path) -> Snapshot:
    """Every file of a shop by its path, its content as a digest; no locks and temporary files."""
    return {
        str(path.relative_to(shop)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(shop.rglob("*"))
        if path.is_file() and not path.name.endswith(TEMPORARY)
    }


def pieces(shop: Path) -> list[str] | None:
    """The test pieces that `recall` tells of, all records of the set-up taken together; None where
    it does not end well."""
    found: list[str] = []
    number, more = 1, True
    while more:
        told = forked.run(("recall", "cross", "--json", "--number", str(number)), shop)
        if told.code != 0:
            return [] if number == 1 and told.code == 1 and "No record" in told.err else None
        record = json.loads(told.out)
        found += [_piece(each) for each in record["recalled"]["record"].get("pieces", [])]
        found += [f"verdict {record['recalled']['record'].get('verdict', 'open')}"]
        more = number < len(record["found"])
        number += 1
    return sorted(found)


def _piece(piece: dict[str, object]) -> str:
    readings = piece.get("readings", [])
    assert isinstance(readings, Sequence)
    return ", ".join(f"{each['of']} {each.get('found') or each.get('fit')}" for each in readings)
