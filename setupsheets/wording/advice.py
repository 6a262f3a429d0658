"""What the corrections say, as a maker reads it: explanations, and what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.explain import Explanation, Explanations, SuspectCause, SuspectReading
from setupsheets.corrections.limiting import Reason
from setupsheets.corrections.stopping import Recommendation
from setupsheets.lengths import Length, Notation


def explanation_lines(
    explanations: Explanations, belief: Belief, notation: Notation
) -> tuple[str, ...]:
    """One line for each explanation, most probable first, after what to doubt."""
    titles = _titles(belief)
    lines = [_suspect_reading(d, titles, notation) for d in explanations.readings]
    if explanations.unexplained:
        lines.append(
            "Nothing here explains these readings: measure the piece again before moving anything."
        )
    lines += [_explanation(e, titles, notation) for e in explanations.ranked]
    return tuple(lines)


def recommendation_line(recommendation: Recommendation, belief: Belief) -> str:
    """What to do next, and where it is out of reach, why and what would cure it."""
    titles = _titles(belief)
    sure = per_cent(recommendation.probability)
    if recommendation.kind == "cut parts":
        return f"Cut the parts: {sure} of them will be inside every limit."
    if recommendation.kind == "another test piece":
        return f"Cut another test piece: only {sure} of parts would be inside every limit now."
    if recommendation.kind == "measure again":
        readings = _listed(
            [f"{titles[o.measurement]} ({o.instrument.name})" for o in recommendation.readings]
        )
        return (
            f"Measure this piece again before cutting another: {readings}. It costs no wood;"
            f" as it stands {sure} of parts would be inside every limit."
        )
    why = _CURES[recommendation.reason or "instrument"].format(
        titles.get(recommendation.subject, "")
    )
    best = per_cent(recommendation.attainable)
    return f"Out of reach: {why} At best {best} would be inside every limit."


_CURES: dict[Reason, str] = {
    "scatter": (
        "{0} differs more from piece to piece than its limits allow. Hold the work harder against"
        " stop and fence, true up the stock, or allow more."
    ),
    "finest move": (
        "{0} cannot be moved finely enough. Use a shim or a finer adjuster on it, or allow more."
    ),
    "re-setting": (
        "{0} does not come back closely enough each time it is set. Clamp a block to it before it"
        " is moved, or set it with a set-up block, or allow more."
    ),
    "blanks": (
        "{0} are too small for this part. Cut new ones; these still serve for smaller parts or as"
        " test pieces."
    ),
    "instrument": (
        "{0} cannot be read closely enough. Measure it with a finer instrument, or allow more."
    ),
}


def per_cent(probability: float) -> str:
    """A probability without ever claiming certainty either way."""
    rounded = round(100 * probability)
    if rounded >= 100 and probability < 1 - 1e-12:
        return "over 99 %"
    if rounded <= 0 and probability > 0:
        return "under 1 %"
    return f"{rounded} %"


def _titles(belief: Belief) -> dict[str, str]:
    """The title of everything that can be read or moved, by name."""
    causes = {c.name: c.title for c in belief.causes}
    return causes | {m.name: m.title for m in belief.measurements}


def _explanation(explanation: Explanation, titles: dict[str, str], notation: Notation) -> str:
    chance = per_cent(explanation.probability)
    parts = [_suspect_cause(c, notation) for c in explanation.causes]
    parts += [
        f"{titles[d.measurement]} of piece {d.piece + 1} {_doubted(d)}"
        for d in explanation.readings
    ]
    if explanation.ordinary:
        if not parts:
            return f"nothing slipped, every setting within its usual spread: {chance}"
        return f"nothing slipped; {_listed(parts)}: {chance}"
    line = f"{_listed(parts)}: {chance}"
    alone = len(explanation.causes) == 1 and not explanation.readings
    explained = explanation.causes[0].explains if alone else ()
    if len(explained) > 1:
        line += f"; it alone explains {_listed([titles[name] for name in explained])}"
    return line


def _suspect_cause(suspect: SuspectCause, notation: Notation) -> str:
    cause = suspect.cause
    where = _off(suspect.error, cause.over, cause.under, notation)
    if suspect.how == "ordinary":
        return f"{cause.title} {where}"
    if suspect.how == "move":
        return f"{cause.title} {where} since its move before piece {suspect.piece + 1}"
    if suspect.how == "shift":
        return f"{cause.title} {where}: it shifted before piece {suspect.piece + 1}"
    if abs(suspect.error) < abs(suspect.jump) / 4:
        was = _off(suspect.jump, cause.over, cause.under, notation)
        return f"{cause.title} was {was} at first and has been put right"
    return f"{cause.title} {where}"


def _suspect_reading(doubt: SuspectReading, titles: dict[str, str], notation: Notation) -> str:
    title = titles[doubt.measurement]
    what = (
        "likely a misreading, by about"
        if doubt.how == "misreading"
        else "likely a piece cut badly there, by about"
    )
    return (
        f"{title} of piece {doubt.piece + 1}: {what} {_length(doubt.amount, notation)}"
        f" ({per_cent(doubt.probability)}); measure it again before moving anything"
    )


def _doubted(doubt: SuspectReading) -> str:
    return "was misread" if doubt.how == "misreading" else "was cut badly"


def _off(error: float, over: str, under: str, notation: Notation) -> str:
    return f"{_length(error, notation)} {over if error > 0 else under}"


def _length(amount: float, notation: Notation) -> str:
    """A deviation in mm without its sign, to the shop's marks."""
    return notation.mark(Length.millimetres(Fraction(abs(amount))))


def _listed(parts: Sequence[str]) -> str:
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"
