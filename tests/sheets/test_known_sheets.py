"""Sheets that are taken from an earlier run are the very ones that would be made now, or they are
made. What they are made from is found out from outside: by the files that Python says it opens."""

from __future__ import annotations

import datetime
import os
import re
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from setupsheets.commands import sheet as sheet_command
from setupsheets.files import known_results, throwaway
from setupsheets.files.places import data_folder
from setupsheets.records.shop_records import ShopRecords
from setupsheets.sheets import known_sheets
from setupsheets.sheets.known_sheets import KnownSheets, Sheets
from setupsheets.shop.finding import Shop
from tests.running import Ran, run

ROOT = Path(__file__).parents[2]
DAY = datetime.date(2030, 1, 1)
COPE = "cope-crosscut-saw/cross-bar"
READ = ("--found", "overall=13 1/8", "--found", "face_length=12 7/16", "--sure")
MADE = Sheets({"a.html": "made"}, ["a.html"], ["said"])


@pytest.fixture
def base(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folder for caches, empty."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "caches"))
    for module in (known_sheets, known_results):
        monkeypatch.setattr(module, "users_store", throwaway.users_store)
    monkeypatch.setattr(throwaway, "made_by", throwaway.made_by.__wrapped__)  # each is a new run
    return tmp_path / "caches"


@pytest.fixture(scope="module")
def as_begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with something of every kind that a shop may have of its own."""
    place = tmp_path_factory.mktemp("shop") / "larder"
    folder = Path(shutil.copytree(ROOT / "examples" / "larder", place))
    for kind in ("cutters", "sections", "recipes", "timbers", "cautions"):
        built_in = sorted((data_folder("profiles") / kind).glob("*.yaml"))[0]
        (folder / kind).mkdir()
        shutil.copy(built_in, folder / kind)
    (folder / "sections" / "moulding.svg").write_text("<svg/>", "utf-8")
    assert run("log", "larder", COPE, *READ, "--shop", folder).code == 0
    return folder


@pytest.fixture
def shop(as_begun: Path, tmp_path: Path, base: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(as_begun, tmp_path / "larder"))


def known(shop: Path, day: datetime.date = DAY, *asked: str, job: str = "larder") -> KnownSheets:
    return KnownSheets(ShopRecords(Shop.open(shop)), job, day, asked)


def found(shop: Path, *asked: str) -> bool:
    return known(shop, DAY, *asked).find() is not None


def printed(shop: Path, *arguments: str) -> tuple[Ran, dict[str, bytes]]:
    """What `sheet` says and what is in the files that it writes."""
    folder = shop.parent / "written"
    shutil.rmtree(folder, ignore_errors=True)
    ran = run("sheet", "larder", "--shop", shop, "--to", folder, "--date", str(DAY), *arguments)
    there = sorted(path for path in folder.rglob("*") if path.is_file())
    return ran, {path.relative_to(folder).as_posix(): path.read_bytes() for path in there}


def none_made(patch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError("made again")

    patch.setattr(sheet_command, "_made", never)


@pytest.mark.parametrize("asked", [(), ("--machine", "table-saw", "--format", "json,md")])
def test_the_second_run_writes_and_says_what_the_first_did(
    shop: Path, monkeypatch: pytest.MonkeyPatch, asked: tuple[str, ...]
) -> None:
    first = printed(shop, *asked)
    assert first[0].code == 0 and first[1]
    none_made(monkeypatch)
    assert printed(shop, *asked) == first
    with pytest.raises(AssertionError, match="made again"):
        printed(shop, *asked, "--with", "all")


def test_what_is_not_ready_is_said_each_time(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    edited("machines/table-saw.yaml", "greatest: 3\n", "greatest: 1/8\n")(shop)
    first = printed(shop)
    assert "Not ready: 3" in first[0].err
    none_made(monkeypatch)
    assert printed(shop) == first


LISTENING = """
import sys
opened = []
def note(event, told):
    if event == "open" and isinstance(told[0], str) and "w" not in (told[1] or ""):
        opened.append(told[0])
sys.addaudithook(note)
import atexit
atexit.register(lambda: print("OPENED", *opened, sep="\\n", file=sys.stderr))
from setupsheets.__main__ import program
program()
"""


@pytest.fixture
def program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the program whose files may be touched."""
    copy = tmp_path / "program"
    for name in ("setupsheets", "profiles", "schemas"):
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(throwaway, "PACKAGE", copy / "setupsheets")
    monkeypatch.setattr(throwaway, "data_folder", copy.joinpath)
    return copy


def opened(shop: Path, program: Path) -> list[Path]:
    """Every file that Python opens while the sheets of a job are made."""
    ran = subprocess.run(
        [sys.executable, "-B", "-c", LISTENING, "sheet", "larder", "--date", str(DAY)],
        cwd=shop,
        env={**os.environ, "PYTHONPATH": str(program), "PYTHONPYCACHEPREFIX": str(shop / "none")},
        capture_output=True,
        text=True,
        check=True,
    )
    lines = ran.stderr.rpartition("OPENED\n")[2].splitlines()
    return sorted({shop / line for line in lines if (shop / line).is_file()})


def test_every_file_that_is_opened_counts(shop: Path, program: Path) -> None:
    """A shop's own by its content, the program's by how they look."""
    every = opened(shop, program)
    own = [path for path in every if shop in path.parents and shop / "sheets" not in path.parents]
    assert {"shop.yaml", "larder.yaml", "table-saw.yaml"} <= {path.name for path in own}
    known(shop).keep(MADE)
    for path in own:
        content = path.read_bytes()
        path.write_bytes(content + b"\n# and a remark\n")
        assert not found(shop), path
        path.write_bytes(content)
        assert found(shop), path
    of_program = {(p.parent, p.suffix): p for p in every if program in p.parents}
    assert {".py", ".yaml", ".json", ".css", ".woff2", ".html", ".md"} == {
        suffix for _, suffix in of_program
    }
    none_of_it = program / "setupsheets" / "notes.txt"
    before = throwaway.made_by()
    none_of_it.touch()
    assert throwaway.made_by() == before
    for path in of_program.values():
        before, then = throwaway.made_by(), path.stat()
        os.utime(path, ns=(then.st_atime_ns, then.st_mtime_ns + 1))
        assert throwaway.made_by() != before, path


def added(name: str) -> Callable[[Path], None]:
    """A built-in file taken into the shop, where it hides the one of its name."""

    def change(shop: Path) -> None:
        (shop / name).parent.mkdir(exist_ok=True)
        shutil.copy(data_folder("profiles") / name, shop / name)

    return change


def edited(name: str, before: str, after: str) -> Callable[[Path], None]:
    def change(shop: Path) -> None:
        text = (shop / name).read_text("utf-8")
        assert text.count(before) == 1
        (shop / name).write_text(text.replace(before, after), "utf-8")

    return change


def read_again(shop: Path) -> None:
    again = ("--next", "--did", "nothing", "--found", "overall=12 7/8", "--sure")
    assert run("log", "larder", COPE, *again, "--shop", shop).code == 0


def acts(shop: Path) -> Path:
    """The folder of what was done in the record that this shop began."""
    (folder,) = (each for each in (shop / "records").glob("[!.]*") if each.is_dir())
    return folder


def record_gone(shop: Path) -> None:
    folder = acts(shop)
    shutil.rmtree(folder)
    folder.with_suffix(".yaml").unlink()


def re_aligned(shop: Path) -> None:
    with (shop / "machines" / "crosscut-saw.yaml").open("a", encoding="utf-8") as machine:
        machine.write(EVENT)


EVENT = "\nevents:\n  - {date: 2029-12-31, what: Head re-aligned}\n"
CHANGES: dict[str, Callable[[Path], None]] = {
    "a size": edited("jobs/larder.yaml", "width: 2 7/8", "width: 2 3/4"),
    "an event": re_aligned,
    "a further piece": read_again,
    "an own recipe": added("recipes/cope-crosscut-saw.yaml"),
    "a record that is gone": record_gone,
    "a drawing": lambda shop: (shop / "sections" / "moulding.svg").unlink(),
    "another job": lambda shop: (shop / "jobs" / "other.yaml").touch(),
}


@pytest.mark.parametrize("what", CHANGES)
def test_what_is_changed_added_or_gone_counts(shop: Path, what: str) -> None:
    known(shop).keep(MADE)
    assert known(shop).find() == MADE
    CHANGES[what](shop)
    assert not found(shop)


def test_the_day_the_job_and_what_is_asked_for_count(shop: Path) -> None:
    known(shop, DAY, "html").keep(MADE)
    assert found(shop, "html")
    assert not found(shop) and not found(shop, "md")
    assert known(shop, DAY + datetime.timedelta(days=1), "html").find() is None
    assert known(shop, DAY, "html", job=str(shop / "jobs" / "larder.yaml")).find() is None


def test_a_job_from_elsewhere_counts_by_its_content(shop: Path, tmp_path: Path) -> None:
    job = tmp_path / "door.yaml"
    shutil.copy(shop / "jobs" / "larder.yaml", job)
    known(shop, job=str(job)).keep(MADE)
    assert known(shop, job=str(job)).find() == MADE
    edited("door.yaml", "width: 2 7/8", "width: 2 3/4")(tmp_path)
    assert known(shop, job=str(job)).find() is None


def test_the_token_of_the_phone_counts(shop: Path) -> None:
    with (shop / "shop.yaml").open("a", encoding="utf-8") as settings:
        settings.write("\naddress: 192.168.1.20\n")
    known(shop).keep(MADE)
    assert not found(shop), "there is no token yet: the codes would not be the same the next time"
    assert run("sheet", "larder", "--shop", shop, "--machine", "planer").code == 0
    known(shop).keep(MADE)
    assert found(shop)
    (shop / ".phone" / "token").write_text("x" * 43, "ascii")
    assert not found(shop)


def test_another_version_of_a_library_counts(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "libraries"
    (place / "shapely-2.0.0.dist-info").mkdir(parents=True)
    monkeypatch.setattr(sys, "path", [*sys.path, str(place)])
    known(shop).keep(MADE)
    (place / "whatever else is laid there").mkdir()
    assert found(shop), "that is no library"
    (place / "shapely-2.0.0.dist-info").rename(place / "shapely-2.0.1.dist-info")
    assert not found(shop)


@pytest.mark.parametrize("what", ["a size", "a further piece"])
def test_after_a_change_the_sheets_are_those_of_a_first_run(
    shop: Path, what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = printed(shop, "--format", "md,json")
    CHANGES[what](shop)
    after = printed(shop, "--format", "md,json")
    assert after[1]["larder.md"] != before[1]["larder.md"]
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "empty"))
    assert printed(shop, "--format", "md,json") == after


def test_what_changes_while_they_are_made_is_not_taken_for_known(shop: Path) -> None:
    sheets = known(shop)
    edited("jobs/larder.yaml", "width: 2 7/8", "width: 2 3/4")(shop)
    sheets.keep(MADE)
    assert not found(shop)
    edited("jobs/larder.yaml", "width: 2 3/4", "width: 2 7/8")(shop)
    assert not found(shop)


def test_what_is_to_be_told_is_told_each_time(shop: Path) -> None:
    (acts(shop) / "20300101-080000-000000-odd.yaml").write_text("kind: [entry", "utf-8")
    first = printed(shop, "--format", "md")
    assert "000000-odd.yaml" in first[0].err
    assert printed(shop, "--format", "md") == first


def stores(base: Path) -> Iterator[Path]:
    yield from base.glob("setupsheets/*/kept.sqlite")


@pytest.mark.parametrize(
    "harm", ["value = replace(value, 'made', 'maid')", "seal = 'x'", "key = 'x'"]
)
def test_nothing_damaged_is_printed(shop: Path, base: Path, harm: str) -> None:
    known(shop).keep(MADE)
    assert found(shop)
    for place in stores(base):
        with sqlite3.connect(place) as store:
            store.execute(f"update kept set {harm} where kind = 'sheets'")
        store.close()
    assert not found(shop)


def test_where_nothing_can_be_kept_they_are_made(shop: Path, base: Path) -> None:
    shutil.rmtree(base, ignore_errors=True)
    base.touch()
    known(shop).keep(MADE)
    assert not found(shop)


@pytest.mark.parametrize("job", ["x" * 300, "lar\0der", "larder.yaml/x", "no-such-job"])
def test_a_job_that_is_nowhere_is_told_as_ever(shop: Path, job: str) -> None:
    ran = run("sheet", job, "--shop", shop)
    assert ran.code == 1 and ran.out == ""
    assert re.search(r"(jobs|yaml/x): .*\n1 fault; ", ran.err), ran.err
