"""What is said where several records are of one set-up; a shop is checked with no more words."""

from __future__ import annotations

from collections.abc import Sequence

from setupsheets.wording.lists import listed


def beside_words(job: str, set_up: str, open_: Sequence[str]) -> str:
    """That more than one record of a set-up is open, ``open_`` with the one that counts first, and
    how to make one of them."""
    make_one = f"To make one record of them: setupsheets log {job} {set_up} --join."
    return f"{one_counts_words(set_up, open_)} {make_one}"


def one_counts_words(set_up: str, open_: Sequence[str]) -> str:
    """That more than one record of a set-up is open, and which of them counts."""
    used, *others = open_
    does = "does" if len(others) == 1 else "do"
    return (
        f"More than one record of {set_up} is open. {used}, the earlier one, is used; "
        f"{listed(others)} {does} not count beside it."
    )
