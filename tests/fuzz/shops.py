"""Files of a shop changed at random, and what passes `check` taken on through the program.

The files are this project's own examples and profiles; the changes are slips that a hand, an editor
or a script makes: a figure out of all bounds, a name that leads nowhere, a line too many.
"""

from __future__ import annotations

import copy
import json
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from ruamel.yaml import YAML

from tests.faults import forked
from tests.faults.acts import LOG, new_shop
from tests.faults.tally import Tally

PROFILES = Path(__file__).parents[2] / "profiles"
FOLDERS = {
    "shop": ".",
    "job": "jobs",
    "machine": "machines",
    "record": "records",
    "recipe": "recipes",
    "cutter": "cutters",
    "section": "sections",
    "timber": "timbers",
    "caution": "cautions",
}

ODD: tuple[Any, ...] = (
    *(0, -1, 1, 2, 7, 100_000, 10**30, -(10**30), 0.5, 1e-99, 1e99, True, None, "", [], {}),
    *("0", "0/1", "-1/4", "1/3", "-1/32 in", "1E+99", "1/1000000", "999999", "1/0", "NaN", "1e400"),
    *("25.4 mm", "1000000 in", "1/1000000 in", "12'", "12 3/7", "cope.fense", "blank.length", "x"),
    *("2026-02-30", "9999-12-31", "0001-01-01", "tight", "×", "a" * 300, "../../up", "a\nb", "#"),
    *("part.length", "part.length / 0", "blank.width * blank.width", "1 = 1", "cutter.kerf - 1 in"),
    *([1, 2, 3], {"a": 1}, ["x"] * 200),
)


@dataclass(frozen=True)
class Seed:
    """One sound file: its kind, its place in a shop, and what it holds."""

    kind: str
    place: str
    data: Mapping[str, Any]
    text: str


def seeds() -> list[Seed]:
    """Every file of the larder example, and every built-in profile as a shop's own file."""
    yaml = YAML(typ="safe", pure=True)
    shop = PROFILES.parent / "examples" / "larder"
    own = [(path, path.relative_to(shop)) for path in sorted(shop.rglob("*.yaml"))]
    others = [
        path for path in sorted(PROFILES.glob("*/*.yaml")) if path.parent.name in FOLDERS.values()
    ]
    built_in = [
        (path, path.relative_to(PROFILES)) for path in others if path.parent.name != "machines"
    ]
    found = []
    for path, place in (*own, *built_in):
        text = path.read_text("utf-8")
        data = yaml.load(text)
        found.append(
            Seed(data["kind"], str(place), json.loads(json.dumps(data, default=str)), text)
        )
    return found


