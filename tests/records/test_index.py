"""The index of the records says nothing that the records do not say: thrown away, damaged, foreign,
out of date or of another version, every command answers as it does without one."""

from __future__ import annotations

import datetime
import os
import random
import shutil
import sqlite3
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from subprocess import PIPE, Popen
from subprocess import run as spawn

import pytest

from setupsheets.files import documents
from setupsheets.lengths import Notation, Unit
from setupsheets.records import folder, index
from setupsheets.records.entry import Entry, entry_name
from setupsheets.records.folder import write_entry
from setupsheets.records.index import Facts
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.told import Told
from setupsheets.shop.finding import Shop
from tests.running import run

EXAMPLES = Path(__file__).parents[2] / "examples"
COPE = "cope-crosscut-saw/cross-bar"
NOTATION = Notation(Unit.IN, Fraction(1, 64))
Answer = list[tuple[str, Facts, Told | None]]


@pytest.fixture
def larder(tmp_path: Path) -> Path:
    """The records of the larder, one with two acts beside it, in a shop with its shop.yaml alone:
    what is looked up is not what is worked out from it."""
    shop = tmp_path / "larder"
    (shop / "records").mkdir(parents=True)
    shutil.copy(EXAMPLES / "larder" / "shop.yaml", shop)
    for record in (EXAMPLES / "larder" / "records").glob("*.yaml"):
        shutil.copy(record, shop / "records")
    head = next((shop / "records").glob("2022*.yaml"))
    for day in (3, 4):
        date = datetime.date(2022, 10, day)
        moment = datetime.datetime(2022, 10, day, tzinfo=datetime.UTC)
        entry = Entry(entry_name(moment), date, notes="black-cherry", kept=f"nail {day}")
        write_entry(head, entry, NOTATION)
    return shop


