"""The program in a process forked from this one: it starts at once, and may be killed or harmed.

Linux and macOS only: what is tried here needs `fork`. Call `warm_up` before the first one.
"""

from __future__ import annotations

import gc
import importlib
import io
import os
import pickle
import pkgutil
import resource
import secrets
import signal
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import setupsheets
from setupsheets.__main__ import program
from setupsheets.machining.plan import plan_of
from setupsheets.shop import finding

T = TypeVar("T")

EXAMPLES = Path(__file__).parents[2] / "examples"

SECONDS = 120
"""Longer by far than any command takes on the examples, on a machine with much else to do; what is
not done then is called hung."""
MOST_KB = 700_000
"""More memory than any command needs on the examples by far, in KB."""
MOST_ADDRESSES = 4 << 30

LIBRARIES = (
    *("numpy", "shapely", "shapely.ops", "ruamel.yaml", "jinja2"),
    *("jsonschema", "referencing", "markdown_it", "filelock", "highspy", "difflib"),
)


@dataclass(frozen=True)
class Outcome:
    """How a command ended. ``code`` is below nought for a signal, as `subprocess` has it."""

    arguments: tuple[str, ...]
    code: int
    out: str
    err: str
    peak: int

    @property
    def killed(self) -> bool:
        return self.code == -signal.SIGKILL

    @property
    def traceback(self) -> bool:
        return "Traceback (most recent call last)" in self.err or self.code not in (
            0,
            1,
            2,
            -9,
            -14,
        )

    @property
    def hung(self) -> bool:
        """No end within the time, or more memory than is decent."""
        return self.code == -signal.SIGALRM or self.peak > MOST_KB


