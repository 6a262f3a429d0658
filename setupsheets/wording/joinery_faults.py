"""Why a leaf cannot be made, in words: a sentence for each fault of a design."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from setupsheets.files.faults import DataFaults, Fault
from setupsheets.joinery.notes import DesignFault, DesignFaults
from setupsheets.lengths import Notation
from setupsheets.wording.sentences import fill

_TENON = "the tenon of the {joint.part} in the {joint.mate} "

FAULTS: Mapping[str, str] = {
    DesignFault.UNKNOWN_SECTION: "{unknown}",
    DesignFault.SECTION_OF_OTHER_MEMBERS: "expected a {member} section, found {section.name!r}: a "
    "{section.member} section",
    DesignFault.NO_WIDTH_OF_BARS: "expected the bar's width: the section {section!r} gives none",
    DesignFault.NO_DEPTH_FOR_BARS: "expected how deep the mortises for the bars are in stiles and "
    "rails",
    DesignFault.NO_SIZE_OF_LEAF: "expected the leaf's size, or the opening that it closes",
    DesignFault.TOO_FEW_RAILS: "expected two rails or more, found {found}",
    DesignFault.FIELDS_DO_NOT_MATCH_RAILS: "expected {expected} field{several:s|} between {rails} "
    "rails, found {found}: a field lies between every two rails",
    DesignFault.TOO_FEW_LIGHTS: "expected 1 or more, found {found}",
    DesignFault.SHARES_DO_NOT_MATCH_LIGHTS: "expected {expected} share{several:s|} for "
    "{expected} {lights}, found {found}",
    DesignFault.SHARE_OF_NOTHING: "expected shares of more than 0, found {found}",
    DesignFault.MARGIN_BESIDE_SHARES: "a margin and shares of the {lights} both say how they "
    "divide: leave one of them out",
    DesignFault.MARGIN_WITH_TWO_LIGHTS: "a margin needs a light between two narrow ones: expected "
    "3 {lights} or more, or 1, found 2 {lights}",
    DesignFault.GROOVED_PANELS_IN_ROWS: "panels in grooves stand side by side: expected 1 row; put "
    "a rail between two that stand one above the other",
    DesignFault.NO_MIDDLE_STILE: "expected how wide the stile is that stands between two panels "
    "side by side",
    DesignFault.MIDDLE_STILE_STANDS_NOWHERE: "no field has panels side by side: write columns: 2 "
    "in the field that is to have a middle stile, or leave middle_stile out",
    DesignFault.GROOVED_PANEL_WITHOUT_SIZES: "a panel in a groove needs its sizes: give 'panels'",
    DesignFault.LIGHTS_WITHOUT_BARS: "{field.rows} row{rows:s|} by {field.columns} "
    "column{columns:s|} need bars: give 'bars'",
    DesignFault.LEAF_DOES_NOT_FIT_OPENING: "the leaf is {leaf.width} by {leaf.height}, and the "
    "opening less its clearances {made.width} by {made.height}: leave one of them out"
    "{pair:; leaves of a pair that are not equally wide are two jobs, each with its leaf alone|}",
    DesignFault.ODD_LEAVES_OF_PAIRS: "a pair has two leaves: expected an even count, found {found}",
    DesignFault.NO_LAP: "expected how wide the rebates are in which a rebated pair meets",
    DesignFault.LAP_WITHOUT_REBATE: "found a lap of {lap}: only the leaves of a rebated pair lap",
    DesignFault.LAP_TAKEN_UP: "a lap of {lap} and a gap of {gap} between the leaves, which it is "
    "to cover: it must be more than {gap}",
    DesignFault.LAP_INTO_MORTISE: "a rebate {opening.rebate} wide in the meeting stile opens the "
    "mortises for the rails, {over} too wide: a smaller lap, wider stiles or shorter tenons",
    DesignFault.BEVEL_OUT_OF_RANGE: "expected 0 to 45 degrees from square, found {found}",
    DesignFault.HEAD_NOT_STRAIGHT: "found a head that is {head}: these sheets make leaves with a "
    "straight, level head only, and no arch and no rake",
    DesignFault.HEAD_IS_RAKED: "the head rises or falls by 1 in {run}, more than 1 in {most}: that "
    "is a raked head, and these sheets make leaves with a straight, level head only",
    DesignFault.OPENING_LEANS: "by these sides the {floor:floor|right jamb} is out of square to "
    "the left jamb by more than 1 in {most}: measure them again",
    DesignFault.SIDES_DO_NOT_CLOSE: "no opening has the sides {opening.width} at the top, "
    "{sides.bottom} at the bottom, {opening.height} at the left and {sides.right} at the right "
    "with a diagonal of {sides.diagonal} from lower left to upper right: measure them again",
    DesignFault.LEAVE_MORE_ON: "{found} is left on for fitting, and the opening is so far out of "
    "square that a square leaf needs {least:mark} or the next mark above it",
    DesignFault.HINGES_DO_NOT_FIT: "{hinges.count} hinges of {hinges.length} do not go one above "
    "the other in a leaf {height} high: fewer, shorter, or other distances from its ends",
    DesignFault.HINGE_SHUTS_INSIDE_ITS_GAP: "a hinge that shuts to {hinges.closed} fills no gap of "
    "{gap} at the hinge edge: nothing is left to let in; a thicker hinge, or less clearance there",
    DesignFault.NO_SIGHT_WIDTH: "two stiles of {stiles.width} leave a sight width of {sight} in a "
    "leaf {leaf.width} wide: narrower ones, or a wider leaf",
    DesignFault.TWO_OPEN_FIELDS: "expected a sight height: only one field of a leaf takes what "
    "the others leave",
    DesignFault.HEIGHTS_DO_NOT_ADD_UP: "rails and sight heights come to {taken}, {left:size} "
    "{left:less|more} than the leaf's height of {leaf.height}; change one, or leave sight_height "
    "out of one field",
    DesignFault.NO_SIGHT_HEIGHT: "rails and the other fields take {taken} of the leaf's height of "
    "{leaf.height} and leave field {field} a sight height of {left}",
    DesignFault.NO_TONGUE: "section {section.name!r}: sticking {section.sticking.depth} and "
    "rebate {section.rebate.depth} deep leave no tongue in stock {section.thickness} thick, "
    "{over} too deep",
    DesignFault.REBATES_MEET: "section {section.name!r}: rebates {section.rebate.width} wide on "
    "{both:both moulded edges|its moulded edge} leave {left} of a width of {width}: it must "
    "be more than {least}",
    DesignFault.MOULDINGS_MEET: "section {section.name!r}: sticking {section.sticking.width} wide "
    "on {both:both moulded edges|its moulded edge} takes {over} more than the width of {width}",
    DesignFault.GLASS_NOT_FLAT: "glass lies {seat} behind the face of {section.name!r} and "
    "{flush} behind that of the stiles' {stile.name!r}, {apart} apart: it would not lie flat; "
    "expected the same thickness less rebate depth",
    DesignFault.THICKER_THAN_STILES: "section {section.name!r} is {section.thickness} thick and "
    "the stiles' {stile.thickness}, {over} more: it would stand out at the back; choose one "
    "that is no thicker, and fix on afterwards what is to stand out",
    DesignFault.HAUNCH_ON_MIDDLE_RAIL: "a haunch of {haunch} on a middle rail: it has no outer "
    "edge; leave haunch out",
    DesignFault.HAUNCH_AS_LONG_AS_TENON: "a haunch of {haunch} goes {deep} past the stile's sight "
    "edge and its tenon {reach}: nothing is left to saw back; leave haunch out, or make the "
    "rail_mortise under joints deeper than {least}",
    DesignFault.NO_DAYLIGHT: "{division.bars} bars of {division.width} take {taken} of a sight "
    "opening of {division.sight} and leave no daylight: the smallest light is {smallest}; have "
    "fewer bars, narrower ones, or an opening that is more than {short} larger",
    DesignFault.NO_TENON_LEFT: _TENON + "reaches {joint.end.reach} past the sight edge and its "
    "shoulder stands at {shoulder}: no tenon is left; the mortise must be deeper than {least}, "
    "found {joint.end.mortise_depth}, {short} too little",
    DesignFault.TENON_ENDS_AT_SHOULDER: _TENON + "ends where its shoulder stands, {shoulder} past "
    "the sight edge: no tenon is left; the mortise must be deeper than {least}{gap:, or the gap at "
    "its bottom smaller|}",
    DesignFault.MORTISE_TOO_DEEP: "the mortise for the {joint.part} is {joint.end.mortise_depth} "
    "deep and the {joint.mate} {joint.mate_width} wide, {over} too deep",
    DesignFault.TENON_BEHIND_PART: _TENON + "reaches {behind} behind the face and the "
    "{joint.part} is {joint.own.thickness} thick, {over} too thin",
    DesignFault.TWIN_TENONS_TOO_NARROW: _TENON + "is {joint.end.tenon.width} wide and leaves no "
    "wood beside a gap of {joint.end.tenon.twin_gap} between twin tenons",
    DesignFault.TENON_WITHOUT_WIDTH: _TENON + "has a width of {joint.end.tenon.width}: haunch "
    "{joint.end.tenon.haunch} and {joint.end.tenon.set_back} at a moulded edge leave nothing; "
    "make the haunch less or the part wider",
    DesignFault.TENONS_MEET_IN_BAR: "two stub tenons meet in a bar {width} wide: mortises {depth} "
    "deep from both edges are {over} too deep together; expected at most {most} each",
    DesignFault.TENONS_MEET_IN_RAIL: "upright bars above and below meet in the {rail.name} "
    "{rail.width} wide: mortises {depth} deep from both edges are {over} too deep together",
    DesignFault.RAILS_SHARE_A_NAME: "two different rails are named {rail!r}: expected a name for "
    "each",
    DesignFault.NO_THICKNESS_OF_GLASS: "expected the thickness of the glass: a field has glass",
    DesignFault.NO_CLEARANCE_OF_GLASS: "expected what is left between the glass and its rebate at "
    "each edge: a field has glass",
    DesignFault.NO_THICKNESS_OF_PANEL: "expected the panels' thickness: a field has a panel",
    DesignFault.NO_CLEARANCE_OF_PANEL: "expected what is left between a panel and its rebate at "
    "each edge: a field has a panel",
    DesignFault.CAVITY_WITHOUT_GLASS: "a cavity of {cavity} leaves no glass of a sealed unit "
    "{thickness} thick over all: its thickness is that of panes and cavity together",
    DesignFault.NO_PANE_LEFT: "field {pane.field}: an opening of {pane.opening_width} by "
    "{pane.opening_height} less the clearance leaves no {pane.fill}",
    DesignFault.REBATE_TOO_SHALLOW: "field {field}: bedding {glazing.bedding}"
    "{glazing.bead_depth:,| and} {fill} {thickness}{glazing.bead_depth: and bead|} take {needed} "
    "of a rebate {depth} deep: it must be {glazing.bead_depth:that deep or more|deeper than that, "
    "for the bead}; deepen the rebate or take a thinner {fill}",
    DesignFault.CLEARANCE_NOT_COVERED: "field {field}: a clearance of {clearance} is not covered "
    "by a rebate {rebate} wide, {over} too much: the {fill} falls through",
    DesignFault.BEAD_SEEN_PAST_REBATE: "field {field}: a bead {bead} wide is seen past a rebate "
    "{rebate} wide, {over} too much",
    DesignFault.GROOVES_NOT_IN_LINE: "field {field}: the groove lies {rail.sticking.depth} behind "
    "the face in {rail.name!r} and {stile.sticking.depth} in the stiles' {stile.name!r}, {apart} "
    "apart: one panel does not fit both; expected mouldings of one depth",
    DesignFault.GROOVE_WITHOUT_WALL: "a groove {panels.groove_width} wide leaves no wood behind "
    "it: sticking leaves {wood} of the stile's thickness",
    DesignFault.PANEL_FALLS_OUT: "a clearance of {panels.clearance} is not covered by a groove "
    "{panels.groove_depth} deep: the panel falls out",
    DesignFault.PANEL_TOO_THICK: "a flat panel {panels.thickness} thick does not go into a groove "
    "{panels.groove_width} wide, {over} too thick; give a border to raise it",
    DesignFault.NOTHING_TO_RAISE: "a panel {panels.thickness} thick is no thicker than its groove, "
    "{panels.groove_width}: there is nothing to sink; leave border out, or take a thicker panel",
    DesignFault.BORDER_HIDDEN: "a border {panels.border} wide is hidden in a groove "
    "{panels.groove_depth} deep: the field would meet the frame; expected a wider one",
    DesignFault.BORDERS_MEET: "borders of {panels.border} meet on the panel of field {pane.field}, "
    "{across} across: no field is left",
    DesignFault.GROOVE_THROUGH_MEMBER: "a groove {panels.groove_depth} deep goes through a member "
    "{width} wide",
    DesignFault.BOARDS_TOO_SHORT: "no board is long enough for the {part}, nor two scarfed "
    "together: at most {longest} can be cut; give longer boards",
    DesignFault.AIR_OUT_OF_RANGE: "expected -40 to 130 degrees Celsius and 0 to 100 % relative "
    "humidity",
    DesignFault.DRY_AIR_IS_DAMPER: "in the driest air timber comes to {dry:.1f} % moisture and in "
    "the dampest to {damp:.1f} %: expected less in the driest; are the two the wrong way round?",
    DesignFault.LOCK_BESIDE_LEAF: "the lock, {lock.height} high with its middle at {lock.above}, "
    "does not lie within a leaf {high} high",
    DesignFault.LOCK_THICKER_THAN_STILE: "the lock is {lock.thickness} thick and the stile "
    "{thickness}: expected a lock that goes into the stile with wood on both sides",
    DesignFault.LOCK_DEEPER_THAN_STILE: "the lock is {lock.depth} deep and the stile {width} wide: "
    "its case would come out at the sight edge; a shallower lock, or wider stiles",
}
ABSENT = frozenset(
    {
        DesignFault.NO_WIDTH_OF_BARS,
        DesignFault.NO_DEPTH_FOR_BARS,
        DesignFault.NO_MIDDLE_STILE,
        DesignFault.TWO_OPEN_FIELDS,
        DesignFault.NO_LAP,
        DesignFault.NO_THICKNESS_OF_GLASS,
        DesignFault.NO_CLEARANCE_OF_GLASS,
        DesignFault.NO_THICKNESS_OF_PANEL,
        DesignFault.NO_CLEARANCE_OF_PANEL,
    }
)
"""Faults of a field that is not there: they stand at the key of what it is missing from."""


def faults_in_words(found: DesignFaults, notation: Notation) -> DataFaults:
    """A design's faults as faults of its job's file, each at its field."""
    return DataFaults(_faults(found, notation))


def _faults(found: DesignFaults, notation: Notation) -> Iterator[Fault]:
    for each in found.faults:
        at = found.job.marks.key_fault if each.kind in ABSENT else found.job.marks.fault
        yield at(fill(FAULTS[each.kind], dict(each.facts), notation), *each.place)


@contextmanager
def design_faults_worded(notation: Notation) -> Iterator[None]:
    """Raise DataFaults with words where what is done inside raises DesignFaults."""
    try:
        yield
    except DesignFaults as found:
        raise faults_in_words(found, notation) from None
