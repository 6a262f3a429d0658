"""Explanations and verdicts in plain words.

Lengths are worded by a function that the caller gives: `show(1.5875)` may give "1/16". It is only
ever asked for lengths above nil or nil.
"""

from collections.abc import Callable, Sequence

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.explain import Explanation, Explanations, SuspectCause, SuspectReading
from setupsheets.corrections.limiting import Reason
from setupsheets.corrections.stopping import Recommendation

Show = Callable[[float], str]


def word_explanations(explanations: Explanations, belief: Belief, show: Show) -> list[str]:
    """Give one line for each explanation, most probable first, after what to doubt."""
    titles = _titles(belief)
    lines = [_word_doubt(d, titles, show) for d in explanations.readings]
    if explanations.unexplained:
        lines.append(
            "Nothing here explains these readings: measure the piece again before moving anything."
        )
    lines += [_word_explanation(e, titles, show) for e in explanations.ranked]
    return lines


def word_verdict(verdict: Recommendation, belief: Belief) -> str:
    """Word what to do next, and where it is out of reach, why and what would cure it."""
    titles = _titles(belief)
    sure = per_cent(verdict.probability)
    if verdict.kind == "cut parts":
        return f"Cut the parts: {sure} of them will be inside every limit."
    if verdict.kind == "another test piece":
        return f"Cut another test piece: only {sure} of parts would be inside every limit now."
    if verdict.kind == "measure again":
        readings = _listed(
            [f"{titles[o.measurement]} ({o.instrument.name})" for o in verdict.readings]
        )
        return (
            f"Measure this piece again before cutting another: {readings}. It costs no wood;"
            f" as it stands {sure} of parts would be inside every limit."
        )
    assert verdict.limit is not None
    why = _CURES[verdict.limit.reason].format(titles.get(verdict.limit.subject, ""))
    best = per_cent(verdict.limit.attainable)
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
    """Word a probability without ever claiming certainty either way."""
    rounded = round(100 * probability)
    if rounded >= 100 and probability < 1 - 1e-12:
        return "over 99 %"
    if rounded <= 0 and probability > 0:
        return "under 1 %"
    return f"{rounded} %"


def _titles(belief: Belief) -> dict[str, str]:
    """Give the title of everything that can be read or moved, by name."""
    causes = {c.name: c.title for c in belief.causes}
    return causes | {m.name: m.title for m in belief.measurements}


def _word_explanation(explanation: Explanation, titles: dict[str, str], show: Show) -> str:
    chance = per_cent(explanation.probability)
    parts = [_word_culprit(c, show) for c in explanation.causes]
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


def _word_culprit(suspect: SuspectCause, show: Show) -> str:
    cause = suspect.cause
    where = _off(suspect.error, cause.over, cause.under, show)
    if suspect.how == "ordinary":
        return f"{cause.title} {where}"
    if suspect.how == "move":
        return f"{cause.title} {where} since its move before piece {suspect.piece + 1}"
    if suspect.how == "shift":
        return f"{cause.title} {where}: it shifted before piece {suspect.piece + 1}"
    if abs(suspect.error) < abs(suspect.jump) / 4:
        was = _off(suspect.jump, cause.over, cause.under, show)
        return f"{cause.title} was {was} at first and has been put right"
    return f"{cause.title} {where}"


def _word_doubt(doubt: SuspectReading, titles: dict[str, str], show: Show) -> str:
    title = titles[doubt.measurement]
    what = (
        "likely a misreading, by about"
        if doubt.how == "misreading"
        else "likely a piece cut badly there, by about"
    )
    return (
        f"{title} of piece {doubt.piece + 1}: {what} {show(abs(doubt.amount))}"
        f" ({per_cent(doubt.probability)}); measure it again before moving anything"
    )


def _doubted(doubt: SuspectReading) -> str:
    return "was misread" if doubt.how == "misreading" else "was cut badly"


def _off(error: float, over: str, under: str, show: Show) -> str:
    return f"{show(abs(error))} {over if error > 0 else under}"


def _listed(parts: Sequence[str]) -> str:
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"
