"""Test pieces as wood: rectangles with cuts taken out, measured with lines laid across them.

Nothing here looks at a recipe's formulas or sensitivities. Each recipe's cuts are put down from
what the machine does, and a measure is how much wood a line meets. All lengths are mm.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import inf, sqrt

Gap = tuple[float, float]
Figures = Mapping[str, float]
"""Where each setting really stands, by cause, and the blank's `blank.length` and so on."""


@dataclass(frozen=True)
class Bit:
    """An ovolo: width and depth of the moulding, and the quirk above its round."""

    width: float
    depth: float
    quirk: float

    def reach(self, depth: float) -> float:
        """Give how far from its sight edge the moulding's own wood begins at a depth."""
        radius = min(self.depth - self.quirk, self.width)
        below = depth - self.quirk
        if below <= 0:
            return self.width
        if below >= radius:
            return 0.0
        return self.width - sqrt(radius**2 - (radius - below) ** 2)

    def depth_of(self, reach: float) -> float:
        """Give how deep the moulding's outline is where its wood reaches so far from the edge."""
        radius = min(self.depth - self.quirk, self.width)
        if reach > self.width:
            return -inf
        if reach <= self.width - radius:
            return self.depth
        return self.quirk + radius - sqrt(radius**2 - (self.width - reach) ** 2)


@dataclass(frozen=True)
class Box:
    """A straight cut: from `near` to `far` along the line of feed's side, `low` to `high` in it."""

    near: float
    far: float
    low: float
    high: float

    def along(self, y: float) -> Gap | None:
        """Give what it takes out of a line at a height."""
        return (self.near, self.far) if self.low < y < self.high else None

    def up(self, x: float) -> Gap | None:
        """Give what it takes out of an upright line at a distance."""
        return (self.low, self.high) if self.near < x < self.far else None


@dataclass(frozen=True)
class Moulded:
    """What a moulding bit takes out below `height` with its far side at `far`.

    A sticking bit leaves the moulding standing; a cope bit, its reverse, leaves the tip that goes
    over it.
    """

    bit: Bit
    far: float
    height: float
    cope: bool = False

    def along(self, y: float) -> Gap | None:
        """Give what it takes out of a line at a depth from the face."""
        if not y < self.height:
            return None
        reach = self.bit.reach(y - self.height + self.bit.depth)
        return (-inf, self.far - reach if self.cope else self.far - self.bit.width + reach)

    def up(self, x: float) -> Gap | None:
        """Give what it takes out of an upright line at a distance from end or edge."""
        lift = self.height - self.bit.depth
        if self.cope:
            begins = self.bit.depth_of(self.far - x) + lift
            return (begins, self.height) if begins < self.height else None
        ends = self.bit.depth_of(x - self.far + self.bit.width) + lift
        return (-inf, ends) if ends > 0 else None


Cut = Box | Moulded


def along(cuts: Sequence[Cut], y: float) -> float:
    """Give where wood begins on a line from the end or edge inwards, at a depth."""
    gaps = sorted(gap for cut in cuts if (gap := cut.along(y)))
    begins = 0.0
    for near, far in gaps:
        if near <= begins + 1e-9:
            begins = max(begins, far)
    return begins


def up(cuts: Sequence[Cut], x: float, top: float) -> list[Gap]:
    """Give the stretches of wood on an upright line from 0 to `top`."""
    wood: list[Gap] = []
    at = 0.0
    for low, high in sorted(gap for cut in cuts if (gap := cut.up(x))):
        if low > at + 1e-9:
            wood.append((at, min(low, top)))
        at = max(at, high)
    if at < top - 1e-9:
        wood.append((at, top))
    return wood or [(0.0, 0.0)]  # cut right away


@dataclass(frozen=True)
class Hold:
    """How far one end or edge was held off stop and table at one operation, mm."""

    off: float
    above: float


Holds = Callable[[str], Hold]
"""Gives a fresh holding of the work for an operation by name, each time it is asked."""


