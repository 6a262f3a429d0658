"""Frozen dataclasses that cost little to define: the standard ones in all that they do.

For each class the standard decorator has six functions compiled, half a millisecond, and a command
imports three hundred classes. Here what is alike is shared, and a class has its `__init__` compiled
when the first of its values is made. `fields`, `replace` and `is_dataclass` are the standard ones.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Collection
from dataclasses import MISSING, Field, FrozenInstanceError
from operator import attrgetter
from typing import TYPE_CHECKING, Any

__all__ = ["dataclass"]

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls: type | None = None, /, *, eq: bool = True, **others: bool) -> Any:
        """The standard decorator; of `frozen` classes, with `eq=False` or without, a quick one."""
        if others != {"frozen": True}:
            return dataclasses.dataclass(cls, eq=eq, **others)
        return lambda cls: _frozen(cls, eq=eq)


def _frozen(cls: type, *, eq: bool) -> type:
    own = dict(cls.__dict__)
    dataclasses.dataclass(init=False, repr=False, eq=False)(cls)
    assert all(each.init for each in dataclasses.fields(cls)), "each field is given"
    given: dict[str, Any] = {
        "__init__": _init_at_first(cls),
        "__repr__": _shown,
        "__setattr__": _refused,
        "__delattr__": _refused,
    }
    if eq:
        given["__eq__"], given["__hash__"] = _comparing(dataclasses.fields(cls))
    for name, function in given.items():
        if own.get(name) is None:  # a class with an `__eq__` of its own has None for `__hash__`
            setattr(cls, name, function)
    return cls


def _refused(self: object, name: str, *_: object) -> None:
    raise FrozenInstanceError(f"cannot change {name!r} of a {type(self).__name__}")


def _shown(self: Any) -> str:
    told = (each.name for each in dataclasses.fields(self) if each.repr)
    values = ", ".join(f"{name}={getattr(self, name)!r}" for name in told)
    return f"{type(self).__qualname__}({values})"


def _comparing(fields: Collection[Field[Any]]) -> tuple[Callable[..., Any], Callable[..., int]]:
    """Equality by the fields that are compared, a hash by those that are hashed."""
    compared = _read([each.name for each in fields if each.compare])
    hashed = _read([f.name for f in fields if (f.compare if f.hash is None else f.hash)])

    def same(self: object, other: object) -> Any:
        return compared(self) == compared(other) if type(other) is type(self) else NotImplemented

    return same, lambda self: hash(hashed(self))


def _read(names: list[str]) -> Callable[[Any], Any]:
    """What reads the fields of these names together."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda value: tuple(getattr(value, name) for name in names)


def _init_at_first(cls: type) -> Callable[..., None]:
    """An `__init__` that puts the class's own in its place when a first value is made."""

    def first(self: object, /, *args: object, **named: object) -> None:
        made = _init(cls)
        setattr(cls, "__init__", made)  # noqa: B010  (mypy knows that classes have one)
        made(self, *args, **named)

    return first


def _init(cls: type) -> Callable[..., None]:
    """The `__init__` that the fields of a class ask for."""
    names: dict[str, Any] = {"set_": object.__setattr__, "MISSING": MISSING}
    takes: dict[bool, list[str]] = {False: ["self"], True: []}  # by name alone: the latter
    does = []
    for each in dataclasses.fields(cls):
        name, value, default = each.name, each.name, ""
        if each.default_factory is not MISSING:
            names[f"make_{name}"], default = each.default_factory, "=MISSING"
            value = f"make_{name}() if {name} is MISSING else {name}"
        elif each.default is not MISSING:
            names[f"usual_{name}"], default = each.default, f"=usual_{name}"
        takes[bool(each.kw_only)].append(f"{name}{default}")
        does.append(f" set_(self, {name!r}, {value})")
    if hasattr(cls, "__post_init__"):
        does.append(" self.__post_init__()")
    given = [*takes[False], *(["*", *takes[True]] if takes[True] else [])]
    text = "\n".join([f"def __init__({', '.join(given)}):", *does, " pass"])
    exec(text, names)
    made: Callable[..., None] = names["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made
