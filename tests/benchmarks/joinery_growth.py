"""How the time to work out a leaf grows with its bars, and how long 200 pieces take to pack.

    python -m tests.benchmarks.joinery_growth [--rounds 5]

The leaf has one field of n cross bars; what is told is the least of the rounds. The pieces have
lengths drawn at random to a 64th of an inch, in so many different sizes, out of boards of one or
of three lengths.
"""

import argparse
import random
import time
from collections.abc import Callable
from fractions import Fraction
from functools import partial

from setupsheets.joinery.leaf import whole, work_out
from setupsheets.joinery.stock.packing import BoardPiece, pack
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import (
    Bars,
    Fill,
    FrameField,
    Glazing,
    Job,
    Joints,
    Leaf,
    Rail,
    Stile,
)
from setupsheets.shop.outlines import Shape
from setupsheets.shop.sections import Member, Rebate, Section, Sticking
from setupsheets.shop.timbers import Timber

FINEST = Length("1/2 mm")
BARS = (1, 10, 100, 1000)
SIZES = (5, 10, 20, 50)
PIECES = 200
TIMBER = Timber("oak", "Oak", Fraction("0.0018"), Fraction("0.00365"), "", Fraction(750))


def mm(size: int) -> Length:
    return Length.millimetres(size)


def sections() -> dict[str, Section]:
    sticking, rebate = Sticking(Shape.OVOLO, mm(10), mm(10)), Rebate(mm(11), mm(18))
    frame = Section("frame", "Frame", Member.FRAME, mm(36), sticking, rebate)
    bar = Section("bar", "Bar", Member.BAR, mm(36), sticking, rebate, width=mm(28))
    return {"frame": frame, "bar": bar}


def leaf(bars: int) -> Job:
    """A leaf with so many cross bars, 80 mm apart."""
    return Job(
        name="leaf",
        title="Leaf",
        timber="oak",
        leaf=Leaf(mm(600), mm(80 * (bars + 1) + 28 * bars + 160)),
        stiles=Stile("frame", mm(80)),
        rails=(Rail("top rail", mm(80), "frame"), Rail("bottom rail", mm(80), "frame")),
        fields=(FrameField(Fill.GLASS, rows=bars + 1),),
        bars=Bars("bar"),
        joints=Joints(rail_mortise=mm(40), bar_mortise=mm(30), gap=mm(2)),
        glazing=Glazing(thickness=mm(4), clearance=mm(3)),
    )


def pieces(sizes: int) -> list[BoardPiece]:
    chance = random.Random(sizes)
    return [
        BoardPiece(
            str(n), Length.inches(Fraction(chance.randint(8 * 64, 85 * 64), 64)), PIECES // sizes
        )
        for n in range(sizes)
    ]


def least(rounds: int, work: Callable[[], object]) -> float:
    """Milliseconds of the quickest of the rounds."""
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken) * 1000


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--rounds", type=int, default=5)
    rounds = parser.parse_args().rounds
    print(f"{'bars':>6} {'parts, ms':>10} {'everything, ms':>15}")
    for bars in BARS:
        job, owned = leaf(bars), sections()
        parts = least(rounds, partial(work_out, job, owned, FINEST))
        joinery = work_out(job, owned, FINEST)
        every = parts + least(rounds, partial(whole, joinery, TIMBER, FINEST, Unit.MM))
        print(f"{bars:>6} {parts:>10.1f} {every:>15.1f}")
    print(f"\n{PIECES} pieces\n{'sizes':>6} {'boards':>7} {'proven':>7} {'ms':>8}")
    for sizes in SIZES:
        for lengths in ((96,), (96, 120, 144)):
            start = time.perf_counter()
            boards = [Length.inches(each) for each in lengths]
            found = pack(pieces(sizes), boards, Length("1/8 in"), Length("1 in"))
            taken = (time.perf_counter() - start) * 1000
            print(f"{sizes:>6} {found.count:>7} {found.proven!s:>7} {taken:>8.0f}")


if __name__ == "__main__":
    main()
