"""Mutants that are the same program in other words, found by hand, each with the reason.

They are told in the list and left out of the share.
"""

from __future__ import annotations

from collections.abc import Mapping

LIMIT = "what is worked out in floats never ends on the last digit of such a limit"

SAME: Mapping[str, str] = {
    "corrections.prediction PartsPrediction.misses: always: if key not in self._misses:": (
        "what is kept is worked out anew from the same, and comes to the same"
    ),
    "corrections.offsets estimate_offsets: Lt -> LtE: "
    "if cause.name in dials and cov[i, i] ** 0.5 < _TOLD * VAGUE_SD:": (
        "a spread that is worked out never ends on the last digit of that limit"
    ),
    'files.patching Patcher.item: 0 -> 1: start = self.text.rfind("\\n", 0, dash) + 1': (
        "no text begins with the line end before an item: its list's key stands above it"
    ),
    "phone.bench_pages BenchPages._index: Lt -> LtE: at = int(text) if text.isdecimal() and "
    "len(text) < 4 else len(piece.lines)": (
        "a line past the last is the last, whether it is counted or not"
    ),
    "machining.routing.bounds Bounds.visits: 0 -> 1: most = [0] * len(self.steps)": (
        "each place is written before it is read: steps come after what they come after"
    ),
    "machining.checking.stand_in _job: 4 -> 5: "
    "glazing=Glazing(thickness=frame.rebate.depth / 4, clearance=tenth),": (
        "the glass of a leaf that nobody makes: any that leaves room for a bead does"
    ),
    "wording.bench _move: Gt -> GtE: way = dial.more if amount > Length.ZERO else dial.less": (
        "nobody is advised to move a dial by nothing"
    ),
    "wording.answers move_words: Gt -> GtE: "
    "way, setting = more if amount > Length.ZERO else less, record.setting(cause)": (
        "nobody is advised to move a dial by nothing"
    ),
    "machining.planning.fitted_ends goes_into: to And: "
    "if makes is not Makes.MORTISE or subject.mortise is None:": (
        "a set-up has a mortise just where its recipe makes mortises; only mypy asks for both"
    ),
    "corrections.untold _shown_out: Gt -> GtE: "
    "for at in np.flatnonzero(np.abs(mean) * weight > 1):": LIMIT,
    "corrections.preposterior _judge: Gt -> GtE: "
    "search.possible(search.centring(centre, reach.max(axis=1) > _NOTICEABLE)),": LIMIT,
    "corrections.prediction PartsPrediction.probability: GtE -> Gt: "
    "heavy = weights >= _EXACT_WEIGHT": LIMIT,
    "corrections.limiting unreachable: Lt -> LtE: "
    "if _if_read(belief, parts, exact, left) < threshold:": LIMIT,
    "corrections.stopping _as_good_as_it_gets: GtE -> Gt: "
    "if stands.probability >= limit.attainable - _NEARLY:": LIMIT,
    "corrections.search best_moves: Gt -> GtE: "
    "while current.any() and values[-1].max() > max(v.max() for v in values) - _TOO_FEW:": LIMIT,
    "corrections.normal _root: minus left out: size = cov.shape[-1]": (
        "covariances come as (b, k, k): the second size and the last are one"
    ),
    "corrections.normal between: 0 -> 1: flip = low > 0": (
        "between 0 and 1 either tail is taken to the same digits"
    ),
    "corrections.hypotheses _extend: 1 -> 2: "
    "code = added @ ((everything.max() + 1) ** np.arange(added.shape[1]))": (
        "sets are numbered to any base above their greatest jump, each by a number of its own"
    ),
    "wording.explanations _off: Gt -> GtE: "
    'return f"{_length(error, notation)} {_way(cause, over=error > 0)}"': (
        "nobody is told that something is off by nothing"
    ),
    "wording.proofs proof_title: to Or: "
    "if proof.work is Work.MORTISE and subject.mortise is not None:": (
        "what is proved has a mortise just where mortises are made; only mypy asks for both"
    ),
    "commands.questions _ask_one: 1 -> 2: if isinstance(holder, Mapping) and len(steps) > 1:": (
        "of what stands one step inside a file nothing has a title or a name of its own"
    ),
    "sheets.full_size.tiles _pages: Gt -> GtE: if max(size) > LONGEST:": (
        "no rod is worked out to be as long as the longest page to its last digit"
    ),
    "sheets.drawings.drawing _open_ring: Lt -> LtE: "
    "at is not None and abs(start[axis] - at) < 1e-6 and abs(end[axis] - at) < 1e-6": (
        "no point lies a millionth of a mm off the line where a part goes on"
    ),
}
"""Reason by the mutant's key: module, function, what is changed, and the line as it is written."""
