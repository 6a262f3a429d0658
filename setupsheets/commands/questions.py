"""Asking what a shop has, before anything is written: what is asked is kept in hand only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import typer

from setupsheets.commands.terminal import width, wrapped
from setupsheets.files.faults import DataFaults, field_name
from setupsheets.files.scalars import plain_scalar
from setupsheets.files.schema_keys import LENGTHS, Holds, Key, KeyPath, holds, keys_of, whole
from setupsheets.files.schemas import Schema, faults_of_value
from setupsheets.lengths import Unit
from setupsheets.shop.beginning import NewThing, Steps, begun, named_kind
from setupsheets.shop.finding import is_name
from setupsheets.shop.loading import FORMATS
from setupsheets.shop.starting import NewShop, mouldings, usual_cutters, usual_shop
from setupsheets.wording.schema_keys import UNITS, plain

T = TypeVar("T")
NONE, OWN, AS_IT_IS = "none", "own", "as it is"
MEASURED: Mapping[Unit, str] = {
    unit: "  Or as you measure it: how far in from the sight edge and how far down from the face, "
    f"from the face on, with ; between; an arc has round or hollow and its radius: {example}"
    for unit, example in (
        (Unit.IN, "3/8, 1/16; 1/16, 3/8 round 5/16; 0, 3/8"),
        (Unit.MM, "10, 1.5; 1.5, 10 round 8.5; 0, 10"),
    )
}


def asked(prompt: str, read: Callable[[str], T], default: str | None = None) -> T:
    """What is typed at a prompt, asked again while ``read`` raises ValueError; Enter takes the
    default, if there is one, or else the empty text."""

    def proc(text: str) -> T:
        try:
            return read(text.strip())
        except ValueError as error:
            raise typer.BadParameter(str(error)) from None

    found: T = typer.prompt(
        prompt,
        default=default or "",
        show_default=bool(default),
        value_proc=proc,
        prompt_suffix=" " if prompt.endswith("?") and not default else ": ",
        err=True,
    )
    return found


def told(*lines: str) -> None:
    """Lines before a question."""
    for line in lines:
        for part in wrapped(line, width()):
            typer.echo(part, err=True)


# ------------------------------------------------------------------------------- one thing of it


def ask_thing(thing: NewThing) -> None:
    """Ask for everything about a new thing that is not given, until it is sound."""
    while True:
        while (question := thing.next_question()) is not None:
            _ask_one(thing, *question)
        try:
            thing.checked()
        except DataFaults as found:
            told(*(f"{each.field}: {each.message}".removeprefix(": ") for each in found.faults))
            told("That does not fit yet: it is asked once more, and Enter keeps what stands.")
            thing.given.clear()
        else:
            return


def _ask_one(thing: NewThing, steps: Steps, key: Key) -> None:
    holder = thing.at(steps[:-1])
    whose = ""
    if isinstance(holder, Mapping) and len(steps) > 1:
        whose = holder.get("title", holder.get("name", ""))
    told(f"{whose}: {key.sentence}" if whose else key.sentence, *_choices(thing, steps, key))
    has = thing.at(steps)
    shown = has if isinstance(has, str) else plain(has)
    if key.name == "outline" and isinstance(has, list):
        shown = AS_IT_IS
    needed = thing.needs(steps, key)
    stands = shown if has is not None else "" if needed else NONE
    prompt = _in_unit(field_name(steps), key.schema, thing.unit)
    if has is None:
        enter = "" if needed else f"; Enter: {NONE if key.default is None else plain(key.default)}"
        prompt += f" (such as {_such_as(thing, steps, key)}{enter})"

    def read(text: str) -> None:
        if not text and needed:
            raise ValueError("this is needed")
        if text in ("", stands):
            thing.keep(steps)
        else:
            thing.put_at(steps, key, text)

    asked(prompt, read, None if has is None else shown)


def _in_unit(prompt: str, schema: Schema, unit: Unit) -> str:
    """A prompt with the unit of a bare length."""
    held = whole(schema.get("items", schema))
    return f"{prompt}, in {UNITS[unit]}" if holds(held) in LENGTHS else prompt


def _choices(thing: NewThing, steps: Steps, key: Key) -> list[str]:
    """What a question has for answers, where these are few."""
    if key.holds is Holds.ONE_OF:
        return [f"  {', '.join(key.choices)}"]
    if key.name == "outline":
        return [MEASURED[thing.unit]]
    if (kind := named_kind(thing.kind, steps)) is None:
        return []
    return [f"  {', '.join(thing.choices(kind, steps))}"]


def _such_as(thing: NewThing, steps: Steps, key: Key) -> str:
    example = thing.example(steps, key)
    if key.name == "outline":
        return "moulding.svg"
    return example if isinstance(example, str) else plain(example).strip("[]")


# --------------------------------------------------------------------------------- a whole shop


def ask_shop(folder: Path, unit: Unit | None) -> NewShop:
    """What a new shop has, asked from beginning to end; Enter takes what is usual."""
    told("Enter takes what stands in brackets. Nothing is written before all is asked.")
    unit = unit or asked("Do you work in inches or in mm (in, mm)?", Unit, Unit.IN.value)
    new = usual_shop(unit)
    _ask_into(new.settings, "title", "What is the shop called?", "shop", ("title",), unit)
    told("The finest mark that is worked to, as a fraction or a decimal.")
    _ask_into(new.settings, "finest", "Finest mark", "shop", ("finest",), unit)
    _ask_instruments(new)
    for key, what in (("blocks", "Set-up blocks"), ("shims", "Shims")):
        prompt = f"{what} (with commas between, or none)"
        _ask_into(new.settings, key, prompt, "shop", (key,), unit)
    told("Your machines, each with the finest move that its dials really take:")
    for name, machine in list(new.machines.items()):
        if machine["settings"]:  # a bench is there, and has none
            _ask_machine(new, name, machine)
    _ask_cutters(new, folder)
    every = mouldings(unit)
    told("The moulding of the door that is there to begin with; one of your own is begun later:")
    moulding = asked(f"Moulding ({', '.join(every)})", _one_of(every), every[0])
    new.take_moulding(moulding)
    return new


def _one_of(words: Iterable[str]) -> Callable[[str], str]:
    known = tuple(words)

    def read(text: str) -> str:
        if text not in known:
            raise ValueError(f"expected one of {', '.join(known)}, found {text!r}")
        return text

    return read


def _yes(question: str) -> bool:
    return typer.confirm(question, default=True, err=True)


def _ask_into(
    data: dict[str, Any], key: str, prompt: str, kind: str, path: KeyPath, unit: Unit
) -> None:
    """Ask for one value of a thing that has it already."""
    schema = next(each.schema for each in keys_of(kind) if each.path == path)
    has = data[key]

    def read(text: str) -> Any:
        value: Any = text if isinstance(has, str) and key == "title" else plain_scalar(text)
        if isinstance(has, list):
            parts = () if text == NONE else text.split(",")
            value = [plain_scalar(each.strip()) for each in parts]
        if faults := faults_of_value(value, schema, unit, FORMATS):
            raise ValueError(faults[0].message)
        return value

    data[key] = asked(_in_unit(prompt, schema, unit), read, plain(has).strip("[]"))


def _ask_instruments(new: NewShop) -> None:
    """How finely each instrument is read; how far readings scatter goes with it."""
    for name, instrument in new.settings["instruments"].items():
        before = dict(instrument)
        path = ("instruments", "*", "resolution")
        prompt = f"{name.capitalize()}: the finest division that is read"
        _ask_into(instrument, "resolution", prompt, "shop", path, new.unit)
        new.read_to(name, before)


def _ask_machine(new: NewShop, name: str, machine: Mapping[str, Any]) -> None:
    title = str(machine["title"])
    if not _yes(f"Is there a {title.lower()}?"):
        new.leave_out(name)
        return
    for dial, setting in machine["settings"].items():
        prompt = f"  {setting['title']}: finest move"
        path = ("settings", dial, "finest")
        _ask_into(setting, "finest", prompt, "machine", path, new.unit)


def _ask_cutters(new: NewShop, folder: Path) -> None:
    """The first choice among cutters of each type that a machine of the shop holds."""
    chosen = new.settings["first_choice"]["cutters"]
    told("Your cutters: one of those that are built in, none, or own for one of yours:")
    for kind, names in usual_cutters(new).items():
        words = kind.replace("_", " ").capitalize()
        name = asked(f"{words} ({', '.join(names)})", _one_of((*names, NONE, OWN)), chosen[kind])
        if name == NONE:
            del chosen[kind]
        elif name == OWN:
            chosen[kind] = _ask_own_cutter(new, folder, kind)
        else:
            chosen[kind] = name
    if left := new.choose_recipes():
        told(f"No recipe makes this with what there is, and it is left out: {', '.join(left)}.")


def _ask_own_cutter(new: NewShop, folder: Path, kind: str) -> str:
    def read(text: str) -> str:
        if not is_name(text) or text in new.cutters:
            raise ValueError("a name is lower-case letters and digits with hyphens between")
        return text

    name = asked("  What is its file to be called (such as our-blade)?", read)
    thing = begun("cutter", name, new.shop(folder), None)
    thing.put("type", kind)
    ask_thing(thing)
    new.cutters[name] = thing.data
    return name