@pytest.fixture
def settled(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if every file had lain for a while, so that its stamp is relied on."""
    monkeypatch.setattr(index, "SETTLED_SECONDS", -60.0)


def store(shop: Path) -> Path:
    return shop / "records" / index.FOLDER / "kept.sqlite"


def answers(shop: Path) -> Answer:
    """Everything that the records of a shop say, by way of every look-up."""
    records = ShopRecords(Shop.open(shop))
    every = list(records.asked_for(""))
    for _, facts in every:
        looked_up = records.having(recipe=facts.recipe, section=facts.section)
        assert facts in [found.facts for found in looked_up]
        assert records.of(facts.job, facts.set_up)
        for machine in facts.taught:
            assert list(records.teaching(machine, at_most=6, until=datetime.date(2030, 1, 1)))
    return [(path.name, facts, records.told(path)) for path, facts in every]


def without_one(shop: Path) -> Answer:
    """The answers of a shop that has no index and can make none."""
    shutil.rmtree(store(shop).parent, ignore_errors=True)
    store(shop).parent.write_text("in its place", "utf-8")
    found = answers(shop)
    store(shop).parent.unlink()
    return found


def test_what_is_not_changed_is_not_read_again(
    larder: Path, settled: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = without_one(larder)
    assert answers(larder) == expected
    read: list[Path] = []
    real = documents.read_bytes

    def counted(path: Path) -> bytes:
        read.append(path)
        return real(path)

    monkeypatch.setattr(folder, "read_bytes", counted)
    assert answers(larder) == expected and not read
    changed = next((larder / "records").glob("2019*cope*.yaml"))
    changed.write_text(changed.read_text("utf-8").replace("job: dresser", "job: pantry"), "utf-8")
    assert any(facts.job == "pantry" for _, facts, _ in answers(larder)) and read == [changed]


def test_git_leaves_it_alone(larder: Path) -> None:
    if shutil.which("git") is None:
        pytest.skip("no git here")
    answers(larder)
    spawn(["git", "init", "-q", larder], check=True)
    assert store(larder).is_file()
    told = spawn(
        ["git", "-C", larder, "status", "--porcelain", "-uall"],
        check=True,
        capture_output=True,
        text=True,
    )
    assert "records/2" in told.stdout and index.FOLDER not in told.stdout


def _another_size(path: Path, then: os.stat_result) -> None:
    text = path.read_text("utf-8")
    path.write_text(text.replace("black-cherry", "cherry"), "utf-8")
    os.utime(path, ns=(then.st_atime_ns, then.st_mtime_ns))


def _same_size_and_time(path: Path, then: os.stat_result) -> None:
    text = path.read_text("utf-8")
    path.write_text(text.replace("black-cherry", "white-cherry"), "utf-8")
    os.utime(path, ns=(then.st_atime_ns, then.st_mtime_ns))


def _put_in_its_place(path: Path, then: os.stat_result) -> None:
    new = path.with_name(".new")
    new.write_text(path.read_text("utf-8").replace("black-cherry", "white-cherry"), "utf-8")
    os.utime(new, ns=(then.st_atime_ns, then.st_mtime_ns))
    new.replace(path)


def _clock_set_back(path: Path, then: os.stat_result) -> None:
    text = path.read_text("utf-8")
    path.write_text(text.replace("black-cherry", "white-cherry"), "utf-8")
    os.utime(path, ns=(0, then.st_mtime_ns - 10**15))


@pytest.mark.parametrize(
    "change", [_another_size, _same_size_and_time, _put_in_its_place, _clock_set_back]
)
@pytest.mark.parametrize("place", ["head", "entry"])
def test_a_change_is_seen_whatever_the_clock_says(larder: Path, place: str, change: object) -> None:
    assert callable(change)
    before = answers(larder)
    if place == "head":
        path = next((larder / "records").glob("2022*.yaml"))
    else:
        path = sorted((larder / "records").glob("2022*/*.yaml"))[-1]
    change(path, path.stat())
    found = answers(larder)
    assert found == without_one(larder) and found != before


def test_a_second_change_within_one_tick_is_seen(larder: Path) -> None:
    """A disk may note the time in steps of two seconds: what has just changed is read again."""
    path = next((larder / "records").glob("2022*.yaml"))
    text = path.read_text("utf-8")
    seen = index.seen_in(larder / "records").stamps
    assert seen[path.name] == "", "too young to be relied on"
    for timber in ("white-cherry", "green-cherry"):
        path.write_text(text.replace("black-cherry", timber), "utf-8")
        assert any(facts.timber == timber for _, facts, _ in answers(larder))


def test_what_a_checkout_writes_anew_is_not_taken_apart_again(
    larder: Path, settled: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = answers(larder)
    for path in (larder / "records").rglob("*.yaml"):
        content = path.read_bytes()
        path.unlink()
        path.write_bytes(content)

    def never(*_: object) -> None:
        raise AssertionError("taken apart")

    monkeypatch.setattr(folder, "read_text", never)
    assert answers(larder) == expected


def test_what_is_gone_is_gone(larder: Path) -> None:
    answers(larder)
    gone = next((larder / "records").glob("2022*.yaml"))
    gone.unlink()
    found = answers(larder)
    assert gone.name not in [name for name, *_ in found] and found == without_one(larder)


@pytest.mark.parametrize("seed", range(12))
def test_damage_is_as_if_there_were_none(larder: Path, settled: None, seed: int) -> None:
    chance = random.Random(seed)
    expected = without_one(larder)
    assert answers(larder) == expected
    content = bytearray(store(larder).read_bytes())
    if seed % 4 == 0:
        del content[chance.randrange(len(content)) :]
    else:
        start = chance.randrange(len(content))
        length = chance.choice((1, 1, 8, 600))
        content[start : start + length] = chance.randbytes(len(content[start : start + length]))
    store(larder).write_bytes(content)
    assert answers(larder) == expected
    assert answers(larder) == expected


def test_no_changed_letter_of_it_is_believed(larder: Path, settled: None) -> None:
    """A figure that reads as well and is another: the seal of its value is broken."""
    expected = answers(larder)
    with sqlite3.connect(store(larder)) as opened:
        opened.execute("update kept set value = replace(value, 'cherry', 'walnut')")
        opened.execute("update kept set value = replace(value, '3/8', '5/8')")
    opened.close()
    assert answers(larder) == expected


def test_one_of_another_version_or_shop_is_begun_anew(larder: Path, settled: None) -> None:
    expected = answers(larder)
    with sqlite3.connect(store(larder)) as opened:
        opened.execute("pragma user_version = 7")
        opened.execute("delete from kept")
    opened.close()
    assert answers(larder) == expected
    other = shutil.copytree(EXAMPLES / "vestibule", larder.parent / "vestibule")
    answers(Path(other))
    assert store(Path(other)).is_file()
    shutil.copy(store(Path(other)), store(larder))
    assert answers(larder) == expected


@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of POSIX")
@pytest.mark.parametrize("odd", ["text", "nothing", "a folder", "a pipe", "a link", "zeroes"])
def test_what_stands_in_its_place_harms_nothing(larder: Path, odd: str) -> None:
    expected = without_one(larder)
    place = store(larder)
    place.parent.mkdir()
    outside = larder.parent / "outside.sqlite"
    outside.write_text("mine", "utf-8")
    made: dict[str, Callable[[], object]] = {
        "text": lambda: place.write_text("no store", "utf-8"),
        "nothing": lambda: place.write_bytes(b""),
        "a folder": place.mkdir,
        "a pipe": lambda: os.mkfifo(place),
        "a link": lambda: place.symlink_to(outside),
        "zeroes": lambda: place.write_bytes(b"\0" * 8192),
    }
    made[odd]()
    assert answers(larder) == expected
    assert outside.read_text("utf-8") == "mine"


def test_a_store_that_another_program_holds_is_done_without(larder: Path) -> None:
    expected = answers(larder)
    with sqlite3.connect(store(larder)) as opened:
        opened.execute("begin exclusive")
        assert answers(larder) == expected
    opened.close()


def test_many_at_once_harm_nothing(larder: Path) -> None:
    expected = answers(larder)
    store(larder).unlink()
    script = (
        "import sys; from pathlib import Path; from setupsheets.shop.finding import Shop\n"
        "from setupsheets.records.shop_records import ShopRecords\n"
        "shop = Path(sys.argv[1])\n"
        "for _ in range(20): print(len(list(ShopRecords(Shop.open(shop)).asked_for(''))))"
    )
    line = [sys.executable, "-c", script, str(larder)]
    at_once = [Popen(line, stdout=PIPE, text=True) for _ in range(4)]
    assert [each.communicate()[0].split() for each in at_once] == [["3"] * 20] * 4
    assert answers(larder) == expected


def test_a_fault_of_a_record_from_the_index_has_its_place(larder: Path, settled: None) -> None:
    """Its file is not read for what it says, and is for the line of a fault."""
    answers(larder)
    records = ShopRecords(Shop.open(larder))
    path = next(found.path for found in records.asked_for("") if "2022" in found.path.name)
    told = records.told(path)
    assert told is not None
    line = path.read_text("utf-8").splitlines().index("measures:") + 1
    assert str(told.head.marks.mark("measures")) == f"{path}:{line + 1}:3"
    assert str(told.head.marks.key("measures")) == f"{path}:{line}:1"


def test_every_command_gives_the_same_with_one(
    tmp_path: Path, settled: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = Path(shutil.copytree(EXAMPLES / "larder", tmp_path / "larder"))
    monkeypatch.chdir(shop)
    day = ("--date", "2026-03-15")
    commands = (
        ("recall", "cope", *day),
        ("list", "cope"),
        ("correct", "larder", COPE, "--found", "face_length=14 1/4", *day),
        ("sheet", "larder", "--format", "md", "--to", "out"),
    )
    shutil.rmtree(store(shop).parent, ignore_errors=True)
    for command in commands:
        first = run(*command)
        pages = {path: path.read_bytes() for path in sorted(shop.glob("out/*.md"))}
        assert first.code == 0 and store(shop).is_file()
        assert run(*command) == first
        assert pages == {path: path.read_bytes() for path in sorted(shop.glob("out/*.md"))}
