"""At 60 and 120 columns, on a terminal and in a pipe: no figure, count or column is dropped or
broken, and no table is wider than the screen."""

from __future__ import annotations

import datetime
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from setupsheets.commands.terminal import print_table, table_lines, width, wrapped
from setupsheets.sheets.content.parts_sheet import parts_sheet
from setupsheets.sheets.making import make_parts
from setupsheets.shop.finding import Shop
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import run

WIDTHS = (60, 120)
FIGURE = r"\d+(?: \d+/\d+)?(?:/\d+)?(?: ×)?(?: in| mm| %| lb)?(?: full| scant)?"
DAY = ("--date", "2026-03-14")


def in_a_pipe(shop: Path, columns: int, *command: str) -> str:
    """No process of its own: `test_streams` has those, with pipes and without."""
    ran = run(*command, columns=columns)
    assert ran.code == 0, ran.err
    return ran.out


def on_a_terminal(shop: Path, columns: int, *command: str) -> str:
    """What a terminal of so many columns is sent, its line ends plain."""
    fcntl, pty, termios = (pytest.importorskip(name) for name in ("fcntl", "pty", "termios"))
    ours, theirs = pty.openpty()
    size = (50).to_bytes(2, sys.byteorder) + columns.to_bytes(2, sys.byteorder) + bytes(4)
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, size)
    env = {key: value for key, value in os.environ.items() if key != "COLUMNS"}
    line = [sys.executable, "-m", "setupsheets", *command]
    ran = subprocess.Popen(
        line, cwd=shop, env={**env, "PYTHONIOENCODING": "utf-8"}, stdin=theirs, stdout=theirs
    )
    os.close(theirs)
    told = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:
            break
        if not part:
            break
        told += part
    os.close(ours)
    assert ran.wait() == 0
    return told.decode("utf-8").replace("\r\n", "\n")


@pytest.fixture
def logged(larder: Path) -> Path:
    right = found(**RIGHT)
    ran = run(
        "log", "larder", CROSS_BAR, *DAY, *right, "--verdict", "proved", "--although", "it fits"
    )
    assert ran.code == 0, ran.err
    return larder


@pytest.mark.parametrize("columns", WIDTHS)
@pytest.mark.parametrize("read", [in_a_pipe, on_a_terminal])
def test_recall_tells_every_setting_with_what_to_set(
    logged: Path, columns: int, read: Callable[..., str]
) -> None:
    told = read(logged, columns, "recall", CROSS_BAR, *DAY)
    settings = json.loads(run("recall", CROSS_BAR, *DAY, "--json").out)["recalled"]["settings"]
    longest = max(len(line) for line in told.splitlines())
    if read is on_a_terminal:
        assert longest <= columns, told
    elif columns == min(WIDTHS):
        assert longest > columns, "words stay in one line, to be searched"
    table = told[told.index("back cheek: stop") : told.index("back cheek: stop,")]
    assert all(len(line) <= columns for line in table.splitlines()[1:]), table
    for each in settings:
        row = re.sub(r"\s+", " ", table[table.index(each["title"]) :])
        assert re.search(rf"^{re.escape(each['title'])}.{{0,12}}{each['machine']}", row), row
        end = row.index(each["machine"]) + 200
        assert re.search(rf"\b{re.escape(each['set_to']['words'])}\b", row[:end]), (each, row[:end])


@pytest.mark.parametrize("columns", WIDTHS)
@pytest.mark.parametrize("read", [in_a_pipe, on_a_terminal])
def test_parts_loses_no_count_and_no_figure(
    larder: Path, columns: int, read: Callable[..., str]
) -> None:
    told = read(larder, columns, "parts", "larder")
    shop = Shop.open(larder)
    job = shop.job("larder")
    whole = make_parts(shop, job, datetime.date(2026, 3, 14))
    sheet = parts_sheet(job, whole, shop.settings.notation)
    lines = told.splitlines()
    if read is on_a_terminal:
        assert all(len(line) <= columns for line in lines), max(lines, key=len)
    words = re.sub(r"\s+", " ", told)
    tables = [block.table for page in sheet.pages for block in page.blocks if block.table]
    assert len(tables) > 5
    for table in tables:
        for row in table.rows:
            assert re.sub(r"\s+", " ", row[0]) in words
            for cell in row:
                figures = re.findall(FIGURE, cell)
                assert all(any(each in line for line in lines) for each in figures), (cell, row)


