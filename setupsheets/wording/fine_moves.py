"""Moves finer than a dial's marks: how shims, a dial gauge or a thread move stop, fence or blade.

What the acts are is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from setupsheets.lengths import Length, Notation
from setupsheets.shop.machines import FineBy, SettingName
from setupsheets.wording.lists import many


class _Acts(Struct, frozen=True):
    """How a setting is moved by shims to a greater figure and to a smaller one."""

    more: str
    less: str


_BEHIND = _Acts(
    more="clamp blocks behind it with {shims} between, draw the {which}, push it back to the"
    " blocks",
    less="clamp blocks against its back, then {shims} between it and them",
)

_ACTS: Mapping[SettingName, _Acts] = {
    SettingName.STOP: _Acts(
        more="clamp a block behind it with {shims} between, draw the {which}, push it back to it",
        less="{shims} between stop and part",
    ),
    SettingName.FENCE: _BEHIND,
    SettingName.HEIGHT: _Acts(
        more="find the block that it just touches, lay {shims} under that, raise it to touch again",
        less="find the block that it just touches with {shims} under it, draw the {which}, lower"
        " it",
    ),
    SettingName.DEPTH: _Acts(
        more="{shims} under the work, its whole length",
        less="{shims} under the depth stop",
    ),
    SettingName.THICKNESS: _Acts(
        more="with the machine off, find the blocks that just pass, lay {shims} on them, set to"
        " both",
        less="with the machine off, find the blocks that just pass with {shims} on them, draw the"
        " {which}, set to the blocks",
    ),
}


_OTHERWISE: Mapping[FineBy, str] = {
    FineBy.GAUGE: "a dial gauge against it, set to nought; tap it until that shows {by}",
    FineBy.THREAD: "turn its thread by {by}, taking up the slack from the same side",
}


def fine_move(
    name: SettingName,
    amount: Length,
    shims: Sequence[Length],
    notation: Notation,
    by: FineBy = FineBy.SHIMS,
    *,
    paper: bool = False,
) -> str:
    """The act that moves a setting finely: `shims .004 in + .002 in between stop and part`; with
    strips of ``paper`` where the shop has no shims."""
    if by is not FineBy.SHIMS:
        return _OTHERWISE[by].format(by=notation.small(abs(amount)))
    act = _ACTS[name].more if amount > Length.ZERO else _ACTS[name].less
    if paper:
        size = f"{notation.small(shims[0])}{' each' * (len(shims) > 1)}"
        return act.format(shims=f"{many(len(shims), 'strip')} of paper ({size})", which="paper")
    sizes = " + ".join(notation.small(shim) for shim in shims)
    which = "shim" if len(shims) == 1 else "shims"
    return act.format(shims=f"{which} {sizes}", which=which)
