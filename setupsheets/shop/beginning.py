"""A new cutter, section, machine, or whatever else a shop owns: a plain tree to put answers in.

What is asked, in which order, stands in ``ASKED``; what each answer is, whether it is needed and
where it may not stand at all, the schema of the kind says.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import pairwise
from pathlib import Path
from typing import Any

from msgspec import Struct, field

from setupsheets.files.documents import read_document, read_text, read_tree
from setupsheets.files.faults import DataFaults, Step, field_name, stop_on, unknown
from setupsheets.files.kinds import CURRENT
from setupsheets.files.scalars import plain_scalar
from setupsheets.files.schema_keys import EACH, LENGTHS, Holds, Key, holds, keys_of, under, whole
from setupsheets.files.schemas import Schema, faults_of_value, schema_of
from setupsheets.files.upgrades import upgrade
from setupsheets.lengths import Unit
from setupsheets.shop.cutters import CUT_SHAPES, CutShape, CutterType
from setupsheets.shop.file_examples import example_of
from setupsheets.shop.finding import Shop, profiles
from setupsheets.shop.loading import FORMATS, KINDS, made_from, validated
from setupsheets.shop.measured_outlines import measured_steps
from setupsheets.shop.new_files import ENDS, SIZES, new_file_text, tree_of, usual_machines
from setupsheets.shop.older_versions import STEPS
from setupsheets.shop.sections import Member

Steps = tuple[Step, ...]

ASKED: Mapping[str, tuple[str, ...]] = {
    "cutter": (
        *("type", "title", "diameter", "kerf", "width", "length"),
        *("profile.shape", "profile.width", "profile.depth", "profile.quirk", "profile.outline"),
        *("reach", "stack.outside", "stack.chippers", "stack.shims", "greatest_speed"),
    ),
    "section": (
        *("title", "member", "cutters.sticking_bit", "cutters.cope_bit", "thickness", "width"),
        *("sticking.shape", "sticking.width", "sticking.depth", "sticking.quirk"),
        *("sticking.outline", "rebate.width", "rebate.depth"),
    ),
    "machine": (
        *("type", "title", "settings.*.finest", "settings.*.greatest", "speeds"),
        *("fence_height", "table_opening"),
    ),
    "job": (
        *("title", "timber", "count", "leaf.width", "leaf.height", "stiles.section"),
        *("rails.*.section", "bars.section", "fields.*.rows", "fields.*.columns"),
    ),
    "timber": ("title", "radial", "tangential", "source", "density", "density_source", "hard"),
    "recipe": ("title",),
    "caution": ("title",),
}
"""What is asked of a new thing, by kind: ``*`` is each that it has."""

_ALWAYS_THERE: Mapping[str, Mapping[str, Any]] = {"section": {"cutters": {}}}
_MOULDS = {each for each, shape in CUT_SHAPES.items() if shape is CutShape.MOULDING}
_BEFORE_ANY_LENGTH = {"kind", "version", "title", "unit", "type", "member", "cutters"}
_HISTORY = ("events",)
"""What happened to the thing that another is like."""


class NewThing(Struct):
    """Something that is begun in a shop: its ``data`` so far, and what was ``given`` or asked."""

    kind: str
    name: str
    shop: Shop
    data: dict[str, Any]
    given: set[Steps] = field(default_factory=set)

    @property
    def path(self) -> Path:
        """Where its file will lie."""
        return self.shop.folder / KINDS[self.kind][0] / f"{self.name}.yaml"

    @property
    def unit(self) -> Unit:
        """The unit of the bare lengths in its file."""
        return Unit(str(self.data.get("unit", self.shop.settings.unit)))

    def at(self, steps: Steps) -> Any:
        """What it has there; None where it has nothing."""
        found: Any = self.data
        for step in steps:
            if isinstance(step, int) or not isinstance(found, Mapping):
                found = found[step] if isinstance(found, list) and isinstance(step, int) else None
            else:
                found = found.get(step)
        return found

    def put(self, name: str, text: str) -> None:
        """Put in what is typed for a key, such as `rails.*.section`. Raises ValueError."""
        places = list(self.places(tuple(name.split("."))))
        if not places:
            raise ValueError(f"there is nothing yet that {name} would be a part of")
        for steps in places:
            self.put_at(steps, self.key(steps), text)

    def put_at(self, steps: Steps, key: Key, text: str) -> None:
        """Put in what is typed for one key. Raises ValueError for what it may not hold."""
        root = self._keys[(str(steps[0]),)]
        if not root.allowed_in(self.data):
            raise ValueError(f"a {self.data.get('type', self.kind)} has no {root.name}")
        if steps == ("unit",) and self.data.keys() - _BEFORE_ANY_LENGTH:
            raise ValueError("say it before any length, or a unit behind each: 3/8 in, 9.5 mm")
        value = self._read(text, steps, key)
        if faults := faults_of_value(value, key.schema, self.unit, FORMATS):
            raise ValueError(faults[0].message)
        self._check_name(steps, value)
        before = self.at(steps)
        holder = self.data
        for step, after in pairwise(steps):
            if isinstance(holder, dict) and step not in holder:
                holder[str(step)] = [] if isinstance(after, int) else {}
            holder = holder[step]  # type: ignore[index]
        holder[steps[-1]] = value  # type: ignore[index]
        self.given.add(steps)
        self._follow(steps, value)
        if steps == ("stiles", "section"):
            for rail in self.data["rails"]:  # a door is of one section, but where it is said
                rail["section"] = value if rail["section"] == before else rail["section"]

    def keep(self, steps: Steps) -> None:
        """Leave what is there as it is, or nothing."""
        self.given.add(steps)

    def places(self, pattern: Sequence[str]) -> Iterator[Steps]:
        """The places that a path with ``*`` or numbers counted from 1 stands for."""
        found: list[Steps] = [()]
        for word in pattern:
            found = [(*place, step) for place in found for step in _steps(self.at(place), word)]
        yield from found

    def key(self, steps: Steps) -> Key:
        """What the schema says of a place. Raises ValueError where it says nothing."""
        for named in (
            tuple(EACH if isinstance(step, int) else step for step in steps),
            tuple(
                EACH if isinstance(step, int) or index == 1 else step
                for index, step in enumerate(steps)
            ),
        ):
            if named in self._keys:
                return self._keys[named]
        known = [".".join(path) for path in self._keys]
        raise ValueError(unknown("key", field_name(steps), known))

    def next_question(self) -> tuple[Steps, Key] | None:
        """The first place that is neither given nor answered yet."""
        for pattern in ASKED[self.kind]:
            root = self._keys[(pattern.split(".")[0],)]
            there = root.name in self.data or root.needed_in(self.data) or "." not in pattern
            if not (there and root.allowed_in(self.data)):
                continue
            for steps in self.places(tuple(pattern.split("."))):
                if steps not in self.given:
                    return steps, self.key(steps)
        return None

    def needs(self, steps: Steps, key: Key) -> bool:
        """Whether it cannot do without an answer there."""
        return key.needed_in(self.data) if len(steps) == 1 else key.needed

    def example(self, steps: Steps, key: Key) -> Any:
        """What one of its kind that is built in has there, or else the schema's example."""
        for path in _built_in(self.kind, self.unit):
            data = read_document(path).data
            like = NewThing(self.kind, path.stem, self.shop, dict(data))
            alike = all(data.get(each) == self.data.get(each) for each in ("type", "member"))
            if alike and (found := like.at(steps)) is not None:
                return found
        return example_of(key.schema, self.unit)

    def choices(self, kind: str, steps: Steps) -> list[str]:
        """The names of what may stand at a place: the shop's own things and those that are built in
        for its unit, cutters of the type and sections of the member that is asked for."""
        foreign = tuple(f"-{end}" for unit in Unit if unit is not self.unit for end in ENDS[unit])
        every = self.shop.everything(kind)
        found = [each.name for each in every if each.own or not each.name.endswith(foreign)]
        return [name for name in found if self._fits(kind, name, steps)]

    def checked(self) -> None:
        """Raise DataFaults for what is wrong or missing in it as it stands."""
        made_from(validated(read_text(self.text(), self.path), self.kind, self.unit), self.unit)

    def text(self) -> str:
        """Its file, with what else it might hold as comments."""
        return new_file_text(self.data, self.unit)

    @property
    def _keys(self) -> Mapping[tuple[str, ...], Key]:
        return {key.path: key for key in keys_of(self.kind)}

    def _fits(self, kind: str, name: str, steps: Steps) -> bool:
        """Whether a thing of the shop may stand at a place; a faulty one may not."""
        with suppress(DataFaults):
            if kind == "cutter":
                return self.shop.cutter(name).type == steps[-1]
            if kind == "section":
                member = Member.BAR if steps[0] == "bars" else Member.FRAME
                return self.shop.section(name).member is member
            return True
        return False

    def _read(self, text: str, steps: Steps, key: Key) -> Any:
        """What is typed as plain data."""
        text = text.strip()
        if text.startswith(("[", "{")):
            try:
                return read_tree(f"k: {text}\n", self.path).data["k"]
            except DataFaults as found:
                raise ValueError(found.faults[0].message) from None
        if key.name == "outline" and not text.endswith((".svg", ".dxf")):
            width = self.at((*steps[:-1], "width"))
            if width is None:
                raise ValueError("say the moulding's width before its outline")
            return measured_steps(text, str(width), self.unit)
        if key.holds is Holds.LIST and "string" not in key.schema["type"]:
            return [plain_scalar(each.strip()) for each in text.split(",") if each.strip()]
        if key.holds in (Holds.TEXT, Holds.NAME, Holds.DATE):
            return text
        return plain_scalar(text)

    def _check_name(self, steps: Steps, value: Any) -> None:
        """Raise ValueError for the name of a thing that the shop does not have."""
        if (kind := named_kind(self.kind, steps)) is None:
            return
        try:
            self.shop.find(kind, str(value))
            cutter = self.shop.cutter(str(value)) if kind == "cutter" else None
        except DataFaults as found:
            raise ValueError(found.faults[0].message) from None
        if cutter and steps[1] in set(CutterType) and cutter.type != steps[1]:
            raise ValueError(f"{value} is a {cutter.type}, not a {steps[1]}")

    def _follow(self, steps: Steps, value: Any) -> None:
        """What follows from an answer: a machine's dials from its kind, a section's moulding from
        the bit that makes it."""
        if self.kind == "machine" and steps == ("type",) and "settings" not in self.data:
            machines = (each for _, each in usual_machines(self.unit) if each["type"] == value)
            self.data |= {**next(machines), **self.data}
        if self.kind == "section" and steps[0] == "cutters" and steps[1] in _MOULDS:
            path = self.shop.find("cutter", str(value)).path
            bit = read_document(path).data
            own = Unit(str(bit.get("unit", self.shop.settings.unit)))
            told, schema = bit["profile"], under(schema_of("cutter"), "profile")
            self.data["sticking"] = told if own is self.unit else _with_unit(told, schema, own)
            self.given |= {("sticking", key) for key in schema["properties"]}


