"""Copies of the example shops that a test may write into."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"


def full_after(files: int) -> Callable[[int], None]:
    """What stands in for `os.fsync` on a disk that has room for so many files, each flushed with
    its folder."""
    real, calls = os.fsync, iter(range(2 * files))

    def flush(descriptor: int) -> None:
        if next(calls, None) is None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(descriptor)

    return flush


def copied(name: str, tests: pytest.TempPathFactory) -> Path:
    """A fresh copy, alone in its folder, in the same place for each test: so its plan is known."""
    place = tests.getbasetemp() / f"with-the-{name}"
    shutil.rmtree(place, ignore_errors=True)
    return Path(shutil.copytree(EXAMPLES / name, place / name))


@pytest.fixture
def larder(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = copied("larder", tmp_path_factory)
    for record in (folder / "records").glob("*.yaml"):
        record.unlink()
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def vestibule(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = copied("vestibule", tmp_path_factory)
    monkeypatch.chdir(folder)
    return folder
