"""What `check` doubts, in words: a sentence for each kind."""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.checking.doubts import Doubt, DoubtKind
from setupsheets.wording.sentences import fill

DOUBTS: Mapping[DoubtKind, str] = {
    DoubtKind.SIZE_UNLIKELY: "{size} ({size:large}) is no usual size for a {place}: look at the "
    "figure and its unit",
    DoubtKind.OTHER_UNIT_MEANT: "{size} ({size:large}) is no usual size for a {place}: is {meant} "
    "meant? Then write the unit behind the figure",
    DoubtKind.FINER_THAN_ITS_INSTRUMENT: "{recipe}, {measure}: it may be {under:small} under and "
    "{over:small} over, and the {instrument} reads no finer than {finest:small}: measure it with "
    "something finer, or allow more",
    DoubtKind.MADE_OTHERWISE: "{other.wanted.name} needs a {lacks: and a }, and none is chosen in "
    "this shop: {other.taken.name} is taken in its place",
}


def doubt_words(doubt: Doubt, notation: Notation) -> str:
    """A doubt as a sentence."""
    facts = dict(doubt.facts)
    if (meant := facts.get("meant")) is not None:
        assert isinstance(meant, Length)
        other = Unit.MM if notation.unit is Unit.IN else Unit.IN
        facts["meant"] = Notation(other, notation.finest).show(meant)
    return fill(DOUBTS[doubt.kind], facts, notation, lambda kind: kind.replace("_", " "))
