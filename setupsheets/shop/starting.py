"""A shop folder to begin with: copies of starter files and machines, the user's own from then."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from msgspec import Struct, field

from setupsheets.files.documents import read_document, read_text
from setupsheets.files.faults import NOTHING, DataFaults, unknown, whole_file
from setupsheets.files.known_trees import users_trees
from setupsheets.files.places import data_folder
from setupsheets.files.safe_writing import WriteFault, new_file
from setupsheets.lengths import Unit, read_length
from setupsheets.shop.editors import with_schema_line, write_schemas
from setupsheets.shop.finding import SHOP_FILE, Shop, profiles
from setupsheets.shop.loading import made_from
from setupsheets.shop.machine_kinds import MACHINE_KINDS, MachineType
from setupsheets.shop.new_files import SIZES, new_file_text, tree_of, usual_machines
from setupsheets.shop.recipes import OPTIONAL, Makes
from setupsheets.shop.sections import Member

USUAL_MOULDING = "ovolo"

GITIGNORE = """\
# Locks, and what a write that was broken off has left: of no use to anybody else.
.lock
.*.tmp
"""


def start_shop(folder: Path, files: Mapping[str, str]) -> Path:
    """Make a shop folder of files by their paths in it; the path of the job that is there to edit.

    Each file is led to its schema, for editors. A start that was broken off is gone on with. Raises
    DataFaults where the folder has anything else in it, or where it cannot be written; then what
    was written is taken away again.
    """
    files = {name: with_schema_line(text, name) for name, text in files.items()}
    missing = _missing(folder, files)
    _write(folder, {name: files[name] for name in missing})
    kept = f"kept: the shop in {folder}; the same command again adds what editors read"
    write_schemas(Shop.open(folder), kept)
    return folder / next(name for name in files if name.startswith("jobs/"))


def refuse_strangers(folder: Path) -> None:
    """Raise DataFaults where a folder has anything in it, but what begins with a dot."""
    _missing(folder, {})


def _missing(folder: Path, files: Mapping[str, str]) -> list[str]:
    """Which of a new shop's files are not there yet. Raises DataFaults for what is none of them."""
    try:
        missing = [name for name, text in files.items() if not _is_there(folder / name, text)]
        strange = any(_strangers(folder, files))
    except OSError as error:
        message = f"this folder cannot be read: {error.strerror or error}"
        raise DataFaults([whole_file(folder, message)]) from None
    if strange or (folder.exists() and not folder.is_dir()):
        message = "begin needs a new or empty folder: name another one"
        raise DataFaults([whole_file(folder, message)])
    return missing


def examples() -> Mapping[str, Path]:
    """The folders of the examples that come with the program, by name."""
    folders = sorted(path for path in data_folder("examples").iterdir() if path.is_dir())
    return {path.name: path for path in folders}


def example_files(name: str) -> Mapping[str, str]:
    """Every file of an example's shop by its path in it. Raises ValueError for an unknown name."""
    if name not in examples():
        raise ValueError(unknown("example", name, examples()))
    return _kept_in_git(_files_in(examples()[name]))


class NewShop(Struct, frozen=True):
    """What a shop begins with, as plain trees to change: its own file, its machines, its jobs and
    its cutters, each by name."""

    settings: dict[str, Any]
    machines: dict[str, dict[str, Any]]
    jobs: dict[str, dict[str, Any]]
    cutters: dict[str, dict[str, Any]] = field(default_factory=dict)

    @property
    def unit(self) -> Unit:
        """The unit that it works in."""
        return Unit(self.settings["unit"])

    def files(self) -> Mapping[str, str]:
        """Every file of the shop by its path in it, with what each might hold besides."""
        texts = {SHOP_FILE: new_file_text(self.settings, self.unit)}
        folders = {"jobs": self.jobs, "machines": self.machines, "cutters": self.cutters}
        for folder, things in folders.items():
            for name, data in things.items():
                texts[f"{folder}/{name}.yaml"] = new_file_text(data, self.unit)
        return _kept_in_git(texts)

    def shop(self, folder: Path) -> Shop:
        """The shop that it will be in that folder, as far as its own file goes."""
        text = new_file_text(self.settings, self.unit)
        settings = made_from(read_text(text, folder / SHOP_FILE), self.unit)
        return Shop(folder, settings, users_trees())

    def leave_out(self, machine: str) -> None:
        """Do without a machine."""
        kind = self.machines.pop(machine)["type"]
        self.settings["first_choice"]["machines"].pop(kind, None)

    def take_moulding(self, moulding: str) -> None:
        """Give the jobs another moulding of those that are built in."""
        size = SIZES[self.unit]
        names = {
            f"{each}-{member}-{size}": f"{moulding}-{member}-{size}"
            for each in mouldings(self.unit)
            for member in Member
        }
        for name, job in self.jobs.items():
            self.jobs[name] = _renamed(job, names)

    def read_to(self, instrument: str, before: Mapping[str, Any]) -> None:
        """Let an instrument's readings scatter as its new division has it: a coarser one by as much
        more as it is coarser, a finer one as before, since the hand is the same. Common practice,
        no source."""
        now = self.settings["instruments"][instrument]
        old, new = (read_length(each["resolution"], self.unit) for each in (before, now))
        if new != old:
            now["title"] = instrument.capitalize()
        if new > old:
            spread = read_length(before["spread"], self.unit) * (new / old)
            now["spread"] = str(spread)

    def choose_recipes(self) -> list[str]:
        """In the place of each first choice that lacks a machine or a cutter take a recipe that
        lacks nothing; what a leaf can do without and no recipe here can make is left out, and
        told."""
        usual = [usual_shop(unit).settings["first_choice"] for unit in Unit]
        chosen = self.settings["first_choice"]
        have = {*chosen["cutters"], *_FITTED}
        lacks = {kind for each in usual for kind in each["cutters"]} - have
        if not lacks and usual[0]["machines"].keys() == chosen["machines"].keys():
            return []
        first = {name for each in usual for name in each["recipes"].values()}
        paths = sorted((profiles() / "recipes").glob("*.yaml"))
        paths.sort(key=lambda path: path.stem not in first)
        recipes = {path.stem: read_document(path).data for path in paths}
        able = {
            name: str(recipe["makes"])
            for name, recipe in recipes.items()
            if _able(recipe, have, chosen["machines"])
        }
        left = []
        for makes, name in list(chosen["recipes"].items()):
            if name not in able:
                other = next((each for each, made in able.items() if made == makes), None)
                if other is not None:
                    chosen["recipes"][makes] = other
                elif Makes(makes) in OPTIONAL:
                    left.append(makes)
                    del chosen["recipes"][makes]
        return left


