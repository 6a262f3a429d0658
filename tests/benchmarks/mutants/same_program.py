"""Mutants that are the same program in other words, found by hand, each with the reason.

They are told in the list and left out of the share. A row that fits no mutant any more is dead, and
`tests/test_same_program.py` fails.
"""

from __future__ import annotations

from typing import NamedTuple

from tests.benchmarks.mutants.changes import PACKAGE, Mutant, line_of

LIMIT = "what is worked out in floats never ends on the last digit of such a limit"


class Same(NamedTuple):
    """A change by its module, its function and its kind, in a line that has ``at`` in it."""

    module: str
    function: str
    what: str
    at: str
    reason: str

    def fits(self, mutant: Mutant) -> bool:
        """Whether the mutant is this change."""
        asked = (f"{PACKAGE}.{self.module}", self.function, self.what)
        made = (mutant.module, mutant.function, mutant.what)
        return asked == made and self.at in line_of(mutant)


SAME = (
    Same(
        "corrections.prediction",
        "PartsPrediction.misses",
        "always",
        "not in self._misses",
        "what is kept is worked out anew from the same, and comes to the same",
    ),
    Same(
        "corrections.offsets",
        "estimate_offsets",
        "Lt -> LtE",
        "_TOLD * VAGUE_SD",
        "a spread that is worked out never ends on the last digit of that limit",
    ),
    Same(
        "files.patching",
        "Patcher.item",
        "0 -> 1",
        "0, dash) + 1",
        "no text begins with the line end before an item: its list's key stands above it",
    ),
    Same(
        "files.schemas",
        "_Expansion.expand",
        "LtE -> Lt",
        "own.keys() <= ANNOTATIONS",
        "beside a reference with every annotation `allOf` asks for the same, and is read as one",
    ),
    Same(
        "sheets.pages.users_notes",
        "notes_as_html",
        "never",
        "if plain := _plain(",
        "what nothing is to be read in is quicker so, and comes to what the reader makes of it",
    ),
    Same(
        "sheets.content.inputs",
        "_figures",
        "'mortise ' emptied",
        "mortise {mortise.part}",
        "a fingerprint says nothing but whether the figures are the same",
    ),
    Same(
        "phone.bench_pages",
        "BenchPages._index",
        "Lt -> LtE",
        "len(text) < 4",
        "a line past the last is the last, whether it is counted or not",
    ),
    Same(
        "phone.screens",
        "_in_hand",
        "Gt -> GtE",
        "each.name > entry.name",
        "what has no advice is none of those that have",
    ),
    Same(
        "sheets.drawings.dimensions",
        "_side",
        "1 -> 2",
        "return 1 if",
        "which side is asked by its sign alone",
    ),
    Same(
        "sheets.drawings.stops_drawing",
        "_feed",
        "1 -> 2",
        "svg.arrowhead(",
        "an arrowhead is as long whatever the length of the way that it points",
    ),
    Same(
        "sheets.content.machine_sheets",
        "_stop_line",
        "returns None",
        'return ""',
        "there is no line, whether it has no words or is none",
    ),
    Same(
        "sheets.content.operation_blocks",
        "_plans",
        "0 -> 1",
        "stops.cuts[0].marks.ramp",
        "a part is fed with either end first, and the cutter leaves its ramp at both alike",
    ),
    Same(
        "sheets.drawings.cut",
        "_largest",
        "LtE -> Lt",
        "layout.width <= WIDTH",
        LIMIT,
    ),
    Same(
        "sheets.drawings.stops_drawing",
        "stops_drawing",
        "Gt -> GtE",
        "_WIDE - 20",
        LIMIT,
    ),
    Same(
        "sheets.drawings.dimensions",
        "_lanes",
        "0 -> 1",
        "[0] * len",
        "each place is written before it is read",
    ),
    Same(
        "machining.routing.bounds",
        "Bounds.visits",
        "0 -> 1",
        "[0] * len",
        "each place is written before it is read: steps come after what they come after",
    ),
    Same(
        "machining.cutting.cuts",
        "kept",
        "LtE -> Lt",
        "len(pieces) <= 1",
        "of one piece the best is that one; it is given ahead of being held against what is wanted",
    ),
    Same(
        "machining.findings",
        "_moulded",
        "Lt -> LtE",
        "other.number < operation.number",
        "what cuts across the grain is itself no cut along a moulded edge",
    ),
    Same(
        "machining.checking.stand_in",
        "_job",
        "4 -> 5",
        "/ 4",
        "the glass of a leaf that nobody makes: any that leaves room for a bead does",
    ),
    Same(
        "wording.bench",
        "_move",
        "Gt -> GtE",
        "amount > ",
        "nobody is advised to move a dial by nothing",
    ),
    Same(
        "wording.answers",
        "move_words",
        "Gt -> GtE",
        "amount > ",
        "nobody is advised to move a dial by nothing",
    ),
    Same(
        "machining.planning.fitted_ends",
        "goes_into",
        "to And",
        "Makes.MORTISE",
        "a set-up has a mortise just where its recipe makes mortises; only mypy asks for both",
    ),
    Same(
        "corrections.untold",
        "_shown_out",
        "Gt -> GtE",
        "> 1",
        LIMIT,
    ),
    Same(
        "machining.checking.joint",
        "Joint.closes",
        "LtE -> Lt",
        "<= CLOSED",
        LIMIT,
    ),
    Same(
        "machining.checking.joint",
        "_on",
        "Lt -> LtE",
        "distance < ON",
        LIMIT,
    ),
    Same(
        "machining.checking.joint",
        "_inside",
        "Lt -> LtE",
        "< point[0] < mouth",
        LIMIT,
    ),
    Same(
        "machining.checking.proof",
        "RoundedReading.share",
        "Gt -> GtE",
        "self.off > ",
        "of nothing that it is off no share is used up, of what is allowed over or under",
    ),
    Same(
        "machining.planning.choices",
        "made_up",
        "LtE -> Lt",
        "total <= width",
        "a sum that is the width itself has been found before: of what is left none is",
    ),
    Same(
        "machining.planning.evaluation",
        "_Evaluation._mismatch",
        "Gt -> GtE",
        "off > Length.ZERO",
        "what comes to something else than it should is not off by nothing",
    ),
    Same(
        "machining.support.bearing",
        "Bearing.held",
        "GtE -> Gt",
        "top >= HELD_TOP",
        LIMIT,
    ),
    Same(
        "machining.cutting.shapes",
        "moulded_edge",
        "not filtered",
        "def moulded_edge",
        "an outline in which a point stands twice is the same outline",
    ),
    Same(
        "machining.support.bearing",
        "Bearing.held",
        "GtE -> Gt",
        "self.on_fence >=",
        LIMIT,
    ),
    Same(
        "machining.support.bearing",
        "footprint",
        "Lt -> LtE",
        "along < near",
        LIMIT,
    ),
    Same(
        "machining.support.bearing",
        "footprint",
        "Gt -> GtE",
        "along > far",
        LIMIT,
    ),
    Same(
        "machining.setting.reach",
        "dado_make_up",
        "Lt -> LtE",
        "width < outside",
        "as wide as both outside blades has been found before: they are a stack by themselves",
    ),
    Same(
        "shop.finding",
        "Shop._made_by",
        "never",
        "read.thing is not None",
        "what is not kept here is read again once it is asked for, from the same file",
    ),
    Same(
        "machining.checking.features",
        "nearest_line",
        "Gt -> GtE",
        "3 * NEAR",
        LIMIT,
    ),
    Same(
        "corrections.preposterior",
        "_judge",
        "Gt -> GtE",
        "_NOTICEABLE",
        LIMIT,
    ),
    Same(
        "corrections.prediction",
        "PartsPrediction.probability",
        "GtE -> Gt",
        "_EXACT_WEIGHT",
        LIMIT,
    ),
    Same(
        "corrections.limiting",
        "unreachable",
        "Lt -> LtE",
        "_if_read(belief, parts, exact, left) < threshold",
        LIMIT,
    ),
    Same(
        "corrections.stopping",
        "_as_good_as_it_gets",
        "GtE -> Gt",
        "_NEARLY",
        LIMIT,
    ),
    Same(
        "corrections.search",
        "best_moves",
        "Gt -> GtE",
        "_TOO_FEW",
        LIMIT,
    ),
    Same(
        "corrections.normal",
        "_root",
        "minus left out",
        "shape[-1]",
        "covariances come as (b, k, k): the second size and the last are one",
    ),
    Same(
        "corrections.normal",
        "between",
        "0 -> 1",
        "low > 0",
        "between 0 and 1 either tail is taken to the same digits",
    ),
    Same(
        "corrections.hypotheses",
        "_extend",
        "1 -> 2",
        "code =",
        "sets are numbered to any base above their greatest jump, each by a number of its own",
    ),
    Same(
        "wording.explanations",
        "_off",
        "Gt -> GtE",
        "error > 0",
        "nobody is told that something is off by nothing",
    ),
    Same(
        "wording.proofs",
        "proof_title",
        "to Or",
        "Work.MORTISE",
        "what is proved has a mortise just where mortises are made; only mypy asks for both",
    ),
    Same(
        "commands.questions",
        "_ask_one",
        "1 -> 2",
        "len(steps) > 1",
        "of what stands one step inside a file nothing has a title or a name of its own",
    ),
    Same(
        "sheets.full_size.plate",
        "hatched",
        "1 -> 2",
        "/ step) + 1",
        "a line past the area meets nothing of it",
    ),
    Same(
        "sheets.full_size.plate",
        "hatched",
        "Div -> Mult",
        "/ step) + 1",
        "a line past the area meets nothing of it, and a step is more than 1 mm",
    ),
    Same(
        "sheets.pages.block_layout",
        "_with_rows_below",
        "GtE -> Gt",
        ">= needed",
        LIMIT,
    ),
    Same(
        "sheets.full_size.tiles",
        "_pages",
        "Gt -> GtE",
        "LONGEST",
        "no rod is worked out to be as long as the longest page to its last digit",
    ),
    Same(
        "sheets.drawings.drawing",
        "_open_ring",
        "Lt -> LtE",
        "1e-6",
        "no point lies a millionth of a mm off the line where a part goes on",
    ),
    Same("sheets.pages.paging", "_Pages.fits", "LtE -> Lt", "<= self.high", LIMIT),
    Same("sheets.pages.paging", "_begin", "Gt -> GtE", "> LEAST_FACTS", LIMIT),
    Same("sheets.pages.paging", "_begin", "LtE -> Lt", "<= MOST_WHITE", LIMIT),
    Same("sheets.pages.paging", "_better_whole", "LtE -> Lt", "<= MOST_WHITE", LIMIT),
    Same("sheets.pages.paging", "_part_rows", "Gt -> GtE", "> pages.high", LIMIT),
    Same("sheets.pages.heights", "_lines", "Lt -> LtE", "total < each.high", LIMIT),
    Same("sheets.pages.heights", "_lines", "Gt -> GtE", "> room:", LIMIT),
    Same(
        "sheets.pages.heights",
        "_lines",
        "Gt -> GtE",
        "if over > 0",
        "what is left over of a word that is narrower than the line is the word",
    ),
    Same(
        "sheets.pages.heights",
        "_asides",
        "Gt -> GtE",
        "> low",
        "of two drawings that reach as low the last one's room is the narrower, and asked first",
    ),
    Same("sheets.pages.heights", "_runs", "False -> True", "u00a0", "a space is as wide if bold"),
    Same(
        "sheets.pages.block_layout",
        "row_layout",
        "GtE -> Gt",
        ">= LEAST_WORDS",
        "all digits are as wide as one another, and no figure of them leaves just that",
    ),
    Same(
        "sheets.pages.heights", "first_column", "0 -> 1", "default=0", "of nothing one is nothing"
    ),
)


def reason_of(mutant: Mutant) -> str | None:
    """Why a mutant is the same program; None where it is another."""
    return next((each.reason for each in SAME if each.fits(mutant)), None)
