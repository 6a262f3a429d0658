"""Mutants that are the same program in other words, found by hand, each with the reason.

They are told in the list and left out of the share.
"""

from __future__ import annotations

from collections.abc import Mapping

SAME: Mapping[str, str] = {
    "corrections.prediction PartsPrediction.misses: always: if key not in self._misses:": (
        "what is kept is worked out anew from the same, and comes to the same"
    ),
    "machining.planning.fitted_ends goes_into: to And: "
    "if makes is not Makes.MORTISE or subject.mortise is None:": (
        "a set-up has a mortise just where its recipe makes mortises; only mypy asks for both"
    ),
}
"""Reason by the mutant's key: module, function, what is changed, and the line as it is written."""