def changed(seed: Seed, random: Random) -> str:
    """The text of a file with one to three changes: to its values mostly, or to its letters."""
    if random.random() < 0.15:
        text = seed.text
        for _ in range(random.randint(1, 3)):
            text = _letters(text, random)
        return text
    data = copy.deepcopy(dict(seed.data))
    for _ in range(random.choice((1, 1, 1, 2, 3))):
        places = [place for place in _places(data) if place[1] not in ("kind", "version")]
        _change(*random.choice(places), random, [holder[key] for holder, key in places])
    return json.dumps(data, ensure_ascii=False, indent=1)


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Everything that a change may be made to: what holds it, and its key or index there."""
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    for key, item in list(inner):
        yield value, key
        if isinstance(item, dict | list):
            yield from _places(item)


def _change(holder: Any, key: Any, random: Random, others: list[Any]) -> None:
    """One slip: another value, none, one from elsewhere in the file, or one thing twice."""
    kind = random.random()
    if kind < 0.5:
        holder[key] = copy.deepcopy(random.choice(ODD))
    elif kind < 0.7:
        holder[key] = copy.deepcopy(random.choice(others))
    elif kind < 0.8:
        del holder[key]
    elif kind < 0.9 and isinstance(holder, list):
        holder.insert(key, copy.deepcopy(holder[key]))
    elif isinstance(holder[key], str) and holder[key]:
        place = random.randrange(len(holder[key]))
        holder[key] = holder[key][:place] + random.choice("aez-_. /0159") + holder[key][place + 1 :]
    else:
        holder[key] = random.choice((0, 1, -1, 10**6))


def _letters(text: str, random: Random) -> str:
    """One slip in the letters of a file."""
    if not text:
        return "kind"
    place, lines = random.randrange(len(text)), text.split("\n")
    line = random.randrange(len(lines))
    kind = random.randrange(5)
    if kind == 0:
        return text[:place]
    if kind == 1:
        return text[:place] + random.choice("\t\"'{}[]#&*!|>%@`:-?\x00\u2028\ud7ff0") + text[place:]
    if kind == 2:
        return text[:place] + text[place + random.randint(1, 9) :]
    if kind == 3:
        return "\n".join((*lines[:line], lines[line], *lines[line:]))
    return "\n".join(
        (*lines[:line], random.choice((" ", "  ", "- ")) + lines[line], *lines[line + 1 :])
    )


SHEET = ("sheet", "larder", "--format", "md")
AFTER: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "recipe": (("order", "NAME"), SHEET),
    "record": (
        ("recall", "cope"),
        ("recall", "bar", "--chart", "chart.svg"),
        (*LOG, "--found", "overall=15 1/8", "--did", "nothing"),
        ("list", "records"),
        SHEET,
    ),
    "job": (("parts", "larder", "--json"), SHEET, ("recall", "cope")),
    "shop": (SHEET, ("blocks", "17/32"), ("recall", "cope"), ("parts", "larder")),
    "machine": (SHEET, ("recall", "cope"), (*LOG, "--found", "overall=15 1/8")),
}
USUAL = (SHEET, ("list", "cherry"))
"""By kind, the commands that a file goes on through."""


class Ground:
    """A shop to try files in, put right again after each. What `check` passes must end well in the
    commands that make something of it."""

    def __init__(self, room: Path) -> None:
        self._whole = new_shop(room / "whole", records=True)
        self.shop = self._whole.with_name("shop")

    def tried(self, seed: Seed, text: str, tally: Tally) -> None:
        """Check one changed file; if it passes, take it on through the program."""
        shutil.rmtree(self.shop, ignore_errors=True)
        shutil.copytree(self._whole, self.shop)
        path = self.shop / seed.place
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        checked = forked.run(("check", seed.place), self.shop)
        tally.ended(f"{seed.place}, check, {shortened(text, seed)}", checked)
        if checked.code != 0:
            if checked.code == 1 and not checked.err.strip() and not checked.out.strip():
                tally.wrong("untrue", f"{seed.place}: exit 1 without a word")
            return
        for command in AFTER.get(seed.kind, USUAL):
            said = [Path(seed.place).stem if word == "NAME" else word for word in command]
            outcome = forked.run(said, self.shop)
            story = f"{seed.place}, {command[0]}, {shortened(text, seed)}"
            tally.looked_at(story, outcome)
            if outcome.code == 1 and command[0] in ("sheet", "parts") and self._sound():
                last = outcome.err.strip().splitlines()[-2:]
                tally.wrong("untrue", f"{story}: check passes the shop; {' '.join(last)[:200]}")

    def _sound(self) -> bool:
        """Whether `check` passes the whole shop: what it passes can be made."""
        return forked.run(("check",), self.shop).code == 0


def shortened(text: str, seed: Seed) -> str:
    """What differs from the sound file, for the story of a fault."""
    try:
        return "; ".join(_differences(seed.data, json.loads(text)))[:240]
    except ValueError:
        return "changed in its letters"


def _differences(old: Any, new: Any, path: str = "") -> Iterator[str]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in old.keys() | new.keys():
            yield from _differences(old.get(key), new.get(key), f"{path}.{key}")
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for index, (one, other) in enumerate(zip(old, new, strict=True)):
            yield from _differences(one, other, f"{path}.{index}")
    elif old != new:
        yield f"{path} = {str(new)[:60]}"
