"""What stands on the phone's pages beside the words of sheet and answer."""

from __future__ import annotations

import re


def on_phone(words: str) -> str:
    """What a terminal says, with the phone's own way where it names a command."""
    for command, way in _WAYS:
        words = command.sub(way, words)
    return words


_WAYS = (
    (
        re.compile(r'(?:setupsheets log [^:]+? )?--(?:afresh|join|verdict "given up")'),
        "by its button below",
    ),
    (re.compile(r"setupsheets log \S+ \S+ (goes on with it)"), r"this \1"),
    (re.compile(r"setupsheets log (\S+) \S+(?=\. This begins)"), r"open it in the job \1"),
    (re.compile(r"give --verdict on"), "call it proved or give it up anew by"),
)
"""What is typed at a terminal, and how the same is done on a page."""

STOP_FIRST = (
    "Switch the machine off and let it run down before you take the phone in hand. The phone does "
    "not see the machine, your stock or your hands."
)
TRUSTED = (
    "Whoever has the address can read this shop's sheets and write its records: it is for a "
    "network that you trust, and nothing is encrypted. Switch the machine off before you take the "
    "phone in hand."
)
TWO_FIGURES = "two figures are given, on the keypad and typed: clear one of them"
GONE_ON = (
    "This figure is not written: the test piece has gone on meanwhile, from another phone or "
    "another page. This is how it stands."
)
LOST = (
    "This figure is not written: what was read of this piece before is not in the shop's folder "
    "any more; its record was moved or deleted, or is still on its way. Bring it back and open the "
    "set-up again, or read the whole piece anew."
)
CLOSED_MEANWHILE = (
    "The record that this piece is in was closed meanwhile. What was read is kept in it; begin a "
    "new test piece."
)
BEGUN_ANEW = (
    "Another record of this set-up was begun meanwhile, in place of the one that this page is of."
)
KEPT_THERE = "What was read of this piece is kept in that earlier record, and counts no more: {}."
NOT_WRITTEN = "This figure is not written: {}."
READ_ANEW = "If the piece was cut as the machines stand now, read it as a new one."
NO_MORE_AGAIN = "Nothing is to be read again of the last test piece."
DONE_BEFORE = "It has been said meanwhile what was done, by somebody else or from another page."
BEING_MEASURED = "{called} is being measured, or was broken off: {read} so far."
NO_FIGURE = "Give the figure first, or skip this line."
SAY_WHAT = "Say what was done: as advised, nothing, or how far something was moved."
NOTHING_READ = "Nothing was read of this piece, and nothing is kept."
NOT_HERE = "Nothing is here. The code on the sheet may be of another job, or of an earlier token."
NOT_WRITTEN_NOW = "This could not be written"
FAULTS = "A file of the shop has a fault"
CUT_SO = "Cut the parts so: call it proved"
IT_FITS = "It fits: call it proved"
