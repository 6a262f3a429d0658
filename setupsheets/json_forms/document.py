"""One JSON document: which form it has and of which version, before what it tells."""

from __future__ import annotations

from typing import Any, Final

VERSION: Final = 1
"""Of every form; it moves when what was told is told otherwise or no more."""


def form(name: str, **told: Any) -> dict[str, Any]:
    """A document of the form that `schemas/json/NAME.json` describes."""
    return {"form": name, "version": VERSION, **told}
