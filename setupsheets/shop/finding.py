"""A shop folder and the program's own profiles: finding a thing by its kind and name.

A thing's name is its file's stem, its folder the kind's (machines/, cutters/ ...). A shop's own
file of the same name wins over a built-in one. Files are read when they are asked for, never all.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import TypeVar

from msgspec import Struct, field

from setupsheets.files.documents import (
    ENDING,
    data_files,
    is_there,
    misspelt_files,
    read_bytes,
    yaml_files,
)
from setupsheets.files.faults import DataFaults, unknown, whole_file
from setupsheets.files.known_trees import KnownTrees, users_trees
from setupsheets.files.places import data_folder
from setupsheets.files.throwaway import digest_of
from setupsheets.lengths import Unit
from setupsheets.shop.cautions import Cautions
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.drawn_outlines import DRAWN
from setupsheets.shop.jobs import Job
from setupsheets.shop.loading import KINDS, load, sound
from setupsheets.shop.machines import Machine
from setupsheets.shop.phone_addresses import token_path
from setupsheets.shop.recipes import Makes, Recipe
from setupsheets.shop.sections import Section
from setupsheets.shop.settings import ShopSettings
from setupsheets.shop.timbers import Timber

T = TypeVar("T")

SHOP_FILE = "shop.yaml"

is_name = re.compile(r"(?=.{1,100}$)[a-z0-9]+(?:-[a-z0-9]+)*").fullmatch
"""Whether a text is the name of a thing; a longer one is no file's on any system."""


class KnownFile(Struct, frozen=True):
    """One file that a name leads to. ``own`` is false for a built-in profile; ``hides`` is the
    built-in file that a shop's own one takes the place of."""

    kind: str
    name: str
    path: Path
    own: bool
    hides: Path | None = None


