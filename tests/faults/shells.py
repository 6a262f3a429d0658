"""The program as a shell starts it: output that cannot be written, Ctrl-C, calls that the system
itself makes fail (`strace`), and a disk that is full (a small one in memory)."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from random import Random

from tests.faults import forked, trials
from tests.faults.acts import ACTS, FIRST, LOG, new_shop, pieces
from tests.faults.forked import Outcome
from tests.faults.tally import Tally

ROOT = Path(__file__).parents[2]
PLAIN = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
COMMANDS: Mapping[str, tuple[str, ...]] = {
    "help": ("--help",),
    "list": ("list",),
    "list as JSON": ("list", "--json"),
    "check": ("check",),
    "parts": ("parts", "larder"),
    "parts as JSON": ("parts", "larder", "--json"),
    "sheet": ("sheet", "larder"),
    "correct": ("correct", *LOG[1:], "--found", "overall=15 1/8"),
    "log with a verdict": (*FIRST, "--verdict", "given up"),
    "recall": ("recall", "cope"),
    "blocks": ("blocks", "17/32"),
    "order": ("order", "bar-grooved"),
    "asked at the bench": LOG,
}
REDIRECTIONS = ("> /dev/full", "2> /dev/full", ">&-", "2>&-", "<&-", "| true", "| head -c 1", "C")


def shelled(
    arguments: Sequence[str], shop: Path, redirection: str = "", *, prefix: Sequence[str] = ()
) -> Outcome:
    """A command in a shell of its own; the code is the program's, whatever stands behind it."""
    environment = os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": "200", "TERM": "dumb"}
    if redirection == "C":
        environment, redirection = environment | PLAIN, ""
    program = 'set -o pipefail; "$@" ' + redirection
    if redirection.startswith("|"):
        program = f'"$@" {redirection}; exit "${{PIPESTATUS[0]}}"'
    said = [*prefix, sys.executable, "-P", "-m", "setupsheets", *arguments]
    try:
        done = subprocess.run(
            ["bash", "-c", program, "bash", *said],
            cwd=shop,
            env=environment,
            stdin=None if redirection == "<&-" else subprocess.DEVNULL,
            capture_output=True,
            timeout=forked.SECONDS * 2,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return Outcome(tuple(arguments), -signal.SIGALRM, "", "", 0)
    words = (done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace"))
    return Outcome(tuple(arguments), done.returncode, *words, 0)


def output_lost(command: str, redirection: str, tally: Tally) -> None:
    """A command whose output goes nowhere: what was to be kept is kept, in a word or silence."""
    with tempfile.TemporaryDirectory(prefix="faults-") as room:
        shop = new_shop(Path(room).resolve() / "shop", records=command == "recall")
        outcome = shelled(COMMANDS[command], shop, redirection)
        story = f"{command} {redirection}"
        tally.ended(story, outcome)
        full = redirection == "> /dev/full"
        if full and (outcome.code != 1 or len(outcome.err.strip().splitlines()) > 2):
            tally.wrong("untrue", f"{story}: exit {outcome.code}, said {outcome.err[-100:]!r}")
        if not full and command != "asked at the bench" and outcome.code != 0:
            tally.wrong("untrue", f"{story}: exit {outcome.code}, said {outcome.err[-100:]!r}")
        if "verdict" in command and "verdict given up" not in (pieces(shop) or []):
            tally.wrong("lost", f"{story}: the verdict is not kept")


def interrupted(after: float, tally: Tally) -> None:
    """Ctrl-C so many seconds after the start."""
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with tempfile.TemporaryDirectory(prefix="faults-") as room:
        shop = new_shop(Path(room).resolve() / "shop")
        process = subprocess.Popen(
            [sys.executable, "-P", "-m", "setupsheets", *FIRST],
            cwd=shop,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        time.sleep(after)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=forked.SECONDS)
        if "Traceback" in err and "setupsheets" not in err:
            return  # Python itself was still starting
        code = -9 if process.returncode == -signal.SIGINT else process.returncode
        story = f"Ctrl-C after {after:.3f} s"
        tally.ended(story, Outcome(FIRST, 1 if code == 130 else code, out, err, 0))
        if pieces(shop) is None:
            tally.wrong("damaged", f"{story}: the records cannot be read")


CALLS = ("fsync", "rename", "link", "unlink", "flock", "write")


def straced(stage: trials.Stage, call: str, when: int, error: str, tally: Tally) -> None:
    """One system call fails by `strace`, the program being none the wiser."""
    here = stage.copy()
    prefix = ("strace", "-f", "-o", "/dev/null", "-e", f"trace={call}")
    inject = ("-e", f"inject={call}:error={error}:when={when}")
    outcome = shelled(stage.act.command, here, prefix=(*prefix, *inject))
    story = f"{stage.act.name}, strace: {call} {when} gives {error}"
    tally.ended(story, outcome)
    trials.judged(stage, here, story, outcome, tally)


def can_strace() -> bool:
    """Whether `strace` is here and may be used."""
    if shutil.which("strace") is None:
        return False
    tried = subprocess.run(["strace", "-o", "/dev/null", "true"], capture_output=True, check=False)
    return tried.returncode == 0


@contextmanager
def small_disk() -> Iterator[Path | None]:
    """A disk of 3 MB in memory; None where no such thing may be made."""
    with tempfile.TemporaryDirectory(prefix="faults-") as place:
        make = ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", place]
        try:
            made = subprocess.run(make, capture_output=True, check=False).returncode == 0
        except FileNotFoundError:
            made = False
        try:
            yield Path(place).resolve() if made else None
        finally:
            if made:
                subprocess.run(["umount", "-l", place], check=False)


def full_disks(random: Random, count: int) -> Tally:
    """Acts on a disk with a few KB left; then there is room and the command is given again."""
    tally = Tally("full disk")
    for _ in range(count):
        with small_disk() as room:
            if room is None:
                return tally
            stage = trials.staged(random.choice(ACTS), room)
            stage.held.close()
            here, left = stage.copy(), random.choice((0, 4, 8, 12, 40, 120)) * 1024
            filler = room / "filler"
            free = shutil.disk_usage(room).free
            filler.write_bytes(b"\0" * max(0, free - left))
            outcome = forked.run(
                stage.act.command, here, before=forked.same_names_each_time, typed=stage.act.typed
            )
            filler.unlink()
            story = f"{stage.act.name}, {left // 1024} KB left"
            tally.ended(story, outcome)
            trials.judged(stage, here, story, outcome, tally)
    return tally
