"""How the sheets say things: surfaces, feeds, machines' places to measure to, counts of parts."""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.lengths import Length
from setupsheets.machining.operations import Operation, Setting
from setupsheets.records.current import CurrentSetting
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


def says_more(setting: Setting, known: CurrentSetting | None) -> bool:
    """Whether the records say more about a dial than to set it to the aim."""
    return known is not None and (known.set_to != setting.aim or known.give_or_take is not None)


def figure_to_set(setting: Setting, known: CurrentSetting | None) -> Length:
    """The figure to dial: what the records say, else the aim as near as the dial can be moved."""
    if known is not None and says_more(setting, known):
        return known.set_to
    return setting.dial.nearest(setting.aim)
