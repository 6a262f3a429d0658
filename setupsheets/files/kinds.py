"""The kinds of files there are, and the version of each that this program writes."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

CURRENT: Final[Mapping[str, int]] = MappingProxyType(
    {
        "machine": 2,
        "cutter": 2,
        "section": 1,
        "recipe": 2,
        "timber": 1,
        "caution": 1,
        "shop": 1,
        "job": 1,
        "record": 2,
        "entry": 1,
    }
)
