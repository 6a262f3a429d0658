"""How long the program takes to start and to print a job's sheets, against bare imports.

    python tests/benchmarks/startup.py [--rounds 9]

Every command is a process of its own, run in turn with the others so that a busy machine slows
them all alike; the first round, which compiles what is not compiled yet, is not counted. The
measure is the ratio of medians to one process that only imports the five libraries that any such
program has: typer, ruamel.yaml, jsonschema, jinja2, markdown_it.
Aims: help under 1, sheet under 3.
"""

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
LARDER = "larder/jobs/larder.yaml"
IMPORTS = "import typer, ruamel.yaml, jsonschema, jinja2, markdown_it"
PROGRAM = (sys.executable, "-m", "setupsheets")

COMMANDS: Mapping[str, tuple[str, ...]] = {
    "imports alone": (sys.executable, "-c", IMPORTS),
    "python alone": (sys.executable, "-c", ""),
    "--help": (*PROGRAM, "--help"),
    "sheet --help": (*PROGRAM, "sheet", "--help"),
    "list": (*PROGRAM, "list", "--shop", "larder"),
    "check": (*PROGRAM, "check", "--shop", "larder"),
    "parts": (*PROGRAM, "parts", LARDER),
    "sheet": (*PROGRAM, "sheet", LARDER, "--to", "sheets"),
}
AIMS = {"--help": 1.0, "sheet": 3.0}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--rounds", type=int, default=9, help="at least 7 (default 9)")
    rounds = max(7, parser.parse_args().rounds)
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "examples" / "larder", Path(folder) / "larder")
        taken = measure(COMMANDS, rounds, Path(folder))
    print(table({name: statistics.median(times) for name, times in taken.items()}, rounds))


def measure(
    commands: Mapping[str, Sequence[str]], rounds: int, folder: Path
) -> dict[str, list[float]]:
    """Seconds of every round of every command, after one round that is not counted."""
    taken: dict[str, list[float]] = {name: [] for name in commands}
    for turn in range(rounds + 1):
        for name, command in commands.items():
            seconds = seconds_of(command, folder)
            if turn:
                taken[name].append(seconds)
    return taken


def seconds_of(command: Sequence[str], folder: Path) -> float:
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    started = time.perf_counter()
    done = subprocess.run(command, cwd=folder, env=env, capture_output=True, text=True, check=False)
    seconds = time.perf_counter() - started
    if done.returncode:
        sys.exit(f"{' '.join(command)}\n{done.stderr}")
    return seconds


def table(medians: Mapping[str, float], rounds: int) -> str:
    base = medians["imports alone"]
    lines = [f"medians of {rounds} rounds", f"{'':<16}{'ms':>8}{'ratio':>8}{'aim':>8}"]
    for name, seconds in medians.items():
        ratio = seconds / base
        aim = AIMS.get(name)
        verdict = "" if aim is None else f"{f'< {aim:g}':>8}  {'met' if ratio < aim else 'MISSED'}"
        lines.append(f"{name:<16}{seconds * 1000:>8.0f}{ratio:>8.2f}{verdict}")
    return "\n".join(lines)


if __name__ == "__main__":
    main()
