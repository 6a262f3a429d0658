"""Copies of the example shops that a test may write into."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def larder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "larder"
    shutil.copytree(EXAMPLES / "larder", folder)
    for record in (folder / "records").glob("*.yaml"):
        record.unlink()
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def vestibule(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "vestibule"
    shutil.copytree(EXAMPLES / "vestibule", folder)
    monkeypatch.chdir(folder)
    return folder
