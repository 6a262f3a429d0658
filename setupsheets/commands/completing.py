"""What a half-typed line may go on with, for the shell that asks.

Its function (`shells/`) sets `_SETUPSHEETS_COMPLETE` and hands over the line up to the cursor.
Names of files are read from their folders; what only a worked-out job tells (its set-ups, what is
measured) comes from `known_names`.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from typer.main import get_command

from setupsheets.commands.app import app_for
from setupsheets.commands.completion import ShellName

if TYPE_CHECKING:
    from setupsheets.commands.known_names import ShopNames


def complete(line: str, shell: str) -> list[str]:
    """What the last word of a line may become, as that shell takes it."""
    words = split(line)
    found = candidates(words[1:])
    typed = words[-1]
    if shell != ShellName.BASH:
        return found
    # bash parts words at =, and takes what stands behind it.
    cut = typed.rfind("=") + 1
    quoted = line[: len(line) - len(typed)].endswith(('"', "'"))
    return [each[cut:] if quoted else each[cut:].replace(" ", "\\ ") for each in found]


def split(line: str) -> list[str]:
    """The words of a line that is not finished, the last one what is being typed; empty where it is
    still to be begun."""
    for end in ("", '"', "'"):
        with suppress(ValueError):
            words = shlex.split(line + end)
            begun = bool(end) or (line[-1:] and not line[-1:].isspace())
            return words if begun and words else [*words, ""]
    return [*line.split(), ""]


def candidates(words: Sequence[str]) -> list[str]:
    """What the last of the words behind the program's name may become."""
    *before, typed = words or [""]
    name = next((word for word in before if not word.startswith("-")), None)
    program: Any = get_command(app_for(name or ""))
    command = program.commands.get(name) if name else program
    if command is None:
        return []
    said = _Said(command, before[before.index(name) + 1 :] if name else before)
    if said.waiting is not None:
        return _values(said, said.waiting, typed)
    option, equals, value = typed.partition("=")
    if equals and option in said.options:
        found = _values(said, said.options[option], value)
        return [f"{option}={each}" for each in found]
    if typed.startswith("-"):
        return _starting(typed, ("--help", *said.still_to_say()))
    if name is None:
        return _starting(typed, program.commands)
    argument = said.next_argument
    return _values(said, argument, typed) if argument is not None else []


class _Said:
    """What a line says so far of a command: its values by parameter, and what it waits for."""

    def __init__(self, command: Any, words: Sequence[str]) -> None:
        self.command = command
        options = [each for each in command.params if each.param_type_name == "option"]
        self.arguments = [each for each in command.params if each.param_type_name == "argument"]
        self.options = {text: each for each in options for text in each.opts}
        self.values: dict[str, list[str]] = {}
        self.waiting: Any = None
        self._given = set()
        count = 0
        for word in words:
            text, equals, value = word.partition("=")
            if self.waiting is not None:
                self.values.setdefault(self.waiting.name, []).append(word)
                self.waiting = None
            elif text in self.options:
                option = self.options[text]
                self._given.add(option.name)
                if equals:
                    self.values.setdefault(option.name, []).append(value)
                elif not option.is_flag:
                    self.waiting = option
            elif self.arguments and not word.startswith("-"):
                at = self.arguments[min(count, len(self.arguments) - 1)]
                self.values.setdefault(at.name, []).append(word)
                count += 1
        self._count = count

    @property
    def next_argument(self) -> Any:
        """The argument that comes next; None where there is none more."""
        if self._count < len(self.arguments):
            return self.arguments[self._count]
        last = self.arguments[-1] if self.arguments else None
        return last if last is not None and last.nargs == -1 else None

    def first(self, name: str) -> str:
        """The first value that was said; empty where none was."""
        return next(iter(self.values.get(name, ())), "")

    def still_to_say(self) -> Iterable[str]:
        """The options that may still be given."""
        return (
            text
            for text, each in self.options.items()
            if each.name not in self._given or each.multiple
        )


def _starting(typed: str, names: Iterable[str]) -> list[str]:
    return sorted({name for name in names if name.startswith(typed)})


def _values(said: _Said, parameter: Any, typed: str) -> list[str]:
    """What a parameter may be: its choices, or names as `_NAMES` has them."""
    choices = getattr(parameter.type, "choices", None)
    if choices:
        return _starting(typed, choices)
    if words := _words_of(said.command.name, parameter.opts[0]):
        done, comma, _ = typed.rpartition(",")
        more = (word for word in words if word not in done.split(","))
        return _starting(typed, (f"{done}{comma}{word}" for word in more))
    if (names := _NAMES.get(parameter.name)) is None:
        return []
    from setupsheets.commands.known_names import ShopNames  # noqa: PLC0415

    job = said.first("job") or said.first("what")
    shop = ShopNames.around(said.first("shop"), job)
    return _starting(typed, names(shop, said))


def _words_of(command: str, option: str) -> Sequence[str]:
    """The words that an option of several takes."""
    from setupsheets.commands import parts, rod, sheet  # noqa: PLC0415

    known: Mapping[tuple[str, str], Sequence[str]] = {
        ("parts", "--format"): parts.FORMATS,
        ("sheet", "--format"): sheet.FORMATS,
        ("sheet", "--paper"): sheet.PAPERS,
        ("sheet", "--with"): ("all", *sheet.ALSO),
        ("rod", "--format"): rod.FORMATS,
        ("rod", "--paper"): rod.PAPERS,
    }
    return known.get((command, option), ())


def _with_equals(names: Iterable[str]) -> list[str]:
    return [f"{name}=" for name in names]


def _of_set_up(shop: ShopNames, said: _Said, what: str) -> tuple[str, ...]:
    return shop.of_set_up(said.first("job"), said.first("recipe"), what)


_NAMES: Mapping[str, Callable[[ShopNames, _Said], Iterable[str]]] = {
    "job": lambda shop, said: shop.files("jobs"),
    "recipe": lambda shop, said: shop.set_ups(said.first("job")),
    "what": lambda shop, said: (*shop.files("recipes"), *shop.files("jobs")),
    "kind": lambda shop, said: shop.kinds(),
    "words": lambda shop, said: shop.remembered(),
    "machine": lambda shop, said: shop.of_job(said.first("job"), "machines"),
    "section": lambda shop, said: shop.files("sections"),
    "by": lambda shop, said: shop.of_job(said.first("job"), "instruments"),
    "example": lambda shop, said: shop.examples(),
    "like": lambda shop, said: shop.alike(said.values),
    "found": lambda shop, said: _with_equals(_of_set_up(shop, said, "measures")),
    "strike": lambda shop, said: _of_set_up(shop, said, "measures"),
    "dialled": lambda shop, said: _with_equals(_of_set_up(shop, said, "settings")),
    "did": lambda shop, said: (
        "advised",
        "nothing",
        *_with_equals(_of_set_up(shop, said, "causes")),
    ),
}
"""By the name of a parameter what it may be called."""