class Shop(Struct, eq=False):
    """One shop folder. ``settings`` are read at once, everything else once, when asked for."""

    folder: Path
    settings: ShopSettings
    trees: KnownTrees
    """Those of files that were sound before, whichever command read them."""
    _read: dict[Path, object] = field(default_factory=dict)
    _makes: dict[Path, Makes] = field(default_factory=dict)
    _places: dict[tuple[str, str], KnownFile] = field(default_factory=dict)
    passed_over: dict[Path, DataFaults] = field(default_factory=dict)
    """Files that a run met and could not use, each with what is done without it: told once."""

    @classmethod
    def open(cls, folder: Path) -> Shop:
        """The shop in a folder that has a shop.yaml; DataFaults where it has none."""
        path = folder / SHOP_FILE
        if not is_there(path):
            message = f"no {SHOP_FILE} here: start a shop folder with `setupsheets begin FOLDER`"
            other = path.with_suffix(".yml")
            if is_there(other):
                path, message = other, ENDING.format(name=SHOP_FILE)
            raise DataFaults([whole_file(path, message)])
        trees = users_trees()
        return cls(folder, load(path, "shop", Unit.IN, trees), trees)

    @classmethod
    def around(cls, place: Path) -> Shop:
        """The shop that a file or folder lies in: the nearest folder upward with a shop.yaml."""
        start = place.absolute()
        for folder in (start, *start.parents):
            if is_there(folder / SHOP_FILE):
                return cls.open(folder)
        return cls.open(start if start.is_dir() else start.parent)

    def machine(self, name: str) -> Machine:
        """The machine of that name. Raises DataFaults, as all of these do."""
        return self._get("machine", name, Machine)

    def cutter(self, name: str) -> Cutter:
        """The cutter of that name."""
        return self._get("cutter", name, Cutter)

    def section(self, name: str) -> Section:
        """The section of that name."""
        return self._get("section", name, Section)

    def recipe(self, name: str) -> Recipe:
        """The recipe of that name."""
        return self._get("recipe", name, Recipe)

    def recipes(self, makes: Makes) -> tuple[Recipe, ...]:
        """Every recipe that makes something, by name."""
        every = self.everything("recipe")
        return tuple(self.recipe(each.name) for each in every if self._made_by(each) is makes)

    def _made_by(self, found: KnownFile) -> Makes:
        """What a recipe makes, as its file says: most are asked for nothing else."""
        if found.path not in self._makes:
            how = {"built_in": not found.own}
            read = sound(found.path, found.kind, self.settings.unit, self.trees, **how)
            if read.thing is not None:
                self._read[found.path] = read.thing
            self._makes[found.path] = Makes(str(read.document.data["makes"]))
        return self._makes[found.path]

    def timber(self, name: str) -> Timber:
        """The timber of that name."""
        return self._get("timber", name, Timber)

    def timber_of(self, job: Job) -> Timber:
        """The timber of a job. Raises DataFaults at the job's own line where there is none."""
        try:
            self.find("timber", job.timber)
        except DataFaults as found:
            faults = [job.marks.fault(fault.message, "timber") for fault in found.faults]
            raise DataFaults(faults) from None
        return self.timber(job.timber)

    def job(self, name: str) -> Job:
        """The job of that name."""
        return self._get("job", name, Job)

    def contents(self) -> str | None:
        """What stands for all that its files say, but for its records; None where one of them
        cannot be read."""
        with suppress(DataFaults, OSError):
            read = sorted((str(path), digest_of(read_bytes(path))) for path in self._files())
            return digest_of(repr((self.settings, read)).encode())
        return None

    def _files(self) -> Iterator[Path]:
        """Every file of the folder that anything may be worked out from, but for records."""
        yield self.folder / SHOP_FILE
        if self.settings.address:
            yield token_path(self.folder)
        for name, _ in KINDS.values():
            if name != ".":
                there = data_files(self.folder / name)
                drawn = (each for each in there.others if each.name.endswith(DRAWN))
                yield from (Path(each.path) for each in (*there.files, *drawn))

    def cautions(self) -> tuple[Cautions, ...]:
        """Every file of cautions, the shop's own in the place of built-in ones of their name."""
        return tuple(
            self._get("caution", found.name, Cautions) for found in self.everything("caution")
        )

    def has(self, kind: str, name: str) -> bool:
        """Whether there is a thing of that kind and name; its file is not read. DataFaults where
        that cannot be said."""
        return self._place(kind, name) is not None

    def find(self, kind: str, name: str) -> KnownFile:
        """Where that thing stands; DataFaults with the nearest known name where it is nowhere."""
        if (found := self._place(kind, name)) is not None:
            return found
        folder = self.folder / KINDS[kind][0]
        for path in misspelt_files(folder):
            if path.stem == name:
                raise DataFaults([whole_file(path, ENDING.format(name=f"{name}.yaml"))])
        known = [found.name for found in self.everything(kind)]
        raise DataFaults([whole_file(folder, unknown(kind, name, known))])

    def _place(self, kind: str, name: str) -> KnownFile | None:
        """Looked for once: after an act is kept, nothing that was read is asked of the disk."""
        key = (kind, name)
        if key not in self._places and (found := self._look(kind, name)) is not None:
            self._places[key] = found
        return self._places.get(key)

    def _look(self, kind: str, name: str) -> KnownFile | None:
        folder = KINDS[kind][0]
        own, built_in = (place / folder / f"{name}.yaml" for place in (self.folder, profiles()))
        if is_name(name):
            if is_there(own):
                return KnownFile(kind, name, own, True, built_in if is_there(built_in) else None)
            if is_there(built_in):
                return KnownFile(kind, name, built_in, False)
        return None

    def everything(self, kind: str) -> Iterator[KnownFile]:
        """All things of a kind by name: the shop's own, and built-in ones that it does not hide."""
        folder = KINDS[kind][0]
        places = (self.folder / folder, profiles() / folder)
        names = {path.stem for place in places for path in yaml_files(place)}
        return (self.find(kind, name) for name in sorted(names) if is_name(name))

    def _get(self, kind: str, name: str, cls: type[T]) -> T:
        found = self.find(kind, name)
        if found.path not in self._read:
            path, unit = found.path, self.settings.unit
            self._read[path] = load(path, kind, unit, self.trees, built_in=not found.own)
        thing = self._read[found.path]
        assert isinstance(thing, cls)
        return thing


@cache
def profiles() -> Path:
    """The folder of the profiles that ship with the program."""
    return data_folder("profiles")
