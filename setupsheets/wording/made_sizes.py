"""What ends are fitted to, in words: sizes of mates as they were made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from setupsheets.lengths import Length, Notation
from setupsheets.shop.recipes import MadeSize
from setupsheets.wording.lists import listed

MADE_SIZES: Mapping[MadeSize, str] = {
    MadeSize.MORTISE_WIDTH: "its mortise {found} wide",
    MadeSize.MORTISE_FROM_FACE: "its mortise {found} from the face",
    MadeSize.STICKING_DEPTH: "the moulding {found} deep",
}


def made_words(made: Mapping[MadeSize, Length], notation: Notation) -> str:
    """`its mortise 3/8 in full by .005 in wide and the moulding 3/8 in deep`."""
    return listed(MADE_SIZES[size].format(found=notation.show(each)) for size, each in made.items())


def to_be_fitted_words(
    made: Mapping[MadeSize, Length], parts: Sequence[str], notation: Notation
) -> str:
    """How a job is told what was made, so that the ends that go there are fitted to it."""
    sizes = ", ".join(f"{size.value}: {notation.write(found)}" for size, found in made.items())
    told = ", ".join(f"{part}: {{{sizes}}}" for part in parts)
    return (
        f"It was made with {made_words(made, notation).replace('its mortise', 'the mortise')}. To"
        f" fit to that what goes there, say in the job's file: as_made: {{{told}}}"
    )