def begun(kind: str, name: str, shop: Shop, like: str | None) -> NewThing:
    """A new thing with nothing but its name, or like another one, what happened to that left out.

    Raises DataFaults where there is no other of that name.
    """
    title = name.replace("-", " ").capitalize()
    data: dict[str, Any] = {"kind": kind, "version": CURRENT[kind], "title": title}
    unit = {"unit": shop.settings.unit.value} if "unit" in schema_of(kind)["properties"] else {}
    if like is None and kind == "job":
        data |= {**tree_of(_starter_job(shop.settings.unit)), "title": title}
    elif like is not None:
        document = read_document(shop.find(kind, like).path)
        stop_on(() if document.kind == kind else [document.marks.fault(f"is no {kind}", "kind")])
        known = upgrade(document, STEPS).data
        copied = {key: known[key] for key in known if key not in _HISTORY}
        own, here = Unit(str(known.get("unit", shop.settings.unit))), shop.settings.unit
        copied = copied if own is here else _with_unit(copied, schema_of(kind), own)
        data |= {**copied, **unit, "title": title}
    else:
        data |= unit
    for key, value in _ALWAYS_THERE.get(kind, {}).items():
        data.setdefault(key, dict(value))
    return NewThing(kind, name, shop, copy.deepcopy(data))


