"""Where a set-up stands, by itself: the command line tells of it before any record is read."""

from __future__ import annotations

from enum import StrEnum


class Verdict(StrEnum):
    """Where a set-up stands."""

    OPEN = "open"
    PROVED = "proved"
    OUT_OF_REACH = "out of reach"
    GIVEN_UP = "given up"
