"""What a shop has, kind by kind, and where each thing comes from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from msgspec import Struct

from setupsheets.files.documents import (
    COPY,
    ENDING,
    copied_from,
    misspelt_files,
    read_bytes,
    read_document,
    yaml_files,
)
from setupsheets.files.faults import DataFaults, Fault, nearest, whole_file
from setupsheets.shop.finding import SHOP_FILE, KnownFile, Shop, is_name
from setupsheets.shop.loading import KINDS
from setupsheets.shop.spellings import SAME, alike, asked_for

KIND_WORDS = tuple(word for kind in KINDS if kind != "shop" for word in (KINDS[kind][0], kind))
"""What a kind of thing is asked for by: the name of its folder, and its own."""


class Listed(Struct, frozen=True):
    """One line of the list. A file that cannot be read is listed with its fault as the title."""

    kind: str
    name: str
    title: str
    origin: str
    path: Path

    def as_json(self) -> dict[str, str]:
        """The same for a program to read."""
        return {
            "kind": self.kind,
            "name": self.name,
            "title": self.title,
            "from": self.origin,
            "path": str(self.path),
        }


def listed_things(shop: Shop, asked: str | None = None) -> list[Listed]:
    """Everything of one kind, or whatever a word finds, or everything at all."""
    wanted = _kinds_of(asked)
    found = [
        _listed(item)
        for kind in wanted or KINDS
        if kind != "shop"
        for item in shop.everything(kind)
    ]
    if asked is None or wanted:
        return found
    return [item for item in found if asked_for(asked, f"{item.kind} {item.name} {item.title}")]


def _kinds_of(asked: str | None) -> list[str]:
    return [kind for kind in KINDS if kind != "shop" and asked in (kind, KINDS[kind][0])]


def not_listed(shop: Shop, asked: str | None = None) -> Iterator[Fault]:
    """What stands among what is listed, and is no thing of its own or may be none."""
    for kind in _kinds_of(asked) or KINDS:
        yield from misnamed(shop, kind)


def misnamed(shop: Shop, kind: str) -> Iterator[Fault]:
    """The shop's own files of a kind that no command finds by their names, or that are the same to
    the letter as another: what synced folders and file managers make of copies."""
    paths = yaml_files(shop.folder / KINDS[kind][0])
    if kind == "shop":
        paths = [path for path in paths if copied_from(path) == shop.folder / SHOP_FILE]
    for path in misspelt_files(shop.folder / KINDS[kind][0]):
        name = f"{path.stem}.yaml"
        if kind != "shop" or name == SHOP_FILE:
            yield whole_file(path, ENDING.format(name=name))
    first: dict[bytes, Path] = {}
    for path in sorted(paths, key=lambda path: (len(path.stem), path)):
        if (whole := copied_from(path)) is not None:
            yield whole_file(path, COPY.format(whole=whole.name))
        elif not is_name(path.stem):
            yield whole_file(path, NO_NAME.format(name=path.stem))
        else:
            with suppress(DataFaults):  # what is wrong with it is told elsewhere
                whole = first.setdefault(read_bytes(path), path)
                if whole != path and kind in ALIKE_IS_A_COPY:
                    yield whole_file(path, ALIKE.format(whole=whole.name))


NO_NAME = (
    "{name!r} cannot be asked for by name: call the file by lower-case letters and digits with "
    "hyphens between, and .yaml"
)
ALIKE = (
    "this is the same as {whole} to the letter: if it is a copy that a synced folder made, move it "
    "away; if it is another one, say in its title which"
)
ALIKE_IS_A_COPY = ("job", "machine")
"""Of these nobody has two that do not differ in a title."""


def _listed(found: KnownFile) -> Listed:
    origin = "the shop" if found.own else "built in"
    if found.hides is not None:
        origin += ", in place of the built-in one"
    return Listed(found.kind, found.name, _title(found.path), origin, found.path)


def _title(path: Path) -> str:
    try:
        data = read_document(path).data
    except DataFaults as faults:
        return f"(faulty: {faults.faults[0].message})"
    texts = _texts(data.get("title"), data.get("also_called"))
    return " / ".join(text for text in texts if text)


def _texts(*values: object) -> Iterator[str]:
    for value in values:
        yield from (str(item) for item in value) if isinstance(value, list) else [str(value or "")]


def meant(words: Sequence[str], shop: Shop, also: Iterable[str] = ()) -> str:
    """`; did you mean 'cope'?`: what words that nothing has were most likely meant to be, a name of
    the shop or one of ``also``: what begins alike first, as cope and coping do, then what is spelt
    alike; empty where nothing is."""
    kinds = ("job", "machine", "section", "recipe", "cutter", "timber")
    names = {each.name for kind in kinds for each in shop.everything(kind)}
    known = {*also, *names, *(word for name in names for word in name.split("-"))}
    known |= {word for row in SAME for word in row}
    found = [
        word if word in known else alike(word, known) or nearest(word, known) or word
        for word in words
    ]
    return f"; did you mean {' '.join(found)!r}?" if found != list(words) else ""
