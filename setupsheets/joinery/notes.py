"""What joinery has to say, as values: a kind, its facts and its place. `wording` makes sentences.

The facts of a kind are told by the fields of its sentence in `wording/joinery_notes.py` and
`wording/joinery_faults.py`; a test holds every place that makes a note to them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum, auto

from msgspec import Struct

from setupsheets.files.faults import Step
from setupsheets.shop.jobs import Job


class NoteKind(StrEnum):
    """What the maker should know about a leaf that can be made."""

    STILES_ARE_A_PAIR = auto()
    LIGHTS_OFF_THE_MARK = auto()
    LIGHTS_TO_BE_CURED = auto()
    SIZE_TO_CHANGE = auto()
    SIGHT_HEIGHT_TO_CHANGE = auto()
    EDGE_IS_BEVELLED = auto()
    EDGE_NEEDS_A_BEVEL = auto()
    PAIR_IS_HANDED = auto()
    PAIR_LAPS = auto()
    REBATE_IS_FITTED = auto()
    STRIP_COVERS_THE_GAP = auto()
    HALVED_BARS_ARE_MITRED = auto()
    HALVED_BARS_LEAVE_A_HOLE = auto()
    GROOVE_BESIDE_A_FIELD = auto()
    REBATE_ALONG_STILES = auto()
    GROOVE_ALONG_STILES = auto()
    REBATE_RUNS_OUT = auto()
    GROOVE_RUNS_OUT = auto()
    RUN_STOPS = auto()
    NO_HAUNCH = auto()
    MOULDINGS_DIFFER = auto()
    STANDS_BACK = auto()
    TENON_OUT_OF_LINE = auto()
    MORTISE_RIGHT_THROUGH = auto()
    THIN_WALL_IN_BAR = auto()
    THIN_WALL_BEHIND_MORTISE = auto()
    BAR_MORTISES_TO_THE_MIDDLE = auto()
    TENON_THICKNESS_UNUSUAL = auto()
    TENON_TOO_WIDE = auto()
    HAUNCH_IT = auto()
    WIDER_HAUNCH = auto()
    TWIN_TENONS = auto()
    MORE_BETWEEN_TWINS = auto()
    HAUNCH_WIDTH_UNUSUAL = auto()
    HAUNCH_SIZES = auto()
    LITTLE_UNDER_TENONS = auto()
    MORTISES_OVERLAP = auto()
    THIN_WALL_BETWEEN_MORTISES = auto()
    GROOVE_WIDER_THAN_TENONS = auto()
    GROOVE_TAKES_OFF_TENON = auto()
    PANEL_STANDS_PROUD = auto()
    LOCK_IN_THE_REBATE = auto()
    LOCK_MEETS_A_MORTISE = auto()
    LOCK_LEAVES_THIN_WALLS = auto()
    HINGE_OVER_A_TENON = auto()
    FIT_MAY_CLOSE = auto()
    SEALED_UNITS = auto()
    GLASS_CUT_LARGE = auto()
    GLASS_CUT_SMALL = auto()
    GLASS_PIECE = auto()
    GLASS_CATEGORY = auto()
    GLASS_IN_CRITICAL_LOCATION = auto()
    WEIGHT_AND_HINGES = auto()
    OF_IT_GLASS = auto()
    FEWER_HINGES = auto()
    LIFT_WITH_TWO = auto()
    MOISTURES = auto()
    MOISTURE_OUT_OF_RANGE = auto()
    SWELLS_TOO_MUCH = auto()
    SHRINKS_TOO_MUCH = auto()
    GLUED_UP_FOR_LENGTH = auto()
    GLUE_FOR_SCARFS = auto()
    PANEL_OF_BOARDS = auto()
    OUT_OF_SQUARE = auto()
    WIDTH_OUT_AT_EVERY_RAIL = auto()
    WIDTH_OUT_AT_ONE_RAIL = auto()
    HEIGHT_OUT = auto()
    CROSS_BAR_OUT_OF_PLACE = auto()
    UPRIGHT_BAR_OUT_OF_PLACE = auto()
    LIGHT_OUT_ALONE = auto()


class DesignFault(StrEnum):
    """Why a leaf cannot be made as it is designed."""

    UNKNOWN_SECTION = auto()
    SECTION_OF_OTHER_MEMBERS = auto()
    NO_WIDTH_OF_BARS = auto()
    NO_DEPTH_FOR_BARS = auto()
    NO_SIZE_OF_LEAF = auto()
    TOO_FEW_RAILS = auto()
    FIELDS_DO_NOT_MATCH_RAILS = auto()
    TOO_FEW_LIGHTS = auto()
    SHARES_DO_NOT_MATCH_LIGHTS = auto()
    SHARE_OF_NOTHING = auto()
    MARGIN_BESIDE_SHARES = auto()
    MARGIN_WITH_TWO_LIGHTS = auto()
    GROOVED_PANELS_IN_ROWS = auto()
    NO_MIDDLE_STILE = auto()
    MIDDLE_STILE_STANDS_NOWHERE = auto()
    GROOVED_PANEL_WITHOUT_SIZES = auto()
    LIGHTS_WITHOUT_BARS = auto()
    LEAF_DOES_NOT_FIT_OPENING = auto()
    ODD_LEAVES_OF_PAIRS = auto()
    NO_LAP = auto()
    LAP_WITHOUT_REBATE = auto()
    LAP_TAKEN_UP = auto()
    LAP_INTO_MORTISE = auto()
    BEVEL_OUT_OF_RANGE = auto()
    HEAD_NOT_STRAIGHT = auto()
    HEAD_IS_RAKED = auto()
    OPENING_LEANS = auto()
    SIDES_DO_NOT_CLOSE = auto()
    LEAVE_MORE_ON = auto()
    HINGES_DO_NOT_FIT = auto()
    HINGE_SHUTS_INSIDE_ITS_GAP = auto()
    NO_SIGHT_WIDTH = auto()
    TWO_OPEN_FIELDS = auto()
    HEIGHTS_DO_NOT_ADD_UP = auto()
    NO_SIGHT_HEIGHT = auto()
    NO_TONGUE = auto()
    REBATES_MEET = auto()
    MOULDINGS_MEET = auto()
    GLASS_NOT_FLAT = auto()
    THICKER_THAN_STILES = auto()
    HAUNCH_ON_MIDDLE_RAIL = auto()
    HAUNCH_AS_LONG_AS_TENON = auto()
    NO_DAYLIGHT = auto()
    NO_TENON_LEFT = auto()
    TENON_ENDS_AT_SHOULDER = auto()
    MORTISE_TOO_DEEP = auto()
    TENON_BEHIND_PART = auto()
    TWIN_TENONS_TOO_NARROW = auto()
    TENON_WITHOUT_WIDTH = auto()
    TENONS_MEET_IN_BAR = auto()
    TENONS_MEET_IN_RAIL = auto()
    RAILS_SHARE_A_NAME = auto()
    NO_THICKNESS_OF_GLASS = auto()
    NO_CLEARANCE_OF_GLASS = auto()
    NO_THICKNESS_OF_PANEL = auto()
    NO_CLEARANCE_OF_PANEL = auto()
    CAVITY_WITHOUT_GLASS = auto()
    NO_PANE_LEFT = auto()
    REBATE_TOO_SHALLOW = auto()
    CLEARANCE_NOT_COVERED = auto()
    BEAD_SEEN_PAST_REBATE = auto()
    GROOVES_NOT_IN_LINE = auto()
    GROOVE_WITHOUT_WALL = auto()
    PANEL_FALLS_OUT = auto()
    PANEL_TOO_THICK = auto()
    NOTHING_TO_RAISE = auto()
    BORDER_HIDDEN = auto()
    BORDERS_MEET = auto()
    GROOVE_THROUGH_MEMBER = auto()
    BOARDS_TOO_SHORT = auto()
    AIR_OUT_OF_RANGE = auto()
    DRY_AIR_IS_DAMPER = auto()
    LOCK_THICKER_THAN_STILE = auto()
    LOCK_DEEPER_THAN_STILE = auto()
    LOCK_BESIDE_LEAF = auto()


class Note(Struct, frozen=True):
    """One thing to say: ``facts`` by name are lengths, numbers, names and things that have these;
    ``place`` is the job's field that it is about, empty where it is about the leaf."""

    kind: NoteKind | DesignFault
    facts: tuple[tuple[str, object], ...]
    place: tuple[Step, ...] = ()


def note(kind: NoteKind | DesignFault, *place: Step, **facts: object) -> Note:
    """A note with its facts by name."""
    return Note(kind, tuple(facts.items()), place)


class DesignFaults(Exception):
    """A job's leaf cannot be made: all the reasons, each with the job's field."""

    def __init__(self, job: Job, faults: Iterable[Note]) -> None:
        self.job, self.faults = job, tuple(faults)
        super().__init__(", ".join(fault.kind for fault in self.faults))


def refuse(job: Job, faults: Iterator[Note]) -> None:
    """Raise DesignFaults where there is any fault."""
    if found := tuple(faults):
        raise DesignFaults(job, found)
