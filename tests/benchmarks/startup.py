"""How long the program takes to start and to do each of its commands, against bare imports.

    python -m tests.benchmarks.startup [--rounds 9] [--commands sheet parts]

Every command is a process of its own, run in turn with the others so that a busy machine slows
them all alike; the first round, which compiles what is not compiled yet, is not counted. The
measure is the ratio of medians to one process that only imports the five libraries that any such
program has: typer, ruamel.yaml, jsonschema, jinja2, markdown_it. The commands work in one copy of
the larder, with one cache of a user's, which the first round fills; those that are to write
something new in a further copy each time, `sheet, anew` after sheets were made and a test piece
was logged there, `sheet, cold` with an empty cache as well: `sheet` alone is of a job of which
nothing has changed.
Time on the processor stands beside time on the clock: on a busy machine it is the steadier one.
"""

import argparse
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
LARDER = "larder/jobs/larder.yaml"
COPE = "cope-crosscut-saw/cross-bar"
READ = ("--found", "overall=13 1/8", "--found", "face_length=12 7/16", "--sure")
BASE = "imports alone"
IMPORTS = "import typer, ruamel.yaml, jsonschema, jinja2, markdown_it"
SHEET = ("sheet", LARDER, "--to", "sheets")
PROGRAM = (sys.executable, "-m", "setupsheets")

COMMANDS: Mapping[str, tuple[str, ...]] = {
    BASE: (sys.executable, "-c", IMPORTS),
    "python alone": (sys.executable, "-c", ""),
    "--help": (*PROGRAM, "--help"),
    "sheet --help": (*PROGRAM, "sheet", "--help"),
    "completion": (*PROGRAM, "setupsheets log --shop larder larder cope"),
    "begin": (*PROGRAM, "begin", "new"),
    "list": (*PROGRAM, "list", "--shop", "larder"),
    "check": (*PROGRAM, "check", "--shop", "larder"),
    "parts": (*PROGRAM, "parts", LARDER),
    "sheet": (*PROGRAM, *SHEET),
    "sheet, anew": (*PROGRAM, *SHEET),
    "sheet, cold": (*PROGRAM, *SHEET),
    "rod": (*PROGRAM, "rod", LARDER, "--to", "rods"),
    "order": (*PROGRAM, "order", LARDER),
    "blocks": (*PROGRAM, "blocks", "3 3/8", "--shop", "larder"),
    "recall": (*PROGRAM, "recall", "cope", "--shop", "larder"),
    "correct": (*PROGRAM, "correct", LARDER, COPE, *READ),
    "log": (*PROGRAM, "log", LARDER, COPE, *READ),
}
COLD, ANEW = "sheet, cold", "sheet, anew"
WRITING = ("begin", "log", ANEW, COLD)
COMPLETION = {"_SETUPSHEETS_COMPLETE": "bash"}
AIMS = {"--help": 1.0, "completion": 1.0, "check": 3.0, "sheet": 3.0, ANEW: 3.0, "log": 3.0}


@dataclass(frozen=True)
class Taken:
    """Seconds that one process took: by the clock, and on the processor."""

    clock: float
    processor: float


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--rounds", type=int, default=9, help="at least 7 (default 9)")
    names = [name for name in COMMANDS if name != BASE]
    parser.add_argument("--commands", nargs="+", choices=names, default=names)
    asked = parser.parse_args()
    rounds = max(7, asked.rounds)
    commands = {name: COMMANDS[name] for name in (BASE, *asked.commands)}
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "examples" / "larder", Path(folder) / "larder")
        runs = measure(commands, rounds, Path(folder))
    print(f"medians of {rounds} rounds")
    print(table({name: medians(taken) for name, taken in runs.items()}))


def measure(
    commands: Mapping[str, Sequence[str]], rounds: int, folder: Path
) -> dict[str, list[Taken]]:
    """What every round of every command took, after one round that is not counted."""
    runs: dict[str, list[Taken]] = {name: [] for name in commands}
    for turn in range(rounds + 1):
        for name, command in commands.items():
            place = folder
            if name in WRITING:
                place = folder / f"{name}-{turn}"
                shutil.copytree(folder / "larder", place / "larder")
            if name == ANEW:
                for before in ("sheet", "log"):
                    run(COMMANDS[before], folder, place, {})
            told = COMPLETION if name == "completion" else {}
            told = {"XDG_CACHE_HOME": str(place)} if name == COLD else told
            taken = run(command, folder, place, told)
            if turn:
                runs[name].append(taken)
    return runs


def run(command: Sequence[str], folder: Path, place: Path, told: Mapping[str, str]) -> Taken:
    env = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(folder)}
    env |= {"PYTHONPYCACHEPREFIX": str(folder / "compiled"), **told}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    clock, processor = time.perf_counter(), children_seconds()
    done = subprocess.run(command, cwd=place, env=env, capture_output=True, text=True, check=False)
    taken = Taken(time.perf_counter() - clock, children_seconds() - processor)
    if done.returncode:
        sys.exit(f"{' '.join(command)}\n{done.stderr}")
    return taken


def children_seconds() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def medians(taken: Sequence[Taken]) -> Taken:
    return Taken(
        statistics.median(each.clock for each in taken),
        statistics.median(each.processor for each in taken),
    )


def table(found: Mapping[str, Taken]) -> str:
    base = found[BASE]
    lines = [f"{'':<14}{'clock ms':>10}{'ratio':>7}{'processor ms':>14}{'ratio':>7}{'aim':>7}"]
    for name, taken in found.items():
        clock, processor = taken.clock / base.clock, taken.processor / base.processor
        line = f"{name:<14}{taken.clock * 1000:>10.0f}{clock:>7.2f}"
        line += f"{taken.processor * 1000:>14.0f}{processor:>7.2f}"
        if (aim := AIMS.get(name)) is not None:
            line += f"{f'< {aim:g}':>7}  {'met' if clock < aim else 'missed'}"
        lines.append(line)
    return "\n".join(lines)


if __name__ == "__main__":
    main()
