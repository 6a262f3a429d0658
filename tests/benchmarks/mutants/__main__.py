"""How many faults the tests see: one thing in one function is changed, and its tests must fail.

    python -m tests.benchmarks.mutants --folder wording --count 20 --seed 1

First all tests run once, and it is kept to which places of the program each of them comes (in the
file of ``--map``; files of tests that are new or changed are run again, a program that is changed
wants a map of its own). A mutant is then asked of the tests that come to its place, in a process of
its own that writes nothing into the checkout; what is seen by a test that fails without the mutant
too is not seen. What no test comes to survives. What is the same program in other words is told
with its reason (`same_program.py`) and left out of the share. The aim is 85 in a hundred.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.mutants.asking import Answer, asked, gathered, tests_for, warm_up
from tests.benchmarks.mutants.changes import FOLDERS, ROOT, WITHIN, Mutant, line_of, mutants_of
from tests.benchmarks.mutants.entered import brought_up_to_date
from tests.benchmarks.mutants.same_program import reason_of

AIM = 0.85


def told(folder: str, answers: list[tuple[Mutant, Answer]]) -> None:
    """Print the share of a folder and, below it, every mutant that was not seen by a test."""
    same = {mutant: why for mutant, answer in answers
            if answer.by is None and (why := reason_of(mutant)) is not None}  # fmt: skip
    seen = sum(answer.by is not None for _, answer in answers)
    of = len(answers) - len(same)
    share = seen / of if of else 1.0
    how = "met" if share >= AIM else "missed"
    print(f"{folder:<12} {seen} of {of} seen, {share:.0%}  (aim {AIM:.0%}: {how})")
    for mutant, answer in answers:
        where = f"{mutant.module}:{mutant.line} {mutant.function}: {mutant.what}"
        if mutant in same:
            print(f"    the same program  {where}\n        {same[mutant]}")
        elif answer.by is None:
            print(f"    survived ({answer.asked} tests)  {where}\n        {line_of(mutant)}")
        elif answer.by.startswith("("):
            print(f"    seen  {where}: {answer.by}")
    sys.stdout.flush()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--folder", choices=(*FOLDERS, *WITHIN), metavar="FOLDER", action="append",
                        help="wording, or within one, sheets/drawings; default: each")  # fmt: skip
    parser.add_argument("--count", type=int, default=20, help="mutants of each folder")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=20.0, help="of tests for each mutant")
    parser.add_argument("--map", type=Path, default=Path(tempfile.gettempdir()) / "entered.jsonl")
    options = parser.parse_args()
    os.environ["CI"] = "1"  # the same cases each time
    os.chdir(ROOT)
    warm_up(str(options.map.with_suffix("")))
    entered = brought_up_to_date(options.map)
    chosen: dict[str, list[tuple[Mutant, list[str]]]] = {}
    for folder in options.folder or FOLDERS:
        every = list(mutants_of(folder))
        few = random.Random(options.seed).sample(every, min(options.count, len(every)))
        chosen[folder] = [(one, tests_for(one, entered, options.seconds)) for one in few]
    wanted = {name for some in chosen.values() for _, tests in some for name in tests}
    with gathered(sorted({name.partition("::")[0] for name in wanted})) as process:
        for folder, some in chosen.items():
            told(folder, [(one, asked(one, tests, entered, process)) for one, tests in some])


if __name__ == "__main__":
    main()
