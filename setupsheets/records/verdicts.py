"""What next, in words: cut the parts, measure again, another test piece, or why it is no use."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from setupsheets.corrections.stopping import Verdict
from setupsheets.corrections.words import per_cent

_CURES: Mapping[str, str] = {
    "scatter": (
        "{subject} differs from piece to piece by more than the tolerance allows: hold the work "
        "better (stop block clean, hold-down, flat blanks), or allow a wider tolerance"
    ),
    "finest move": (
        "{subject} cannot be moved finely enough: set it with a set-up block or shims, or allow a "
        "wider tolerance"
    ),
    "re-setting": (
        "{subject} does not come back to the same place when it is moved: set it against a fixed "
        "block and leave it, or allow a wider tolerance"
    ),
    "instrument": (
        "{subject} cannot be read finely enough with this instrument: measure with a finer one, or "
        "against the mate itself"
    ),
}


def verdict_lines(
    verdict: Verdict, titles: Mapping[str, str], changes: bool, read: Collection[str]
) -> tuple[str, ...]:
    """One or two lines. ``titles`` name measures and causes, ``changes`` says whether any are
    advised, ``read`` names the measures that the last piece has been read for."""
    first = "Make the changes above, then " if changes else ""
    if verdict.kind == "cut parts":
        chance = per_cent(verdict.probability)
        what = f"{first}cut the parts".strip()
        return (f"{what[0].upper()}{what[1:]}: one comes out right with {chance}.",)
    if verdict.kind == "measure again":
        wanted = " and ".join(
            f"{titles.get(each.measurement, each.measurement)} ({each.instrument.name})"
            for each in verdict.readings
        )
        again = any(each.measurement in read for each in verdict.readings)
        how = "again" if again else "further"
        return (
            f"Measure this piece {how} before anything is moved: {wanted}.",
            "It costs no wood, and it is what holds the answer back.",
        )
    if verdict.kind == "another test piece":
        what = f"{first}cut one more test piece and measure it"
        return (f"{what[0].upper()}{what[1:]}.",)
    cure = _CURES[verdict.reason or "scatter"]
    subject = titles.get(verdict.subject, verdict.subject)
    return (
        f"Out of reach: at best {per_cent(verdict.attainable)} of the parts come out right.",
        f"{cure.format(subject=subject)}.",
    )
