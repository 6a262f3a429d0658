"""What the maker should know about a leaf, in words: a sentence for each kind of note.

The rules on safety glazing are cited to make the maker ask, never to decide: the local code and a
qualified glazier do that, and every sentence about them says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from setupsheets.joinery.fits.dry_fit import Sort
from setupsheets.joinery.notes import Note, NoteKind
from setupsheets.lengths import Notation
from setupsheets.wording.figures import own_unit_first
from setupsheets.wording.sentences import fill

_GLASS = "glass {pieces:; }: "
_ASK = "; confirm with local code and a qualified glazier"
_SKEW = "if it springs back, look for a shoulder that is not square"
_HEIGHT = "the mortises for the outer rails in that stile, and the rails' widths"
_BAR = "its mortise marks at both ends"
_LIGHT = "the widths of what stands on either side of it, and their places"

WHERE_TO_LOOK: Mapping[Sort, str] = {
    Sort.DIAGONAL: f"diagonals apart: out of square. Pull the longer one with a clamp; {_SKEW}",
    Sort.WIDTH: "a width out at one rail: that rail between its back shoulders, or a shoulder that"
    " is not home. Out alike at every rail: the shoulders' stop, or the stiles' width",
    Sort.HEIGHT: f"a height out: {_HEIGHT}",
    Sort.SPACING: f"a row or column large beside one small: the bar or middle stile between them,"
    f" {_BAR}. One out alone: {_LIGHT}",
}
"""What a reading of the dry fit tells that is out, before any is taken."""

NOTES: Mapping[str, str] = {
    NoteKind.STILES_ARE_A_PAIR: "the stiles {several:of each leaf |}are a pair: lay them face "
    "to face and mark one as the mirror image of the other before the first mortise",
    NoteKind.LIGHTS_OFF_THE_MARK: "field {lights.field}, {lights.direction}: lights of {sizes:, } "
    "between rebates do not fall on the finest mark",
    NoteKind.LIGHTS_TO_BE_CURED: "field {lights.field}, {lights.direction}: lights of {sizes:, } "
    "between rebates do not fall on the finest mark; to make them: {changes:, or }",
    NoteKind.SIZE_TO_CHANGE: "{what} {by:size} {by:wider|narrower}",
    NoteKind.SIGHT_HEIGHT_TO_CHANGE: "{what} {by:size} {by:more|less}",
    NoteKind.EDGE_IS_BEVELLED: "the {edge.name} edge is bevelled {edge.bevel:degrees}: "
    "{edge.loss:small} over {thickness}, off the face away from the hinge pins; plane it after the "
    "leaf is glued up",
    NoteKind.EDGE_NEEDS_A_BEVEL: "the {edge.name} edge comes out {swing} as the leaf swings and "
    "has {room}: bevel it {degrees:degrees} or more",
    NoteKind.PAIR_IS_HANDED: "a pair: hang the standing leaf first and fit the other to it; the "
    "leaves are handed",
    NoteKind.PAIR_LAPS: "the meeting stiles are rebated, one from the face and the other from the "
    "back, {opening.rebate} wide and {depth} deep; with the gap of {gap} the leaves overlap by "
    "{covered}; seen from the side of the lip the covered stile shows {covered} less of its width "
    "than the other",
    NoteKind.REBATE_IS_FITTED: "{opening.fitting} of the meeting stiles' rebates is planed off as "
    "the leaves are fitted: {opening.rebate} wide as cut, {opening.lap} as hung",
    NoteKind.STRIP_COVERS_THE_GAP: "the {strip} is fixed to one leaf and covers the gap of {gap}: "
    "that leaf opens first and shuts last",
    NoteKind.HALVED_BARS_ARE_MITRED: "bars are halved over each other: once they are moulded, "
    "mitre the mouldings of both from the notch to the sight edge, {width} each side and as deep "
    "as the notch, and try each crossing dry",
    NoteKind.HALVED_BARS_LEAVE_A_HOLE: "at the back of every crossing the notch of the upright is "
    "wider than the cross bar's tongue that lies in it: a hole {width} wide and {depth} deep is "
    "left on each side; let a slip in before the glass is bedded, or choose bars whose rebate is "
    "{least} deep or more, which leave none",
    NoteKind.GROOVE_BESIDE_A_FIELD: "field {field}: groove {panels.groove_width} wide and "
    "{panels.groove_depth} deep in both stiles from {low} to {high} above the bottom of the leaf "
    "and in both rails{several:, and in both edges of each middle stile|}; no rebate there; the "
    "{several:panels go|panel goes} in dry as the leaf is put together",
    NoteKind.REBATE_ALONG_STILES: "rebate along the stiles: {ends:; }",
    NoteKind.GROOVE_ALONG_STILES: "groove along the stiles: {ends:; }",
    NoteKind.REBATE_RUNS_OUT: "out at the {end} of the leaf, where the rail's back fills it",
    NoteKind.GROOVE_RUNS_OUT: "out at the {end} of the leaf, where the tenon or its haunch fills "
    "it",
    NoteKind.RUN_STOPS: "to full depth as far as {full}, and the ramp may not pass {limit}, "
    "above the bottom of the leaf",
    NoteKind.NO_HAUNCH: "the {rail} has no haunch: its mortise runs out at the end of the "
    "stile{horn: once the horn is cut off|, which may split while it is chopped: leave horns on "
    "the stiles, or haunch the rail}",
    NoteKind.MOULDINGS_DIFFER: "the mouldings of {own.name} and {mate.name} differ: they do not "
    "run on from one to the other at a corner",
    NoteKind.STANDS_BACK: "{own.name} is {by} thinner than {mate.name} and stands back behind it",
    NoteKind.TENON_OUT_OF_LINE: "the tenon of the {joint.part} in the {joint.mate} is not in line "
    "with its own tongue: it stands back {joint.end.tenon.set_back} at a moulded edge",
    NoteKind.MORTISE_RIGHT_THROUGH: "the mortise for the {joint.part} goes right through the "
    "{joint.mate}",
    NoteKind.THIN_WALL_IN_BAR: "only {wall} is left between the mortises in a bar where "
    "bars end in it from both sides",
    NoteKind.THIN_WALL_BEHIND_MORTISE: "only {wall} is left of the {joint.mate} behind the "
    "mortise for the {joint.part}",
    NoteKind.BAR_MORTISES_TO_THE_MIDDLE: "mortises in bars for bars go to the middle, {depth}: "
    "the job does not say",
    NoteKind.TENON_THICKNESS_UNUSUAL: "the tenon of the {part.name} is {tenon.thickness} thick, "
    "{share:.2f} of its {part.thickness}: about a third is usual",
    NoteKind.TENON_TOO_WIDE: "the tenon of the {part.name} is {tenon.each} wide, more "
    "than {times} times its thickness of {tenon.thickness}: it may split the stile as it swells; "
    "{cures: or }",
    NoteKind.HAUNCH_IT: "haunch it",
    NoteKind.WIDER_HAUNCH: "give it a wider haunch",
    NoteKind.TWIN_TENONS: "make twin tenons",
    NoteKind.MORE_BETWEEN_TWINS: "leave more between the two",
    NoteKind.HAUNCH_WIDTH_UNUSUAL: "the haunch of the {rail.name} takes {rail.haunch} of "
    "{rail.width}: about a third, {third:mark}, is usual",
    NoteKind.HAUNCH_SIZES: "haunch of the {rail.name}: {rail.haunch} wide and {depth} long "
    "from the sight edge, {grooved:as deep as the groove that it fills|so that it stands as far "
    "past the shoulder as the tenon is thick}",
    NoteKind.LITTLE_UNDER_TENONS: "{gap} is left under the tenons: about 2 mm (1/16 in) is usual, "
    "for glue and dust",
    NoteKind.MORTISES_OVERLAP: "the {first.part}: the mortise for the {first.holds} ends at "
    "{first.end} and that for the {second.holds} starts at {second.start}: they overlap by "
    "{wall:size}",
    NoteKind.THIN_WALL_BETWEEN_MORTISES: "the {first.part}: the mortise for the {first.holds} "
    "ends at {first.end} and that for the {second.holds} starts at {second.start}: only {wall} is "
    "left",
    NoteKind.GROOVE_WIDER_THAN_TENONS: "the groove is {panels.groove_width} wide and the tenons "
    "are {tenon} thick, {by} less: neither tenon nor haunch fills it where it runs out at the "
    "ends of the leaf",
    NoteKind.GROOVE_TAKES_OFF_TENON: "the groove in the {rail.name} is run through its ends and "
    "takes {panels.groove_depth} off the tenon's edge, as its mortise allows",
    NoteKind.PANEL_STANDS_PROUD: "the field of a raised panel stands {by} in front of the frame's "
    "face",
    NoteKind.LOCK_IN_THE_REBATE: "the lock is {lock.depth} deep and the stile {width} wide with a "
    "rebate of {rebate}: its case comes out into the rebate",
    NoteKind.LOCK_MEETS_A_MORTISE: "the lock, from {low} to {high} above the bottom of the leaf, "
    "runs into the mortise for the {mortise.holds}, from {mortise.start} to {mortise.end}: "
    "{lock.depth} deep from one edge and {mortise.depth} from the other, they take {by} more than "
    "the stile's {width}: move it, or make the tenon shorter there",
    NoteKind.LOCK_LEAVES_THIN_WALLS: "the lock is {lock.thickness} thick and leaves {wall} of the "
    "stile on either side of it: less than {least}, about a quarter of the stile, is weak (common "
    "practice): a thinner lock, or thicker stiles",
    NoteKind.HINGE_OVER_A_TENON: "a hinge, from {low} to {high} above the bottom of the leaf, lies "
    "over the end of the tenon of the {mortise.holds}, from {mortise.start} to {mortise.end}: "
    "screws hold little in end grain and wedges (common practice): move it",
    NoteKind.FIT_MAY_CLOSE: "{stack.fit} ({of:, }): {stack.aim} is aimed at, and {likely:it may "
    "well come to nothing|it comes to nothing if every error is at its limit the same way}; it is "
    "likely within {stack.statistical:small}, at worst {stack.worst:small}, and most of that comes "
    "from the {most.setting}, {share:percent}",
    NoteKind.SEALED_UNITS: "sealed units {thickness} thick over all, {cavity} of it cavity: they "
    "come ready made and are not cut afterwards; bed them in what their maker allows, for linseed "
    "oil putty attacks the seal at their edges (common practice)",
    NoteKind.GLASS_CUT_LARGE: "glass may come {over} over size and has {room} of clearance: order "
    "it smaller, or measure each pane before the beads are cut",
    NoteKind.GLASS_CUT_SMALL: "glass cut {under} small and pushed to one side may leave the other "
    "edge uncovered: the rebate is {rebate} wide and the clearance {clearance}; set blocks at the "
    "edges or order to a closer tolerance",
    NoteKind.GLASS_PIECE: "of field {pane.field}, piece {pane.width:glass} by {pane.height:glass}",
    NoteKind.GLASS_CATEGORY: _GLASS
    + "where the leaf is a door, a piece of {several:at most |}{feet:.1f} square "
    "feet, {over:more than|not more than} 9, is Category {over:II|I} under 16 CFR 1201.2(a); IRC "
    "2015 R308.4.1 {small:excepts openings that a 3 in sphere does not pass, such as this|calls "
    "glass in a door a hazardous location}" + _ASK,
    NoteKind.GLASS_IN_CRITICAL_LOCATION: _GLASS + "its lower edge is {floor:mark}{several: or "
    "more|} above the floor or the leaf's bottom; hung so that it is less than 1500 mm above the "
    "floor, it is in the critical location of Approved Document "
    "K{wide:, and a pane wider than 900 mm needs the higher class|}{little:; the pane is a small "
    "one there, no more than 250 mm on its smaller side and 0.5 square metres, which paragraph "
    "5.6 treats by itself|}" + _ASK,
    NoteKind.WEIGHT_AND_HINGES: "a leaf weighs about {weight.leaf:kg}{glass:}: {hinges} hinges by "
    "rule of thumb{fewer:}, and the hinge maker's load limit comes first",
    NoteKind.OF_IT_GLASS: ", {weight.glass:kg} of it glass",
    NoteKind.FEWER_HINGES: " where the job has {count}",
    NoteKind.LIFT_WITH_TWO: "more than {limit:kg}: lift and hang it with two people or a door "
    "lifter, and carry glass as its maker says",
    NoteKind.MOISTURES: "timber comes to {found.made:.1f} % moisture where it is made, "
    "{found.dry:.1f} % at the driest and {found.damp:.1f} % at the dampest (Wood Handbook, "
    "equation 4-5)",
    NoteKind.MOISTURE_OUT_OF_RANGE: "movement is reckoned by coefficients that hold from 6 to 14 "
    "% moisture: outside that the figures are only a rough guide",
    NoteKind.SWELLS_TOO_MUCH: "{move.what} grows by {move.damp:small} and has room for "
    "{move.room:small}, {short:small} too little: it will bind",
    NoteKind.SHRINKS_TOO_MUCH: "{move.what} shrinks by {move.dry:small} and is covered by "
    "{move.cover:small}, {short:small} too little: a gap will show",
    NoteKind.GLUED_UP_FOR_LENGTH: "no board is long enough for the {scarf.name}: glue each up "
    "from {scarf.pieces} pieces of {scarf.length} with scarfs {scarf.joint} long, clear of "
    "mortises and of the lock",
    NoteKind.GLUE_FOR_SCARFS: "glue for scarfs: white and yellow wood glues creep under load and "
    "soften in the heat of the sun on a dark door; epoxies that set cold soften at about 50 to 60 "
    "degrees Celsius; hide glue fails in damp heat; resorcinol, and polyurethane sold for it, "
    "stand sun and weather: the adhesive's own data sheet comes first",
    NoteKind.PANEL_OF_BOARDS: "{row.name}: glued up from {count} boards {wide} wide, as its "
    "operation at the bench says",
    NoteKind.OUT_OF_SQUARE: "out of square: the diagonals differ by {by}, at most {allowed} is "
    "allowed; the top stands {lean:size} to the {lean:right|left}: pull the one from lower "
    "{rising:left|right} with a clamp; " + _SKEW,
    NoteKind.WIDTH_OUT_AT_EVERY_RAIL: "the leaf is {by:size} too {by:wide|narrow} at every rail: "
    "shoulders are not home, or rails and stiles share an error: try the joints one by one, then "
    "measure a stile's width and a rail between its back shoulders",
    NoteKind.WIDTH_OUT_AT_ONE_RAIL: "{place}: {by:size} too {by:wide|narrow}: look for {by:open "
    "shoulders, or a rail that is long|a rail that is short} between its back shoulders",
    NoteKind.HEIGHT_OUT: "{place}: {by:size} too {by:high|low}: look at " + _HEIGHT,
    NoteKind.CROSS_BAR_OUT_OF_PLACE: "field {field}: cross bar {bar} stands {by:size} too far "
    "{by:upward|downward}: look at " + _BAR,
    NoteKind.UPRIGHT_BAR_OUT_OF_PLACE: "field {field}: {stile:middle stile|upright bar} {bar} "
    "stands {by:size} too far to the {by:right|left}: look at " + _BAR,
    NoteKind.LIGHT_OUT_ALONE: "{place}: {by:size} too {by:large|small} and nothing beside it "
    "makes up for it: look at " + _LIGHT,
}


def note_text(note: Note, notation: Notation) -> str:
    """A note as a sentence."""
    words = fill(NOTES[note.kind], dict(note.facts), notation, lambda each: _told(each, notation))
    return own_unit_first(words, notation.unit)


def _told(each: Note | str, notation: Notation) -> str:
    return note_text(each, notation) if isinstance(each, Note) else each


def note_texts(notes: Iterable[Note], notation: Notation) -> tuple[str, ...]:
    """Notes as sentences, each once."""
    return tuple(dict.fromkeys(note_text(each, notation) for each in notes))
