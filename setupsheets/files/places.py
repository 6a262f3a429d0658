"""Where the data that ships with the program stands: `profiles/`, `schemas/`, `examples/`."""

from __future__ import annotations

from pathlib import Path

from setupsheets.files.faults import DataFaults, whole_file

PACKAGE = Path(__file__).resolve().parent.parent


def data_folder(name: str, package: Path = PACKAGE) -> Path:
    """The folder `name`: inside the package where it is installed, beside it in a checkout.

    Raises DataFaults if it stands in neither place.
    """
    inside, beside = package / name, package.parent / name
    for folder in (inside, beside):
        if folder.is_dir():
            return folder
    message = (
        f"the program's own folder {name!r} is missing here and at {beside}: "
        "the installation is incomplete, install it again"
    )
    raise DataFaults([whole_file(inside, message)])
