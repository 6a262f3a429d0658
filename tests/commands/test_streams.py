"""Output that cannot be written and input that is not there: what was to be kept is kept, in one
line or in silence.

Most in processes of their own, as a shell starts them. Outside sources: the shell's own
redirections; POSIX.1-2017, 2.8.2, for the code of a command that a signal ended.
"""

from __future__ import annotations

import errno
import io
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from setupsheets.commands.streams import make_safe, output_lost

ROOT = Path(__file__).parents[2]
FOUND = ("--found", "overall=15 1/8", "--date", "2026-03-15")
LOG = ("log", "larder", "cope-crosscut-saw/cross-bar", *FOUND, "--verdict", "given up")
C_LOCALE = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a POSIX shell")


def shell(line: str, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """A command as `"$@"` in a line of a shell."""
    said = [sys.executable, "-P", "-m", "setupsheets", *arguments]
    return subprocess.run(
        ["bash", "-c", line, "bash", *said],
        env=os.environ | {"PYTHONPATH": str(ROOT)} | environment,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def verdicts(shop: Path) -> int:
    texts = [path.read_text("utf-8") for path in (shop / "records").rglob("*.yaml")]
    return sum("verdict: given up" in text for text in texts)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('"$@" > /dev/full', 1),
        ('"$@" >&-', 0),
        ('"$@" 2>&-', 0),
        ('"$@" | true; exit "${PIPESTATUS[0]}"', 0),
    ],
)
def test_a_verdict_is_kept_wherever_the_words_go(larder: Path, line: str, code: int) -> None:
    ran = shell(line, *LOG)
    assert ran.returncode == code
    assert "Traceback" not in ran.stderr
    assert verdicts(larder) == 1
    told = "The output could not be written: no space left on device." in ran.stderr
    assert told == ("full" in line)


@pytest.mark.parametrize("arguments", [("parts", "larder"), ("recall", "cope")])
def test_a_command_without_stdout_is_silent(larder: Path, arguments: tuple[str, ...]) -> None:
    ran = shell('"$@" >&-', *arguments)
    assert ran.stdout == "" and "Traceback" not in ran.stderr
    assert ran.returncode == int(arguments[0] == "recall"), "there is no record to be found"


def test_no_file_of_the_shop_is_opened_as_stdout(larder: Path) -> None:
    """Python and its libraries write to number 1 whatever file that is."""
    code = (
        "import os; from setupsheets.commands.streams import make_safe; make_safe();"
        "print(os.open('shop.yaml', os.O_RDONLY) > 2, file=open('told', 'w'))"
    )
    subprocess.run(
        ["bash", "-c", '"$0" -P -c "$1" <&- >&- 2>&-', sys.executable, code],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        check=True,
    )
    assert (larder / "told").read_text("utf-8") == "True\n"


def test_a_locale_that_knows_ascii_only_is_written_in_utf_8(larder: Path) -> None:
    """As Python's own C locale: PEP 540."""
    ran = shell('"$@"', "parts", "larder", **C_LOCALE)
    assert ran.returncode == 0, ran.stderr
    assert "×" in ran.stdout


def test_where_there_is_no_minus_a_hyphen_stands_for_it(larder: Path) -> None:
    """Latin-1 has a multiplication sign, but neither a minus nor lines: a stile's horn is 1 in."""
    ran = shell('"$@" | iconv -f latin1 -t utf-8', "parts", "larder", PYTHONIOENCODING="latin-1")
    assert "end of horn; At -1 in" in ran.stdout and "±" in ran.stdout
    assert "? in" not in ran.stdout and "?1 in" not in ran.stdout


ToldTo = Callable[[str | int, str], io.TextIOWrapper]


@pytest.fixture
def told_to() -> Iterator[ToldTo]:
    """Makes a standard stream in an encoding that goes to a file or a descriptor."""
    opened = []

    def made(place: str | int, encoding: str) -> io.TextIOWrapper:
        if isinstance(place, str):
            place = os.open(place, os.O_WRONLY | os.O_CREAT)
        opened.append(place)
        return io.TextIOWrapper(io.BufferedWriter(io.FileIO(place, "w", closefd=False)), encoding)

    yield made
    for each in opened:
        os.close(each)