@pytest.mark.parametrize("columns", WIDTHS)
@pytest.mark.parametrize("command", [("list", "machines"), ("list", "ovolo"), ("blocks", "13/32")])
def test_lists_and_blocks(logged: Path, columns: int, command: tuple[str, ...]) -> None:
    wide = in_a_pipe(logged, 500, *command)
    narrow = in_a_pipe(logged, columns, *command)
    words = r"[\w./][\w./-]*"
    assert set(re.findall(words, wide)) <= set(re.findall(words, narrow))
    if command[0] == "list":
        long = [line.strip() for line in narrow.splitlines() if len(line) > columns]
        assert not any(" " in line for line in long), "a name that is longer by itself, and no more"


HEADINGS = ("Part", "How many", "Face", "Notes")
ROW = ("cross bar", "4", "14 1/4 in", "")


def test_a_table_that_fits_to_the_column_is_one_and_one_wider_is_told_by_rows() -> None:
    # By hand: 2 before, 9 + 8 + 9 + 5 wide, 3 gaps of 3.
    fits = 2 + 9 + 8 + 9 + 5 + 9
    table = table_lines(HEADINGS, [ROW], fits)
    assert table[1:4] == [
        "  Part        How many   Face        Notes",
        "  " + "─" * (fits - 2),
        "  cross bar   4          14 1/4 in",
    ]
    assert table_lines(HEADINGS, [ROW], fits - 1) == [
        "  Part cross bar; How many 4;",
        "      Face 14 1/4 in",
    ]
    assert table_lines(HEADINGS, [ROW], 28) == [
        "  Part cross bar;",
        "      How many 4;",
        "      Face 14 1/4 in",
    ]


@pytest.mark.parametrize(
    ("line", "within", "lines"),
    [
        ("  - a note of 14 3/8 in here", 18, ["  - a note of", "      14 3/8 in", "      here"]),
        ("set to 25/32 in full by .005 in", 22, ["set to 25/32 in full", "  by .005 in"]),
        ("panes 3 × 12 1/4 in each", 18, ["panes", "  3 × 12 1/4 in", "  each"]),
        ("short", 18, ["short"]),
    ],
)
def test_a_figure_is_never_in_two_pieces(line: str, within: int, lines: list[str]) -> None:
    assert wrapped(line, within) == lines


@pytest.mark.parametrize(("encoding", "rule"), [("utf-8", "─"), ("latin-1", "-"), ("ascii", "-")])
def test_a_table_is_ruled_with_what_its_terminal_can_show(
    encoding: str, rule: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """ISO/IEC 8859-1 and ASCII have no lines to draw with."""
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding))
    monkeypatch.setenv("COLUMNS", "80")
    print_table(("Part", "Face"), [("cross bar", "14 1/4 in")])
    sys.stdout.flush()
    assert raw.getvalue().decode(encoding).splitlines() == [
        "",
        "  Part        Face",
        f"  {rule * 21}",
        "  cross bar   14 1/4 in",
        "",
    ]


@pytest.mark.parametrize(
    ("said", "terminals", "columns"),
    [
        ("120", {}, 120),
        ("120", {1: 60}, 120),
        ("20", {}, 20),
        ("19", {}, 20),  # a figure with its unit has no room in less
        ("0", {}, 80),
        ("-1", {}, 80),
        ("wide", {}, 80),
        ("", {1: 100, 2: 90, 0: 70}, 100),
        ("", {2: 90, 0: 70}, 90),
        ("", {0: 70}, 70),
        ("0", {0: 20}, 20),
        ("", {0: 19}, 20),
    ],
)
def test_a_line_is_as_wide_as_is_said_or_as_the_terminal_that_it_goes_to(
    monkeypatch: pytest.MonkeyPatch, said: str, terminals: dict[int, int], columns: int
) -> None:
    """Outside source: POSIX.1-2017, 8.3, for COLUMNS, which counts where it is a number from 1."""

    def size_of(descriptor: int) -> os.terminal_size:
        if descriptor not in terminals:
            raise OSError("Inappropriate ioctl for device")
        return os.terminal_size((terminals[descriptor], 24))

    monkeypatch.setenv("COLUMNS", said)
    monkeypatch.setattr(os, "get_terminal_size", size_of)
    assert width() == columns
