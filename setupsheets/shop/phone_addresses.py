"""Where a telephone finds a shop's set-ups: the shop's token, and the path of every page.

The token stands in every address. It is kept in the hidden folder `.phone` of the shop, for its
owner alone to read, and git is told to leave that folder out.
"""

from __future__ import annotations

import os
import re
import secrets
from pathlib import Path
from urllib.parse import quote

from setupsheets.files.safe_writing import WriteFault

PORT = 8731
"""Where `serve` listens unless it is told otherwise: a free choice."""

_FOLDER = ".phone"
_PARTED = "~"  # what no name has, in place of the slash in the name of a set-up

is_token = re.compile(r"[A-Za-z0-9_-]{43}").fullmatch
"""Whether a text is a token: 256 bits in the letters of RFC 4648, section 5."""


def token_path(folder: Path) -> Path:
    """Where the token of the shop in a folder is kept."""
    return folder / _FOLDER / "token"


def token_of(folder: Path, *, new: bool = False) -> str:
    """The token of the shop in a folder, made where there is none, or a ``new`` one in its place:
    addresses with the old one lead nowhere then. Raises WriteFault."""
    path = token_path(folder)
    try:
        if not new and path.is_file() and is_token(found := path.read_text("ascii").strip()):
            path.chmod(0o600)
            return found
        path.parent.mkdir(mode=0o700, exist_ok=True)
        (path.parent / ".gitignore").write_text("*\n", encoding="ascii")
        token = secrets.token_urlsafe(32)
        beside = path.with_name(f"token.{secrets.token_hex(4)}")
        descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with open(descriptor, "w", encoding="ascii") as file:  # noqa: PTH123  (a descriptor)
            file.write(f"{token}\n")
        beside.replace(path)
    except OSError as error:
        reason = error.strerror or str(error)
        raise WriteFault(path, f"the token of the phone's pages is not kept: {reason}") from error
    return token


def page_path(token: str, job: str = "", set_up: str = "") -> str:
    """The path of the list of jobs, of a job's route, or of one set-up."""
    steps = (token, job, set_up.replace("/", _PARTED))
    return "/" + "/".join(quote(step, safe="~") for step in steps if step) + ("" if job else "/")


def set_up_called(step: str) -> str:
    """The name of the set-up that a step of a path stands for."""
    return step.replace(_PARTED, "/")


def host_and_port(address: str) -> tuple[str, int]:
    """The name and the port of an address as shop.yaml has it; the usual port where it has none."""
    host, colon, port = address.partition(":")
    return host, int(port) if colon else PORT


def set_up_address(folder: Path, address: str, job: str, set_up: str) -> str:
    """The whole address of a set-up of the shop in a folder, as a code on paper has it. Raises
    WriteFault where the shop has no token and none can be kept."""
    host, port = host_and_port(address)
    return f"http://{host}:{port}{page_path(token_of(folder), job, set_up)}"