_FITTED = ("sticking_bit", "cope_bit", "moulding_block")
"""Cutters that a section names, and no first choice."""


def _able(recipe: Mapping[str, Any], cutters: Container[str], machines: Container[str]) -> bool:
    """Whether there is a machine and a cutter for every operation of a recipe."""
    return all(
        each["machine"] in machines
        and (not each.get("cutters") or any(kind in cutters for kind in each["cutters"]))
        for each in recipe["operations"]
    )


def mouldings(unit: Unit) -> list[str]:
    """The mouldings that are built in for a shop of that unit, the usual one first."""
    ends = [f"-{member}-{SIZES[unit]}" for member in Member]
    folder = profiles() / "sections"
    found = {path.stem.removesuffix(ends[0]) for path in folder.glob(f"*{ends[0]}.yaml")}
    whole = sorted(each for each in found if (folder / f"{each}{ends[1]}.yaml").is_file())
    return sorted(whole, key=lambda each: each != USUAL_MOULDING)


def usual_cutters(new: NewShop) -> Mapping[str, list[str]]:
    """The types of cutter that a shop has a first choice of and a machine for, each with the names
    of those that are built in for its unit; a type that no machine holds is chosen no more."""
    chosen = new.settings["first_choice"]["cutters"]
    kinds = [MACHINE_KINDS[MachineType(each["type"])] for each in new.machines.values()]
    for kind in [each for each in chosen if not any(each in one.cutters for one in kinds)]:
        del chosen[kind]
    found: dict[str, list[str]] = {kind: [] for kind in chosen}
    for path in sorted((profiles() / "cutters").glob("*.yaml")):
        data = read_document(path).data
        if data["type"] in found and data.get("unit") == new.unit:
            found[str(data["type"])].append(path.stem)
    return found


def _renamed(value: Any, names: Mapping[str, str]) -> Any:
    """The same with names in the place of others, wherever they stand."""
    if isinstance(value, dict):
        return {key: _renamed(each, names) for key, each in value.items()}
    if isinstance(value, list):
        return [_renamed(each, names) for each in value]
    return names.get(value, value) if isinstance(value, str) else value


def usual_shop(unit: Unit) -> NewShop:
    """What a shop of that unit has as a rule."""
    starter = profiles() / "starters" / SIZES[unit]
    jobs = {path.stem: tree_of(path) for path in sorted((starter / "jobs").glob("*.yaml"))}
    return NewShop(tree_of(starter / SHOP_FILE), dict(usual_machines(unit)), jobs)


def starter_files(unit: Unit) -> Mapping[str, str]:
    """Every file of a usual new shop by its path in it."""
    return usual_shop(unit).files()


def _kept_in_git(files: Mapping[str, str]) -> Mapping[str, str]:
    """The same files and what git needs beside them: it keeps no empty folder."""
    return {**files, "records/.gitkeep": "", ".gitignore": GITIGNORE}


def _files_in(folder: Path) -> dict[str, str]:
    """Texts of a shop's files by their paths in a folder; sheets that were made there are none."""
    return {
        path.relative_to(folder).as_posix(): path.read_text("utf-8")
        for path in sorted(folder.rglob("*.yaml"))
    }


def _is_there(path: Path, text: str) -> bool:
    """Whether a file is written already; a `.gitignore` of the maker's own stays as it is."""
    return path.is_file() and (path.name == ".gitignore" or path.read_bytes() == text.encode())


def _strangers(folder: Path, files: Mapping[str, str]) -> Iterator[Path]:
    """What is none of a new shop's files and folders; what begins with a dot is nobody's."""
    folders = _folders(folder, files)
    known = {*folders, *(folder / name for name in files)}
    for place in folders:
        there = place.iterdir() if place.is_dir() else ()
        yield from (path for path in there if path not in known and path.name[0] != ".")


def _write(folder: Path, files: Mapping[str, str]) -> None:
    """Write new files; where one cannot be written, none of them stays."""
    made: list[Path] = []
    folders = [each for each in _folders(folder, files) if not each.exists()]
    for name, text in files.items():
        try:
            new_file(folder / name, text)
            made.append(folder / name)
        except WriteFault as fault:
            made += [folder / name] if fault.left != NOTHING else []
            for path in (*made, *reversed(folders)):
                with suppress(OSError):
                    path.rmdir() if path in folders else path.unlink()
            raise WriteFault(folder / name, fault.faults[0].message) from None


def _folders(folder: Path, files: Mapping[str, str]) -> list[Path]:
    """A folder and those in it that files go into, the outer ones first."""
    return [folder, *sorted({(folder / name).parent for name in files} - {folder})]
