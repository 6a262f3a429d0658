"""Lengths, formulas and command lines at random: refused in words, or read; never anything else."""

from __future__ import annotations

import os
import signal
import tempfile
import traceback
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from random import Random

from setupsheets.formulas import Formula, FormulaError, Value
from setupsheets.lengths import Length, LengthError, Notation, Unit, read_length
from tests.faults import forked
from tests.faults.acts import LOG, new_shop
from tests.faults.tally import Tally

SHOPS = (Notation(Unit.IN, Fraction(1, 64)), Notation(Unit.IN, Fraction(1, 1000)))
METRIC = Notation(Unit.MM, Fraction(1, 10))

LENGTHS = ("18 3/4", "14 11/16 in", "1' 6 3/4\"", "3/8 in + .0031 in", "37.3 mm", "-1/32", "12 ft")
PIECES = (
    *(
        " ",
        "/",
        ".",
        "-",
        "+",
        "'",
        '"',
        "in",
        "mm",
        "ft",
        "cm",
        "1",
        "7",
        "0",
        "64",
        "1e9",
        "E",
        ",",
    ),
    *(
        "½",
        "⅜",
        "¾",
        "″",
        "′",
        "−",
        "‐",
        "⁄",
        "\u00a0",
        "\u2009",
        "٣",
        "Ⅷ",
        "full",
        "(",
        ")",
        "*",
        "x",
    ),
)
FORMULAS = (
    "part.length - 2 * cutter.kerf + 1/16 in",
    "section.rebate.width - cutter.kerf / 2",
    "min(a, b) + max(1 in, part.length)",
    "part.kind = 'rail' and not (bars > 3)",
    "1/3",
)
WORDS = (
    *("part.length", "cutter.kerf", "a", "min", "max", "round", "and", "or", "not", "if", "else"),
    *(
        "(",
        ")",
        "((",
        "))",
        "*",
        "**",
        "/",
        "//",
        "+",
        "-",
        "<",
        "<=",
        "=",
        "==",
        "!=",
        "'",
        ",",
        "1",
    ),
    *(
        "9999999999",
        "1/3",
        "1 in",
        "3 mm",
        "0",
        "__import__",
        "lambda",
        ".",
        "..",
        "[",
        "]",
        "{",
        "\\",
    ),
)
SCOPE: Mapping[str, Value] = {
    "part.length": Length("18 in"),
    "cutter.kerf": Length("1/8 in"),
    "a": Length("1 in"),
    "b": Length("2 in"),
    "bars": 3,
    "part.kind": "rail",
}


def mixed(seeds: tuple[str, ...], pieces: tuple[str, ...], random: Random) -> str:
    """A seed with pieces put in and taken out, or pieces alone."""
    text = random.choice(seeds) if random.random() < 0.8 else ""
    for _ in range(random.randint(1, 6)):
        place = random.randint(0, len(text))
        text = text[:place] + random.choice(pieces) + text[place + random.choice((0, 0, 1, 3)) :]
    return text * (random.choice((50, 400)) if random.random() < 0.01 else 1)


def a_length(random: Random) -> str:
    """Read one text as a length, and write it in every shop's way: what is written reads back."""
    text = mixed(LENGTHS, PIECES, random)
    for notation in (*SHOPS, METRIC):
        try:
            length = read_length(text, notation.unit)
            written = notation.write(length)
        except LengthError as error:
            assert str(error).strip(), text
            continue
        assert read_length(written, notation.unit) == length, (text, written)
        for show in (notation.show, notation.mark, notation.small):
            assert show(length), text
    return text


def a_formula(random: Random) -> str:
    """Read one text as a formula and work it out."""
    text = mixed(FORMULAS, WORDS, random)
    for worked_out in (Formula.affine, Formula.truth, Formula.length):
        try:
            worked_out(Formula.parse(text), SCOPE)
        except FormulaError as error:
            assert str(error).strip(), text
    return text


