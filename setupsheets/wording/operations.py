"""How the sheets say things: surfaces, feeds, machines' places to measure to, counts of parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.operations import Operation, Setting
from setupsheets.records.standing import Standing
from setupsheets.shop.machines import ACROSS, SettingName
from setupsheets.shop.recipes import MeasuredTo, Surface, Work
from setupsheets.wording.machines import cutter_word

SURFACES: Mapping[Surface, str] = {
    Surface.FACE: "face",
    Surface.BACK: "back",
    Surface.SIGHT_EDGE: "sight edge",
    Surface.OUTER_EDGE: "outer edge",
    Surface.END: "end",
}

SIDES: Mapping[MeasuredTo, str] = {
    MeasuredTo.NEAR: "near side",
    MeasuredTo.FAR: "far side",
    MeasuredTo.CENTRE: "centre",
}


def setting_title(operation: Operation, setting: Setting) -> str:
    """What a hand moves and which side of the cutter it is measured to."""
    # Behind a fence `far` is how far the cutter comes out of it, and the dial says so.
    out = operation.machine.kind.upright and setting.to is MeasuredTo.FAR
    if setting.name not in ACROSS or operation.cutter is None or out:
        return setting.dial.title
    side = SIDES[setting.to]
    return f"{setting.dial.title}, to the {side} of the {cutter_word(operation)}"


def down_and_against(operation: Operation) -> tuple[str, str]:
    """Which surface is down and which is against the fence or stop; empty where none is told."""
    asks = operation.asks
    down = f"{SURFACES[asks.down].upper()} on the table" if asks.down else ""
    if asks.against is None:
        return down, ""
    stopped = operation.setting(SettingName.STOP) is not None
    rest = "the stop" if stopped and asks.against is Surface.END else "the fence"
    return down, f"{SURFACES[asks.against].upper()} to {rest}"


def both_ways(operation: Operation) -> str:
    """What ``both`` means for this operation, in words; empty where it is done once."""
    if not operation.asks.both:
        return ""
    if operation.asks.work is Work.END:
        return "both ends, with the same settings"
    return "both sight edges, with the same settings"


def counted(counts: Mapping[str, int]) -> str:
    """``8 × cross bar, 2 × top rail``."""
    return ", ".join(f"{count} × {name}" for name, count in counts.items())


def listed(names: Iterable[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    items = list(names)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def runs_of(values: Iterable[int]) -> str:
    """Numbers with runs drawn together: ``7``, ``7–8``, ``3, 5–6``."""
    runs: list[list[int]] = []
    for value in sorted(values):
        if runs and value == runs[-1][-1] + 1:
            runs[-1].append(value)
        else:
            runs.append([value])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)


def numbers(values: Iterable[int]) -> str:
    """Operation numbers in words: ``operation 7``, ``operations 7–8``, ``operations 3, 5–6``."""
    items = list(values)
    return f"{'operation' if len(items) == 1 else 'operations'} {runs_of(items)}"


def tolerance(under: Length, over: Length, notation: Notation) -> str:
    """``± 1/64 in``, or both sides where they differ."""
    if under == over:
        return f"± {fine(over, notation)}"
    return f"+ {fine(over, notation)}, − {fine(under, notation)}"


def fine(length: Length, notation: Notation) -> str:
    """A small length exactly, or where that is a long text, as of 1/128 in in millimetres, no more
    of it than a hundredth of a mm or a thousandth of an inch shows: a tolerance is not widened."""
    exact = notation.write(length)
    if len(exact) <= (8 if notation.unit is Unit.MM else 12):
        return exact
    step = Length.millimetres("0.01") if notation.unit is Unit.MM else Length.inches("0.001")
    return notation.write(length // step * step)


def nearest_move(length: Length, finest: Length) -> Length:
    """The figure that the dial can really be moved to, nearest to ``length``; ties to the even."""
    steps: Fraction = length / finest
    return finest * round(steps)


def says_more(setting: Setting, known: Standing | None) -> bool:
    """Whether the records say more about a dial than to set it to the aim."""
    return known is not None and (known.set_to != setting.aim or known.give_or_take is not None)


def figure_to_set(setting: Setting, known: Standing | None) -> Length:
    """The figure to dial: what the records say, else the aim as near as the dial can be moved."""
    if known is not None and says_more(setting, known):
        return known.set_to
    return nearest_move(setting.aim, setting.dial.finest)


def tiny(length: Length, notation: Notation) -> str:
    """A gap or an error exactly where that is a short text, else to a thousandth of an inch or a
    hundredth of a mm."""
    exact = notation.write(length)
    short = 7 if notation.unit is Unit.MM else 8
    return exact if len(exact) <= short else spread(length, notation)


def spread(length: Length, notation: Notation) -> str:
    """A standard deviation, to a thousandth of an inch or a hundredth of a mm."""
    if notation.unit is Unit.MM:
        return f"{float(length.mm):.2f} mm"
    return f"{float(length.inches):.3f} in".removeprefix("0")


def units_line(notation: Notation) -> str:
    """How figures are written, for the cover."""
    if notation.unit is Unit.MM:
        one = Length.millimetres(notation.finest)
        return f"millimetres, to the nearest {notation.mark(one)}"
    one = Length.inches(notation.finest)
    sample = notation.show(Length.inches(Fraction(25, 64)) + one / 5)
    return (
        f"inches, to the nearest {notation.mark(one)}; a figure such as {sample} is the mark"
        " and so much more"
    )
