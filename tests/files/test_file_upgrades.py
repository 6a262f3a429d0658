"""Older versions: upgraded in memory step by step, rewritten only when asked, the old one kept.

The mechanism is proved on made-up kinds and steps; recipes of version 1 in tests/profiles.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping
from pathlib import Path

import pytest

from setupsheets.files.documents import Document, read_document, read_text
from setupsheets.files.faults import DataFaults
from setupsheets.files.kinds import CURRENT
from setupsheets.files.plain_tree import Value
from setupsheets.files.upgrades import UpgradeSteps, upgrade, upgrade_file, upgraded_text
from setupsheets.shop.older_versions import STEPS
from tests.files.helpers import HERE, document

Data = Mapping[str, Value]
NEWEST = {"bench": 3, "job": 1}


def renamed(data: Data) -> Data:
    """Version 1 called the height `hight`."""
    return {("height" if key == "hight" else key): value for key, value in data.items()}


def split(data: Data) -> Data:
    """Version 2 had one `vices`, version 3 a list of them; and every bench has feet."""
    new = {key: value for key, value in data.items() if key != "vice"}
    return {**new, "vices": [data["vice"]], "feet": {"count": 4}}


MADE_UP: UpgradeSteps = {("bench", 1): renamed, ("bench", 2): split}

TEXT = """\
# My bench.
kind: bench
version: 1     # as bought
hight:   2 ft  # to the top
wood: 'beech'
vice:
  jaws: 1.50   # inches
  side: left
"""

NEW_TEXT = """\
# My bench.
kind: bench
version: 3     # as bought
wood: 'beech'
height: 2 ft
vices:
  - jaws: 1.50
    side: left
feet:
  count: 4
"""


def bench(text: str = TEXT) -> Document:
    return read_text(text, HERE, NEWEST)


def test_steps_are_taken_in_order_and_the_file_is_left_alone() -> None:
    old = bench()
    new = upgrade(old, MADE_UP, NEWEST)
    assert new.version == 3
    assert new.data == read_text(NEW_TEXT, HERE, NEWEST).data
    assert old.data["version"] == 1
    assert new.source == old.source


def test_a_later_version_takes_only_the_steps_it_needs() -> None:
    text = TEXT.replace("version: 1", "version: 2").replace("hight", "height")
    assert upgrade(bench(text), MADE_UP, NEWEST).data["height"] == "2 ft"


def test_the_current_version_is_the_same_document() -> None:
    text = NEW_TEXT
    assert upgrade(bench(text), MADE_UP, NEWEST).data == bench(text).data


def test_places_stay_those_of_the_file() -> None:
    new = upgrade(bench(), MADE_UP, NEWEST)
    assert new.marks.mark("wood").line == 5
    assert new.marks.mark("height").line == 2  # moved: its nearest parent is the whole
    assert new.marks.mark("vices", 0, "jaws").line == 2


def test_a_newer_version_than_the_program_is_refused() -> None:
    text = "kind: bench\nversion: 4\n"
    with pytest.raises(DataFaults) as found:
        upgrade(bench(text), MADE_UP, NEWEST)
    (fault,) = found.value.faults
    assert fault.mark.line == 2
    assert "version 4 of a bench file and the program knows 3: update the program" in fault.message


def test_the_text_keeps_all_that_stays_the_same() -> None:
    assert upgraded_text(bench(), MADE_UP, NEWEST) == NEW_TEXT


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_the_old_file_is_kept_byte_for_byte(ends: str, tmp_path: Path) -> None:
    path = tmp_path / "bench.yaml"
    path.write_bytes(TEXT.replace("\n", ends).encode())
    kept = upgrade_file(path, MADE_UP, NEWEST)
    assert kept == tmp_path / "bench.yaml.v1"
    assert kept.read_bytes() == TEXT.replace("\n", ends).encode()
    assert path.read_bytes() == NEW_TEXT.replace("\n", ends).encode()
    assert read_document(path, NEWEST).version == 3


def test_a_current_file_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "bench.yaml"
    path.write_text(NEW_TEXT)
    before = path.stat().st_mtime_ns
    assert upgrade_file(path, MADE_UP, NEWEST) is None
    assert path.stat().st_mtime_ns == before
    assert [each.name for each in tmp_path.iterdir()] == ["bench.yaml"]


def test_a_kept_file_is_never_overwritten(tmp_path: Path) -> None:
    path, kept = tmp_path / "bench.yaml", tmp_path / "bench.yaml.v1"
    path.write_text(TEXT)
    kept.write_text("kept before\n")
    with pytest.raises(DataFaults, match=r"bench\.yaml\.v1.*there is a file of this name already"):
        upgrade_file(path, MADE_UP, NEWEST)
    assert kept.read_text() == "kept before\n"
    assert path.read_text() == TEXT


def test_a_step_that_spoils_the_data_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "bench.yaml"
    path.write_text(TEXT)
    with pytest.raises(DataFaults, match="unknown kind 'table'"):
        upgrade_file(path, {("bench", 1): lambda data: {**data, "kind": "table"}}, {"bench": 2})
    assert path.read_text() == TEXT
    assert not (tmp_path / "bench.yaml.v1").exists()


def test_after_a_full_disk_it_can_be_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bench.yaml"
    path.write_text(TEXT)

    def fail(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(DataFaults, match="the disk is full"):
        upgrade_file(path, MADE_UP, NEWEST)
    assert path.read_text() == TEXT
    monkeypatch.undo()
    assert upgrade_file(path, MADE_UP, NEWEST) == tmp_path / "bench.yaml.v1"
    assert path.read_text() == NEW_TEXT


def test_every_step_up_to_the_current_version_is_there() -> None:
    """No version may be without its step."""
    needed = {(kind, version) for kind, newest in CURRENT.items() for version in range(1, newest)}
    assert set(STEPS) == needed


@pytest.mark.parametrize("kind", CURRENT)
def test_documents_of_today_stay_as_they_are(kind: str) -> None:
    found = (
        document("a: 1\n")
        if kind == "job"
        else read_text(f"kind: {kind}\nversion: {CURRENT[kind]}\n", HERE)
    )
    assert upgrade(found, STEPS).data == found.data
