"""What stands in the way of an act: something that cannot be read, or must be said first."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Unreadable(ValueError):
    """What was typed cannot be read; ``option`` is what it was given as, where that has a name."""

    def __init__(self, message: str, option: str = "") -> None:
        super().__init__(message)
        self.option = option


class Question(StrEnum):
    """What may have to be said before an act is kept, each with the field of `Act` that says it."""

    SLIP = "sure"  # readings that look like slips: they are right as typed
    FURTHER = "next_piece"  # readings just like those kept last: they are of a further piece
    DONE = "did"  # what was moved before this piece
    ALTHOUGH = "although"  # why it is called proved though the test pieces do not prove it


class MustBeSaid(Exception):
    """An act waits for an answer; ``words`` say why, a line each, and ``options`` how it is given
    at the command line; ``like`` is an answer to what was done. Nothing is written yet."""

    def __init__(
        self, question: Question, words: Iterable[str], options: str, like: str = ""
    ) -> None:
        self.question = question
        self.words = tuple(words)
        self.options = options
        self.like = like
        super().__init__(self.words)
