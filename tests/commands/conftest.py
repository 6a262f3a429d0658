"""A copy of the larder shop that a test may write into."""

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