def named_kind(kind: str, steps: Steps) -> str | None:
    """The kind of thing whose name stands at a place."""
    last, first = steps[-1], steps[0]
    if last in ("section", "timber"):
        return str(last)
    held = {"cutters": "cutter", "machines": "machine", "recipes": "recipe"}
    return held.get(str(first)) if len(steps) == 2 and kind in ("section", "job") else None


def _steps(value: Any, word: str) -> list[Step]:
    """The steps that one word of a path stands for, in what is there."""
    if word == EACH:
        return list(range(len(value))) if isinstance(value, list) else list(value or ())
    if isinstance(value, list) and word.isdecimal():
        return [int(word) - 1] if 0 < int(word) <= len(value) else []
    return [word]


def _with_unit(value: Any, schema: Schema, unit: Unit) -> Any:
    """The same with its unit behind every bare length."""
    schema = whole(schema)
    if isinstance(value, Mapping):
        return {key: _with_unit(each, under(schema, key), unit) for key, each in value.items()}
    if isinstance(value, list):
        return [_with_unit(each, whole(schema["items"]), unit) for each in value]
    bare = holds(schema) in LENGTHS and not any(
        each.isalpha() or each in "'\"" for each in str(value)
    )
    return f"{value} {unit}" if bare else value


def _built_in(kind: str, unit: Unit) -> list[Path]:
    """The built-in files of a kind, those for a shop of that unit first."""
    found = sorted((profiles() / KINDS[kind][0]).glob("*.yaml"))
    return sorted(found, key=lambda path: not path.stem.endswith(ENDS[unit]))


def _starter_job(unit: Unit) -> Path:
    return next((profiles() / "starters" / SIZES[unit] / "jobs").glob("*.yaml"))
