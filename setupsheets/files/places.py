"""Where the data that ships with the program stands, `profiles/`, `schemas/` and `examples/`, and
where the user's own cache does."""

from __future__ import annotations

import os
import stat
import sys
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


def user_cache() -> Path | None:
    """The program's folder among this user's caches, as the system has them (on most the XDG Base
    Directory Specification, 0.8); None where there can be none that others may not write in."""
    usual = {"darwin": "~/Library/Caches", "win32": os.environ.get("LOCALAPPDATA", "")}
    told = os.environ.get("XDG_CACHE_HOME", "")
    base = Path(told if Path(told).is_absolute() else usual.get(sys.platform, "~/.cache"))
    try:
        folder = base.expanduser() / "setupsheets"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        found = folder.lstat()
    except (OSError, RuntimeError, ValueError):  # no right, no home, no name of a folder
        return None
    own = os.name != "posix" or (found.st_uid == os.geteuid() and not found.st_mode & 0o022)
    return folder if stat.S_ISDIR(found.st_mode) and own and folder.is_absolute() else None