def many(what: str, one: Callable[[Random], str], seed: int, count: int) -> Tally:
    """``count`` random texts, tried in a process of its own; each has five seconds at most."""
    tally = Tally(what)
    with tempfile.TemporaryDirectory() as room:
        report = Path(room) / "report"
        process = os.fork()
        if process == 0:
            report.write_text("\n".join(_tried(one, Random(seed), count)), "utf-8")
            os._exit(0)
        os.waitpid(process, 0)
        tally.tried += count
        for line in report.read_text("utf-8").splitlines() if report.exists() else ["no end"]:
            tally.wrong("hangs" if "TimeoutError" in line else "tracebacks", line[:300])
    return tally


def _tried(one: Callable[[Random], str], random: Random, count: int) -> list[str]:
    def late(*_: object) -> None:
        raise TimeoutError

    signal.signal(signal.SIGALRM, late)
    wrong = []
    for _ in range(count):
        signal.setitimer(signal.ITIMER_REAL, 5)
        state = random.getstate()
        try:
            one(random)
        except Exception:
            again = Random()
            again.setstate(state)
            words = traceback.format_exc().strip().splitlines()[-1]
            wrong.append(f"{mixed(LENGTHS, PIECES, again)!r}: {words}".replace("\n", " "))
    signal.setitimer(signal.ITIMER_REAL, 0)
    return wrong


ARGUMENTS = (
    *("begin", "list", "check", "parts", "sheet", "correct", "log", "recall", "blocks", "order"),
    *(
        "larder",
        "lader",
        "jobs/larder.yaml",
        "jobs",
        ".",
        "/",
        "",
        "-",
        "--",
        "x" * 300,
        "a/b",
        "\udce9",
    ),
    *(
        "cope-crosscut-saw/cross-bar",
        "cope",
        "bar-grooved",
        "blanks",
        "dry-fit",
        "--help",
        "--json",
    ),
    *(
        "--found",
        "overall=15 1/8",
        "overall=",
        "=",
        "overall=1E+99",
        "overall=-3",
        "nothing=1",
        "fits",
    ),
    *("--did", "advised", "nothing", "cope.fence=1/64", "blank.length=1E+30", "--same", "--pair"),
    *("--verdict", "proved", "given up", "--kept", "--afresh", "--dialled", "cope.fence=1000000"),
    *(
        "--date",
        "2026-03-15",
        "0001-01-01",
        "9999-12-31",
        "2026-02-30",
        "--length",
        "1/4",
        "--by",
        "rule",
    ),
    *(
        "--shop",
        "records",
        "--to",
        "out",
        "shop.yaml",
        "--format",
        "html",
        "csv,md",
        "md",
        "--machine",
    ),
    *(
        "crosscut-saw",
        "--number",
        "0",
        "1",
        "99999999999999999999",
        "--chart",
        "chart.svg",
        "--draw",
    ),
    *(
        "--upgrade",
        "--write",
        "--section",
        "ovolo-bar-inch",
        "--within",
        "0",
        "17/32",
        "1E+99",
        "--blank",
    ),
    *(
        "--unit",
        "mm",
        "new",
        "machines",
        "recipes",
        "rabbet",
        "--version",
        "*",
        "\n",
        "𝔘",
        "%s{}$(x)",
    ),
)
STARTS = (
    LOG,
    ("correct", *LOG[1:]),
    ("recall",),
    ("blocks",),
    ("check",),
    ("parts",),
    ("order",),
    (),
)


def command_line(random: Random, room: Path, tally: Tally) -> None:
    """One command line at random, in a shop of its own."""
    with tempfile.TemporaryDirectory(dir=room) as place:
        shop = new_shop(Path(place) / "shop", records=random.random() < 0.3)
        rest = random.choices(ARGUMENTS, k=random.randint(0, 6))
        said = [*random.choice(STARTS), *rest]
        outcome = forked.run(said, shop, typed=random.choice(("", "15\n\n\n\n\n\n", "x\n" * 9)))
        tally.ended(" ".join(map(repr, said))[:300], outcome)
        if outcome.code == 1 and not outcome.err.strip() and not outcome.out.strip():
            tally.wrong("untrue", f"{said}: exit 1 without a word")