def warm_up() -> None:
    """Import what commands import late, and have the user's cache know the built-in files."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.update(COLUMNS="200", TERM="dumb", NO_COLOR="1")
    for name in (*LIBRARIES, *_modules()):
        importlib.import_module(name)
    for name in ("larder", "vestibule"):
        shop = finding.Shop.open(EXAMPLES / name)
        plan_of(shop.job(name), shop)
    gc.freeze()


def _modules() -> Iterator[str]:
    """Every module of the program but the one that starts it."""
    for module in pkgutil.walk_packages(setupsheets.__path__, "setupsheets."):
        if not module.name.endswith("__main__"):
            yield module.name


def run(
    arguments: Sequence[str | Path],
    folder: Path,
    *,
    before: Callable[[], object] | None = None,
    typed: str = "",
    seconds: int = SECONDS,
) -> Outcome:
    """Run `setupsheets ARGUMENTS` in a folder and wait for its end.

    ``before`` is called in the new process, right before the program.
    """
    said = tuple(map(str, arguments))
    process, out, err = start(said, folder, before=before, typed=typed, seconds=seconds)
    return finished(said, process, out, err)


def read(what: Callable[[Path], T], folder: Path) -> T | None:
    """What a function finds in a folder, in a process of its own; None where it does not end
    well."""
    with tempfile.TemporaryFile() as file:
        process = os.fork()
        if process == 0:
            try:
                signal.alarm(SECONDS)
                file.write(pickle.dumps(what(folder)))
                file.flush()
            finally:
                os._exit(0)
        os.waitpid(process, 0)
        file.seek(0)
        found = file.read()
    return pickle.loads(found) if found else None


class Held:
    """A command held before its first call that may write. From there it goes on as often as is
    asked, each time in a process forked from it, so that what it does before is done once."""

    def __init__(
        self,
        arguments: Sequence[str],
        folder: Path,
        install: Callable[[Callable[[], object]], Callable[[Any], object]],
        *,
        typed: str = "",
    ) -> None:
        """``install`` puts a layer under the program, given what is to be called before the first
        call that may write, and gives what tells the layer of one case."""
        self.arguments, self.folder = tuple(arguments), folder
        asked, self._ask = os.pipe()
        self._hear, told = os.pipe()

        def before() -> None:
            os.close(self._ask)
            os.close(self._hear)
            change = install(lambda: _serve(asked, told, folder, change))

        self.process, *self._files = start(self.arguments, folder, before=before, typed=typed)
        os.close(asked)
        os.close(told)
        self._said = os.fdopen(self._hear, "rb")
        if not self._said.read(1):
            ended = finished(self.arguments, self.process, *self._files)
            raise RuntimeError(f"it ended before it wrote anything: {ended.err}")

    def go_on(self, case: object) -> Outcome:
        """One case to its end, in the shop as it is now at the same place."""
        with tempfile.TemporaryDirectory(prefix="held-") as room:
            os.write(self._ask, pickle.dumps((room, case)))
            code, peak = pickle.load(self._said)
            out, err = ((Path(room) / name).read_text("utf-8", "replace") for name in "oe")
        return Outcome(self.arguments, code, out, err, peak)

    def close(self) -> None:
        """Let it go."""
        os.close(self._ask)
        self._said.close()
        finished(self.arguments, self.process, *self._files)


def _serve(asked: int, told: int, folder: Path, change: Callable[[Any], object]) -> None:
    """Fork for each case that is asked for; returns in the forked process alone."""
    signal.alarm(0)
    os.write(told, b"!")
    place = os.lseek(0, 0, os.SEEK_CUR)
    so_far = [os.pread(number, 10**6, 0) for number in (1, 2)]
    with os.fdopen(asked, "rb") as requests:
        while True:
            try:
                room, case = pickle.load(requests)
            except EOFError:
                os._exit(0)
            process = os.fork()
            if process == 0:
                break
            _, status, used = os.wait4(process, 0)
            os.write(told, pickle.dumps((os.waitstatus_to_exitcode(status), used.ru_maxrss)))
        os.lseek(0, place, os.SEEK_SET)
        for number, name, text in zip((1, 2), "oe", so_far, strict=True):
            file = os.open(Path(room) / name, os.O_RDWR | os.O_CREAT, 0o600)
            os.write(file, text)
            os.dup2(file, number)
    signal.alarm(SECONDS)
    os.chdir(folder)
    change(case)


def start(
    arguments: tuple[str, ...],
    folder: Path,
    *,
    before: Callable[[], object] | None = None,
    typed: str = "",
    seconds: int = SECONDS,
) -> tuple[int, io.BufferedRandom, io.BufferedRandom]:
    """Begin a command without waiting: its process and the files of its output."""
    out, err, given = (tempfile.TemporaryFile() for _ in range(3))  # noqa: SIM115
    given.write(typed.encode())
    given.seek(0)
    process = os.fork()
    if process == 0:
        code = 70
        try:
            for descriptor, file in enumerate((given, out, err)):
                os.dup2(file.fileno(), descriptor)
            code = _program(arguments, folder, before, seconds)
        finally:
            os._exit(code)
    given.close()
    return process, out, err


def finished(
    arguments: tuple[str, ...], process: int, out: io.BufferedRandom, err: io.BufferedRandom
) -> Outcome:
    """Wait for a command that was begun."""
    _, status, used = os.wait4(process, 0)
    texts = []
    for file in (out, err):
        file.seek(0)
        texts.append(file.read().decode("utf-8", "replace"))
        file.close()
    code = os.waitstatus_to_exitcode(status)
    return Outcome(arguments, code, texts[0], texts[1], used.ru_maxrss)


def _program(
    arguments: tuple[str, ...],
    folder: Path,
    before: Callable[[], object] | None,
    seconds: int,
) -> int:
    """What happens in the new process: the program, and its exit code."""
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(seconds)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESSES, MOST_ADDRESSES))
    os.chdir(folder)
    sys.stdin, sys.stdout, sys.stderr = (
        open(number, mode, encoding="utf-8", closefd=False)  # noqa: SIM115
        for number, mode in ((0, "r"), (1, "w"), (2, "w"))
    )
    sys.argv = ["setupsheets", *arguments]
    code: object = 0
    try:
        if before is not None:
            before()
        program()
    except SystemExit as stop:
        code = stop.code
    except BaseException:
        traceback.print_exc()
        code = 1
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    return code if isinstance(code, int) else int(code is not None)


def same_names_each_time() -> None:
    """The random letters of file names, counted: two runs of one act come to the same files."""
    count = iter(range(1_000_000))
    secrets.token_hex = lambda nbytes=None: f"{next(count):0{2 * (nbytes or 3)}x}"
