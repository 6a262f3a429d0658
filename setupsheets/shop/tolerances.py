"""How closely a shop works: what each kind of setting may be out by when fits are stacked up."""

from __future__ import annotations

from dataclasses import dataclass

from setupsheets.lengths import Length

CUT_TOLERANCE = Length("1/16 in")  # 3 to 6 mm glass: ASTM C1036, as quoted by others
_SIXTEENTH, _THIRTY_SECOND, _SIXTY_FOURTH, _HALF_OF_IT = (
    Length(f"1/{n} in") for n in (16, 32, 64, 128)
)


@dataclass(frozen=True)
class Tolerances:
    """How far each kind of setting may be out, to either side: common practice, all inputs.

    ``glass`` is ASTM C1036's cut size as quoted by others, ``opening`` the Architectural Woodwork
    Standards' (1st edition, 2009) size of a door.
    """

    shoulder: Length = _SIXTY_FOURTH
    tenon_end: Length = _THIRTY_SECOND
    mortise_depth: Length = _THIRTY_SECOND
    cheek: Length = _HALF_OF_IT
    mortise_width: Length = _HALF_OF_IT
    rebate: Length = _HALF_OF_IT
    width: Length = _SIXTY_FOURTH
    mark: Length = _SIXTY_FOURTH
    glass: Length = CUT_TOLERANCE
    opening: Length = _SIXTEENTH
