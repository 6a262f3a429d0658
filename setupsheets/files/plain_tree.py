"""From events to a plain tree with the place of every value, refusing what no data file holds."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from msgspec import Struct, field

from setupsheets.files.events import SyntaxFault, YamlEvent, YamlEventKind
from setupsheets.files.faults import Fault, Marks, Place, Position, Step, field_name
from setupsheets.files.scalars import Scalar, plain_scalar

MOST_DEPTH = 40
MOST_NODES = 50_000
EMPTY = "the file is empty"

Value = Scalar | list["Value"] | dict[str, "Value"]
Steps = tuple[Step, ...]


class Tree(NamedTuple):
    """What one document holds; `root` is worth nothing where there are `faults`."""

    root: Value
    marks: Marks
    faults: tuple[Fault, ...]


def built_tree(path: Path, events: Iterator[YamlEvent]) -> Tree:
    """The tree of the one document in `events`, with all faults that could be found in it."""
    builder = _Builder(path, events)
    root: Value = None
    try:
        root = builder.document()
    except SyntaxFault as fault:
        builder.fault(fault, (), fault.message)
    except _Enough:
        pass
    return Tree(root, Marks(path, builder.places), tuple(builder.faults))


class _Enough(Exception):
    """A limit is passed: the rest of the file is not looked at."""


class _Builder(Struct):
    path: Path
    events: Iterator[YamlEvent]
    faults: list[Fault] = field(default_factory=list)
    places: dict[Steps, Place] = field(default_factory=dict)
    nodes: int = 0

    def fault(self, at: YamlEvent | SyntaxFault, steps: Steps, message: str) -> None:
        place = Position(self.path, at.line, at.column)
        self.faults.append(Fault(place, field_name(steps), message))

    def document(self) -> Value:
        if next(self.events, None) is None:
            self.faults.append(Fault(Position(self.path, 1, 1), "", EMPTY))
            return None
        event = next(self.events)
        root = self.node(event, (), event)
        further = next(self.events, None)
        if further is not None:
            message = "a second document begins here; a file holds one"
            self.fault(further, (), message)
        return root

    def node(self, event: YamlEvent, steps: Steps, key: YamlEvent) -> Value:
        """The value that begins with `event`, reached by `steps`; `key` is where its key stands."""
        start = event if event.value or not event.plain else key  # nothing stands at its key
        self.places[steps] = Place(start.line, start.column, key.line, key.column)
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self.fault(event, (), f"more than {MOST_NODES} values in one file")
            raise _Enough
        if event.anchor is not None or event.tag is not None:
            self.refuse_properties(event, steps)
        if event.kind is YamlEventKind.SCALAR:
            return self.scalar(event, steps)
        if event.kind is YamlEventKind.ALIAS:
            return None
        if len(steps) >= MOST_DEPTH:
            self.fault(event, (), f"nested more than {MOST_DEPTH} deep")
            raise _Enough
        return self.mapping(steps) if event.kind is YamlEventKind.MAPPING else self.sequence(steps)

    def refuse_properties(self, event: YamlEvent, steps: Steps) -> None:
        if event.kind is YamlEventKind.ALIAS:
            message = f"the alias *{event.anchor} is not read here: write the value out"
            self.fault(event, steps, message)
            return
        if event.anchor is not None:
            message = (
                f"the anchor &{event.anchor} is not read here: write the value out where it is used"
            )
            self.fault(event, steps, message)
        if event.tag is not None:
            message = f"the tag {event.tag} is not read here: leave it out"
            self.fault(event, steps, message)

    def scalar(self, event: YamlEvent, steps: Steps) -> Scalar:
        if not event.value.isprintable() and (bad := _forbidden(event.value)):
            self.fault(event, steps, f"the text holds the character {bad}")
        if not event.plain:
            return event.value
        try:
            return plain_scalar(event.value)
        except ValueError as error:
            self.fault(event, steps, str(error))
            return None

    def sequence(self, steps: Steps) -> list[Value]:
        items: list[Value] = []
        for event in self.events:
            if event.kind is YamlEventKind.END:
                break
            items.append(self.node(event, (*steps, len(items)), event))
        return items

    def mapping(self, steps: Steps) -> dict[str, Value]:
        values: dict[str, Value] = {}
        first: dict[str, YamlEvent] = {}
        before, last = None, ""
        for event in self.events:
            if event.kind is YamlEventKind.END:
                break
            if before is not None and _goes_on(before, event):
                message = NO_COMMA.format(value=f"{before.value},{event.value}")
                self.fault(before, (*steps, last), message)
                self.node(next(self.events), (*steps, event.value), event)
                continue
            key = self.key(event, steps)
            before, last = next(self.events), key
            value = self.node(before, (*steps, key), event)
            if key in first:
                place = first[key]
                message = (
                    f"the key {key!r} stands here a second time; the first is in line {place.line}"
                )
                self.fault(event, (*steps, key), message)
                continue
            first[key] = event
            values[key] = value
        return values

    def key(self, event: YamlEvent, steps: Steps) -> str:
        """The key that begins with `event`; a fault, and some text, if it is none."""
        if event.kind is not YamlEventKind.SCALAR:
            self.node(event, (*steps, event.value), event)
            if event.kind is not YamlEventKind.ALIAS:  # which has its fault already
                self.refuse_key(event, steps, "a list or mapping")
            return event.value
        if event.anchor is not None or event.tag is not None:
            self.refuse_properties(event, steps)
        value = self.scalar(event, steps)
        if not isinstance(value, str):
            self.refuse_key(event, steps, event.value or "nothing")
        elif value == "<<" and event.plain:
            message = "the merge key << is not read here: write the values out"
            self.fault(event, steps, message)
        return event.value

    def refuse_key(self, event: YamlEvent, steps: Steps, found: str) -> None:
        message = f"a key is text; found {found}: put it in quotes if it is meant"
        self.fault(event, steps, message)


NO_COMMA = "{value!r} is no number: a comma parts values here, write a point: 12.5 for 12,5"


def _goes_on(before: YamlEvent, event: YamlEvent) -> bool:
    """Whether what stands as a key is what stands behind the comma of the number before it: `5` in
    `{width: 16,5}`."""
    scalars = before.kind is event.kind is YamlEventKind.SCALAR and before.plain and event.plain
    if not scalars or before.line != event.line:
        return False
    close = event.column == before.column + len(before.value) + 1
    return close and before.value[-1:].isdecimal() and event.value[:1].isdecimal()


def _forbidden(text: str) -> str | None:
    """The first character that no text may hold: a control, or half of a surrogate pair."""
    for character in text:
        code = ord(character)
        if (
            (code < 32 and character not in "\t\n")
            or 0x7F <= code < 0xA0
            or 0xD800 <= code < 0xE000
        ):
            return f"U+{code:04X}"
    return None