@dataclass(frozen=True)
class Making:
    """How a recipe's test piece is cut: measures by name from figures, holdings, and what is fixed.

    `bit` is the moulding, `kerf` the blade's; `width` is the mortise chisel's.
    """

    bit: Bit
    kerf: float = 3.0
    width: float = 10.0

    def coped_saw(self, at: Figures, hold: Holds) -> dict[str, float]:
        """A tenon with cheeks from the saw above the table, coped on the router table."""
        thick = at["blank.thickness"]

        def end() -> list[Cut]:
            back, face, cope = hold("back_cheek"), hold("face_cheek"), hold("cope")
            up_to = thick - at["face_cheek.height"] - face.above
            return [
                Box(
                    -1, at["back_cheek.stop"] - back.off, at["back_cheek.height"] + back.above, 999
                ),
                Box(-1, at["face_cheek.stop"] - face.off, -1, up_to),
                self._cope(at, cope),
            ]

        return self._coped(at, end(), end())

    def coped_router(self, at: Figures, hold: Holds) -> dict[str, float]:
        """The same tenon with its cheeks from a bit below the work, end to the fence."""
        thick = at["blank.thickness"]

        def end() -> list[Cut]:
            back, face, cope = hold("back_cheek"), hold("face_cheek"), hold("cope")
            down_to = thick - at["back_cheek.height"] + back.above
            up_to = at["face_cheek.height"] - face.above
            return [
                Box(-1, at["back_cheek.fence"] - back.off, down_to, 999),
                Box(-1, at["face_cheek.fence"] - face.off, -1, up_to),
                self._cope(at, cope),
            ]

        return self._coped(at, end(), end())

    def _cope(self, at: Figures, held: Hold) -> Moulded:
        return Moulded(self.bit, at["cope.fence"] - held.off, at["cope.height"] - held.above, True)

    def _coped(self, at: Figures, left: list[Cut], right: list[Cut]) -> dict[str, float]:
        """Measure a part with an end on each side: lengths over both, the tenon at the left one."""
        length, thick = at["blank.length"], at["blank.thickness"]
        tenon = up(left, 2.0, thick)[0]
        root = at["cope.fence"] - 2.5
        face = [gap for gap in (left[2].up(root),) if gap]
        return {
            "overall": length,
            "back_length": length - along(left, thick - 0.3) - along(right, thick - 0.3),
            "tenon_thickness": tenon[1] - tenon[0],
            "face_to_tenon": tenon[0],
            "face_length": length - along(left, 0.3) - along(right, 0.3),
            "cope_depth": face[0][1] if face else 0.0,
        }

    def bar(self, at: Figures, hold: Holds) -> dict[str, float]:
        """A bar grooved from the back, moulded, its strips sawn off; measured over both edges."""
        wide, thick = at["blank.width"], at["blank.thickness"]

        def edge() -> tuple[Box, Moulded, Box]:
            groove, moulded, strip = hold("groove"), hold("sticking"), hold("strip")
            far = at["groove.fence"] - groove.off
            floor = thick - at["groove.height"] + groove.above
            fence = at["strip.fence"] - strip.off
            high = at["strip.height"] - strip.above
            return (
                Box(far - self.kerf, far, floor, 999),
                Moulded(self.bit, at["sticking.fence"] - moulded.off, self._high(at, moulded)),
                Box(-1, high, fence, fence + self.kerf),
            )

        left, right = edge(), edge()
        middle = at["groove.fence"] - self.kerf / 2
        groove_only = up(left[:1], middle, thick)
        return {
            "tongue_width": wide - left[0].far - right[0].far,
            "groove_floor": groove_only[0][1],
            "face_flat": wide - along(left[1:2], 0.3) - along(right[1:2], 0.3),
            "sticking_depth": up(left[1:2], 0.2, thick)[0][0],
            "rebate_floor": up(left, 1.0, thick)[0][1],
        }

    def _high(self, at: Figures, held: Hold) -> float:
        return at["sticking.height"] - held.above

    def sticking(self, at: Figures, hold: Holds) -> dict[str, float]:
        """A frame's edge moulded on the router table."""
        held = hold("sticking")
        cut = [Moulded(self.bit, at["sticking.fence"] - held.off, self._high(at, held))]
        return {
            "sticking_width": along(cut, 0.3),
            "sticking_depth": up(cut, 0.2, 999.0)[0][0],
        }

    def mortise(self, at: Figures, hold: Holds) -> dict[str, float]:
        """A mortise by the hollow chisel; its wobble widens it."""
        held, wobble = hold("chop"), hold("chop")
        near = at["chop.fence"] - held.off
        far = near + self.width + abs(wobble.off)
        return {
            "near_wall": near,
            "mortise_width": far - near,
            "mortise_depth": at["chop.depth"] - held.above,
        }


MAKINGS: Mapping[str, Callable[[Making, Figures, Holds], dict[str, float]]] = {
    "cope-crosscut-saw": Making.coped_saw,
    "cope-router-table": Making.coped_router,
    "bar-grooved": Making.bar,
    "sticking-router-table": Making.sticking,
    "mortise-chisel": Making.mortise,
}
