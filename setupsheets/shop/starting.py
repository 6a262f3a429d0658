"""A shop folder to begin with: copies of starter files and machines, the user's own from then."""

from __future__ import annotations

import shutil
from pathlib import Path

from setupsheets.files.faults import DataFaults, whole_file
from setupsheets.lengths import Unit
from setupsheets.shop.finding import profiles

SIZES = {Unit.IN: "inch", Unit.MM: "metric"}


def start_shop(folder: Path, unit: Unit) -> Path:
    """Make a shop folder for a unit; the path of the job in it that is there to be edited.

    Raises DataFaults where the folder is not empty or cannot be written: nothing is overwritten.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        message = "begin needs a new or empty folder: name another one"
        raise DataFaults([whole_file(folder, message)])
    size = SIZES[unit]
    try:
        shutil.copytree(profiles() / "starters" / size, folder, dirs_exist_ok=True)
        (folder / "machines").mkdir()
        (folder / "records").mkdir()
        (folder / "records" / ".gitkeep").touch()  # git keeps no empty folder
        for source in sorted((profiles() / "machines").glob("*.yaml")):
            name = source.stem.removesuffix(f"-{size}")
            if name != source.stem or not source.stem.endswith(tuple(SIZES.values())):
                shutil.copyfile(source, folder / "machines" / f"{name}.yaml")
    except OSError as error:
        message = f"cannot write the shop folder: {error.strerror or error}"
        raise DataFaults([whole_file(folder, message)]) from None
    return folder / "jobs" / "first-door.yaml"
