"""How long proof and search take: every proof of a job, its route, an order by its operations.

    python -m tests.benchmarks.proof_and_order

Times are of the processor, the best of several runs, imports done. The search is measured twice:
where every order stands well, and where one operation tips whatever is done ahead of it, so that
hardly a state can be left out. Routes are searched for both examples, and for steps drawn at random
on five machines, ten times as tangled as a door: what they come to is settings, changes of machine
and moves of parts, given, found, and what no order beats.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.operations import FittedJig, Operation, Setting, Subject
from setupsheets.machining.plan import plan_of
from setupsheets.machining.routing.exact_search import best_order_of
from setupsheets.machining.routing.route import joint_by_joint
from setupsheets.machining.routing.rules import ruled_steps
from setupsheets.machining.routing.steps import Step, tally
from setupsheets.machining.support.operation_order import best_order
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.finding import Shop
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import Machine, MachineSetting, SetBy, SettingName
from setupsheets.shop.outlines import Shape
from setupsheets.shop.recipes import JigKind, MeasuredTo, RecipeOperation, Surface, Work
from setupsheets.shop.sections import Member, Rebate, Section, Sticking

EXAMPLES = Path(__file__).parents[2] / "examples"
BLADE = Cutter("blade", "Blade", CutterType.SAW_BLADE, diameter=Length("10 in"),
               kerf=Length("1/8 in"))  # fmt: skip
SAW = Machine("saw", "Saw", MachineType.TABLE_SAW, {}, fence_height=Length("3 in"))
DIAL = MachineSetting("Dial", Length("1/64 in"), SetBy.RULE, "up", "down")
SLED = FittedJig("sled", JigKind.HOLDS_FAST, "")
SIDES = ((Surface.BACK, Surface.SIGHT_EDGE), (Surface.FACE, Surface.SIGHT_EDGE),
         (Surface.SIGHT_EDGE, Surface.FACE))  # fmt: skip
BAR = Section(
    "bar", "Bar", Member.BAR, Length("1 1/4 in"),
    Sticking(Shape.CHAMFER, Length("3/8 in"), Length("3/8 in")),
    Rebate(Length("7/16 in"), Length("1/2 in")), Length("9 in"),
)  # fmt: skip
WIDE = Subject(Length("9 in"), BAR.thickness, Length("16 in"), BAR, sight_edges=2)
WIDTH = 40  # characters of the longest bar


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=12, help="operations in the largest search")
    most = parser.parse_args().most
    for job in ("larder", "vestibule"):
        shop = Shop.open(EXAMPLES / job)
        plan = plan_of(shop.job(job), shop)
        proofs = prove_plan(plan)
        seconds = best_of(5, partial(prove_plan, plan))
        held = sum(proof.holds for proof in proofs)
        print(f"{job}: {len(proofs)} proofs, {held} hold, {1000 * seconds:.0f} ms")
        route(job, ruled_steps(joint_by_joint(plan.set_ups)))
    for count in (30, 60, 100, 160):
        route("at random", tangled(count))
    for title, hard in (("every order stands", False), ("one operation always tips", True)):
        print(f"\norder, {title}: operations, supports looked at, seconds")
        chart([search(count, hard) for count in range(4, most + 1, 2)])


def route(title: str, steps: list[Step]) -> None:
    """One line: how long the search for a route took, and what it found."""
    found = best_order_of(steps)
    seconds = best_of(1, partial(best_order_of, steps))
    costs = ", ".join("/".join(map(str, each)) for each in (tally(steps), found.cost, found.least))
    print(f"route, {title}: {len(steps)} operations, {1000 * seconds:.0f} ms: {costs}")


def tangled(count: int) -> list[Step]:
    """Steps of eight parts, two at a time, most after the last one of the same part."""
    draw = random.Random(count)
    steps, last = [], dict[str, int]()
    for at in range(count):
        parts = draw.sample("abcdefgh", 2)
        names = [name for name in ("fence", "height") if draw.random() < 0.8]
        before = {last[part] for part in parts if part in last and draw.random() < 0.8}
        steps.append(
            Step(
                machine=draw.choice("ABCDE"),
                cutter=draw.choice("cd"),
                settings={name: draw.randint(1, max(2, count // 12)) for name in names},
                parts=dict.fromkeys(parts, 2),
                before=sum(1 << earlier for earlier in before),
            )
        )
        last |= dict.fromkeys(parts, at)
    return steps


def search(count: int, hard: bool) -> tuple[int, int, float]:
    """Operations, supports looked at, and seconds that the search took."""
    operations = grooves(count, hard)
    looked_at = best_order(operations, WIDE).looked_at
    return count, looked_at, best_of(1, lambda: best_order(operations, WIDE))


def best_of(runs: int, work: Callable[[], object]) -> float:
    """The least processor time of several runs, in seconds."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def chart(searches: Sequence[tuple[int, int, float]]) -> None:
    """One line and one bar for each number of operations."""
    longest = max(seconds for _, _, seconds in searches)
    for count, looked_at, seconds in searches:
        bar = "#" * max(1, round(WIDTH * seconds / longest))
        print(f"{count:3} {looked_at:7} {seconds:8.3f}  {bar}")


def grooves(count: int, hard: bool) -> list[Operation]:
    """So many shallow grooves in the back, the face and, on a sled, the edges of a wide bar; in
    the hard case the last one is cut on edge without a sled."""
    made = [groove(index, SIDES[index % len(SIDES)]) for index in range(count)]
    if hard:
        last = groove(count - 1, SIDES[2])
        made[-1] = replace(last, jigs=())
    return made


def groove(index: int, lies: tuple[Surface, Surface]) -> Operation:
    """One groove along both edges, each at its own distance from the fence."""
    down, against = lies
    on_edge = against is Surface.FACE
    fence = Length("1/2 in") if on_edge else Length("3/16 in") + index * Length("1/16 in")
    depth = Length("1/16 in")
    asks = RecipeOperation(f"cut{index}", "Cut", MachineType.TABLE_SAW, Work.EDGE, (), down,
                           against, both=True)  # fmt: skip
    settings = (
        Setting(SettingName.FENCE, f"cut{index}.fence", fence, MeasuredTo.NEAR, DIAL),
        Setting(SettingName.HEIGHT, f"cut{index}.height", depth, MeasuredTo.NEAR, DIAL),
    )
    return Operation(1, asks, SAW, BLADE, settings, jigs=(SLED,) if on_edge else ())


if __name__ == "__main__":
    main()
