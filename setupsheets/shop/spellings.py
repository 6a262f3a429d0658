"""Both spellings of the trade: what is asked for in one is found in the other."""

from __future__ import annotations

import re
from collections.abc import Iterable

# Each row means one thing, the word that our own files use first. Common practice, no source.
SAME = (
    ("rebate", "rabbet"),
    ("bar", "muntin", "glazing bar"),
    ("sticking", "moulding", "molding"),
    ("cope", "scribe"),
    ("light", "lite", "pane"),
    ("timber", "lumber", "wood"),
    ("metre", "meter"),
)


def plain_words(text: str) -> frozenset[str]:
    """The words of a text in lower case, plurals cut, each in the spelling of our own files."""
    lower = text.lower()
    for first, *others in SAME:
        for other in others:
            lower = re.sub(rf"\b{other}(s?)\b", rf"{first}\1", lower)
    return frozenset(word.removesuffix("s") for word in re.findall(r"[a-z0-9]+", lower))


def alike(word: str, known: Iterable[str]) -> str | None:
    """The shortest known word that a word with -ing or -ed is made of, as coping is of cope."""
    stem = re.sub(r"(ing|ed)s?$", "", word.lower())
    begun = (each for each in known if len(stem) > 2 and stem != word and each.startswith(stem))
    return min(begun, key=lambda each: (len(each), each), default=None)


def asked_for(words: str, text: str) -> bool:
    """Whether every word that is asked for begins a word of the text."""
    there = plain_words(text)
    return all(any(word.startswith(asked) for word in there) for asked in plain_words(words))