@pytest.mark.parametrize("gone", [False, True])
def test_output_that_is_lost_is_told_in_one_line_unless_its_reader_left(
    gone: bool, told_to: ToldTo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In this process: a full disk (`/dev/full`), and a pipe that nobody reads any more."""
    ours, theirs = os.pipe()
    os.close(ours)
    monkeypatch.setattr(sys, "stdout", told_to(theirs if gone else "/dev/full", "utf-8"))
    monkeypatch.setattr(sys, "stderr", told_to(str(tmp_path / "err"), "utf-8"))
    outlet = make_safe()
    for _ in range(3):
        print("Set the dials to: stop 3/8 in", flush=True)
    assert output_lost(outlet) is not gone
    wanted = (
        "The output could not be written: no space left on device. What was to be kept is kept all"
        " the same.\n"
    )
    assert (tmp_path / "err").read_text("utf-8") == ("" if gone else wanted)
    if not gone:
        os.close(theirs)


@pytest.mark.parametrize(
    ("encoding", "written"),
    [
        ("ascii", "−1 in × ─".encode()),
        ("us-ascii", "−1 in × ─".encode()),
        ("ansi_x3.4-1968", "−1 in × ─".encode()),
        ("utf-8", "−1 in × ─".encode()),
        ("latin-1", b"-1 in \xd7 ?"),
    ],
)
def test_what_a_locale_cannot_write_has_its_sign(
    encoding: str,
    written: bytes,
    told_to: ToldTo,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Latin-1 (ISO/IEC 8859-1) has the sign of times at D7, and neither minus nor line."""
    stream = told_to(str(tmp_path / "out"), encoding)
    monkeypatch.setattr(sys, "stdout", stream)
    monkeypatch.setattr(sys, "stderr", told_to(str(tmp_path / "err"), "utf-8"))
    number = stream.fileno()
    outlet = make_safe()
    assert (outlet.fileno(), sys.stdout.fileno()) == (number, number)
    assert not outlet.isatty() and not sys.stdout.isatty() and outlet.lost is None
    print("−1 in × ─", end="")
    assert not output_lost(outlet)
    assert (tmp_path / "out").read_bytes() == written


def test_what_is_closed_is_opened_on_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that no file of the shop gets the number of a standard stream."""
    opened: list[tuple[str, int]] = []

    def is_closed(number: int) -> None:
        raise OSError(errno.EBADF, os.strerror(errno.EBADF))

    with monkeypatch.context() as patched:
        patched.setattr(os, "fstat", is_closed)
        patched.setattr(os, "open", lambda *said: opened.append(said))
        patched.setattr(sys, "stdin", None)
        patched.setattr(sys, "stdout", None)
        patched.setattr(sys, "stderr", None)
        outlet = make_safe()
        assert sys.stdin is not None and sys.stdin.fileno() == 0
        assert (outlet.fileno(), sys.stdout.fileno(), sys.stderr.fileno()) == (1, 1, 2)
        assert sys.stdout.encoding == "utf-8" and not sys.stdout.line_buffering
    assert opened == [(os.devnull, os.O_RDWR)] * 3


def test_with_nobody_to_answer_log_shows_what_to_set(larder: Path) -> None:
    ran = shell('"$@" <&-', "log", "larder", "cope-crosscut-saw/cross-bar")
    assert ran.returncode == 0
    assert "Set the dials to: back cheek: stop 3/8 in" in ran.stdout
    assert "Traceback" not in ran.stderr
    assert not [*(larder / "records").glob("*.yaml")]


def test_ctrl_c_ends_it_in_silence(larder: Path) -> None:
    """At a prompt, which is where a maker is: by the signal itself, so that a script stops too."""
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "setupsheets", "log", "larder", "cope-crosscut-saw/cross-bar"],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stderr is not None and process.stdout is not None
    assert "Set the dials to" in process.stdout.readline()
    assert "What did the test piece measure?" in process.stdout.readline()
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=30)
    assert process.returncode == -signal.SIGINT
    assert "Traceback" not in err and "Aborted" not in out + err
