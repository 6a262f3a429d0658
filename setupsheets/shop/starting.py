"""A shop folder to begin with: copies of starter files and machines, the user's own from then."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from setupsheets.files.faults import NOTHING, DataFaults, unknown, whole_file
from setupsheets.files.places import data_folder
from setupsheets.files.safe_writing import WriteFault, new_file
from setupsheets.lengths import Unit
from setupsheets.shop.finding import profiles

SIZES = {Unit.IN: "inch", Unit.MM: "metric"}

GITIGNORE = """\
# Locks, and what a write that was broken off has left: of no use to anybody else.
.lock
.*.tmp
"""


def start_shop(folder: Path, files: Mapping[str, str]) -> Path:
    """Make a shop folder of files by their paths in it; the path of the job that is there to edit.

    A start that was broken off is gone on with. Raises DataFaults where the folder has anything
    else in it, or where it cannot be written; then what was written is taken away again.
    """
    try:
        missing = [name for name, text in files.items() if not _is_there(folder / name, text)]
        strange = any(_strangers(folder, files))
    except OSError as error:
        message = f"this folder cannot be read: {error.strerror or error}"
        raise DataFaults([whole_file(folder, message)]) from None
    if strange or (folder.exists() and not folder.is_dir()):
        message = "begin needs a new or empty folder: name another one"
        raise DataFaults([whole_file(folder, message)])
    _write(folder, {name: files[name] for name in missing})
    return folder / next(name for name in files if name.startswith("jobs/"))


def examples() -> Mapping[str, Path]:
    """The folders of the examples that come with the program, by name."""
    folders = sorted(path for path in data_folder("examples").iterdir() if path.is_dir())
    return {path.name: path for path in folders}


def example_files(name: str) -> Mapping[str, str]:
    """Every file of an example's shop by its path in it. Raises ValueError for an unknown name."""
    if name not in examples():
        raise ValueError(unknown("example", name, examples()))
    return _kept_in_git(_files_in(examples()[name]))


def starter_files(unit: Unit) -> Mapping[str, str]:
    """Every file of a new shop by its path in it."""
    size = SIZES[unit]
    files = _files_in(profiles() / "starters" / size)
    for source in sorted((profiles() / "machines").glob("*.yaml")):
        name = source.stem.removesuffix(f"-{size}")
        if name != source.stem or not source.stem.endswith(tuple(SIZES.values())):
            files[f"machines/{name}.yaml"] = source.read_text("utf-8")
    return _kept_in_git(files)


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
