"""What is known of files in the user's cache says nothing that the files do not say: without one,
with one that is damaged, foreign, of another version or not to be written, all is as with one."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import stat
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import PIPE, Popen
from typing import Any

import pytest

from setupsheets.files import places, throwaway
from setupsheets.files.documents import Document
from setupsheets.files.faults import DataFaults
from setupsheets.files.known_trees import KnownTrees, users_trees
from setupsheets.files.throwaway import Throwaway, digest_of
from setupsheets.lengths import Length, Unit
from setupsheets.shop import finding, loading
from setupsheets.shop.finding import Shop
from tests.files.helpers import document

EXAMPLES = Path(__file__).parents[2] / "examples"
ROOT = "root may write anywhere"


@pytest.fixture
def base(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folder for caches, empty."""
    folder = tmp_path / "caches"
    folder.mkdir()
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder))
    monkeypatch.setattr(finding, "load", loading.load)  # nothing remembered from other tests
    return folder


@pytest.fixture
def larder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLES / "larder", tmp_path / "larder"))


def store(base: Path) -> Path:
    (found,) = base.glob("setupsheets/*/kept.sqlite")
    return found


def everything(shop: Path) -> list[object]:
    """The things of a shop, its own and built in, of the kinds of which there are few."""
    opened = Shop.open(shop)
    things = [
        getattr(opened, kind)(each.name)
        for kind in ("machine", "section", "timber", "job")
        for each in opened.everything(kind)
    ]
    return [opened.settings, *things, *opened.cautions()]


def none_read(patch: pytest.MonkeyPatch) -> None:
    """No text is taken apart any more, and none held against a schema."""

    def never(*_: object) -> None:
        raise AssertionError("read again")

    patch.setattr(loading, "read_text", never)
    patch.setattr(loading, "check_against_schema", never)


def test_a_sound_file_is_taken_apart_once(
    base: Path, larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = everything(larder)
    assert len(expected) > 25
    none_read(monkeypatch)
    assert everything(larder) == expected


def test_an_edited_file_is_read_and_what_is_wrong_with_it_told(base: Path, larder: Path) -> None:
    everything(larder)
    path = larder / "jobs" / "larder.yaml"
    text = path.read_text("utf-8")
    then = path.stat()
    assert "gap: 1/16" in text and "unit:" not in text
    path.write_text(text.replace("gap: 1/16", "gap: 3/32"), "utf-8")
    os.utime(path, ns=(then.st_atime_ns, then.st_mtime_ns))
    assert Shop.open(larder).job("larder").joints.gap == Length("3/32 in")
    path.write_text(text.replace("gap: 1/16", "gap: high"), "utf-8")
    for _ in range(2):
        with pytest.raises(DataFaults, match=r"larder\.yaml:\d+:\d+: joints\.gap: .*'high'"):
            Shop.open(larder).job("larder")


def test_a_place_in_a_known_file_is_found(base: Path, larder: Path) -> None:
    fresh = Shop.open(larder).job("larder").marks
    known = Shop.open(larder).job("larder").marks
    assert known.mark("joints", "gap") == fresh.mark("joints", "gap")
    assert known.key("stiles") == fresh.key("stiles") != fresh.mark()


def test_one_of_another_kind_or_unit_is_not_taken_for_it(base: Path, larder: Path) -> None:
    shop = Shop.open(larder)
    shop.job("larder")
    shutil.copy(larder / "jobs" / "larder.yaml", larder / "machines" / "larder.yaml")
    with pytest.raises(DataFaults, match="expected a file of kind 'machine', found 'job'"):
        shop.machine("larder")
    path, trees = larder / "jobs" / "larder.yaml", users_trees()
    for unit in (Unit.IN, Unit.MM, Unit.IN):
        job = loading.load(path, "job", unit, trees)
        assert job.joints.gap == Length(f"1/16 {unit}")


def test_a_built_in_file_that_a_shop_takes_over_is_held_against_its_schema(
    base: Path, larder: Path
) -> None:
    """As it stands among the built-in ones it is believed; a shop's own file never is."""
    shop = Shop.open(larder)
    name = next(each.name for each in shop.everything("timber") if not each.own)
    shop.timber(name)
    with pytest.MonkeyPatch.context() as patch:
        none_read(patch)
        shutil.copy(shop.find("timber", name).path, larder)
        own = larder / "timbers"
        own.mkdir(exist_ok=True)
        (larder / f"{name}.yaml").rename(own / f"{name}.yaml")
        with pytest.raises(AssertionError, match="read again"):
            Shop.open(larder).timber(name)


@pytest.mark.parametrize("seed", range(8))
def test_damage_is_as_if_there_were_none(base: Path, larder: Path, seed: int) -> None:
    chance = random.Random(seed)
    expected = everything(larder)
    content = bytearray(store(base).read_bytes())
    if seed % 4 == 0:
        del content[chance.randrange(len(content)) :]
    else:
        start = chance.randrange(len(content))
        length = chance.choice((1, 8, 600, 20_000))
        content[start : start + length] = chance.randbytes(len(content[start : start + length]))
    store(base).write_bytes(content)
    assert everything(larder) == expected == everything(larder)


def test_no_changed_figure_in_it_is_believed(base: Path, larder: Path) -> None:
    expected = everything(larder)
    with sqlite3.connect(store(base)) as opened:
        opened.execute("update kept set value = replace(value, '3/8', '5/8')")
    opened.close()
    assert everything(larder) == expected


def _text(place: Path) -> None:
    place.write_text("no store", "utf-8")


@pytest.mark.parametrize("odd", [_text, Path.mkdir, Path.touch])
def test_what_stands_in_its_place_harms_nothing(
    base: Path, larder: Path, odd: Callable[[Path], Any]
) -> None:
    expected = everything(larder)
    place = store(base)
    place.unlink()
    odd(place)
    assert everything(larder) == expected


def _a_file(base: Path) -> None:
    base.rmdir()
    base.write_text("mine", "utf-8")


def _a_file_within(base: Path) -> None:
    (base / "setupsheets").write_text("mine", "utf-8")


def _a_link_to_nowhere(base: Path) -> None:
    (base / "setupsheets").symlink_to(base / "nowhere")


def _open_to_all(base: Path) -> None:
    (base / "setupsheets").mkdir()
    (base / "setupsheets").chmod(0o777)


def _of_another(base: Path) -> None:
    (base / "setupsheets").mkdir()
    os.chown(base / "setupsheets", 12345, 12345)


def _read_only(base: Path) -> None:
    (base / "setupsheets").mkdir()
    (base / "setupsheets").chmod(0o500)


@pytest.mark.skipif(sys.platform == "win32", reason="rights and links of POSIX")
@pytest.mark.parametrize(
    "made",
    [_a_file, _a_file_within, _a_link_to_nowhere, _open_to_all, _of_another, _read_only],
)
def test_where_none_can_be_or_others_may_write_there_is_none(
    base: Path, larder: Path, made: Callable[[Path], None]
) -> None:
    if made is _of_another and os.geteuid() != 0:
        pytest.skip("only root gives folders away")
    if made is _read_only and os.geteuid() == 0:
        pytest.skip(ROOT)
    made(base)
    assert everything(larder) == everything(larder)
    assert not list(base.parent.glob("caches/setupsheets/*/kept.sqlite"))


@pytest.mark.parametrize("told", ["", "relative/caches", "~/x", "a\0b"])
def test_a_folder_of_caches_that_is_none_is_not_used(
    told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the XDG Base Directory Specification a path there is absolute, or else is ignored."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    if "\0" in told:
        monkeypatch.setattr(os, "environ", {**os.environ, "XDG_CACHE_HOME": f"/{told}"})
        assert places.user_cache() is None
        return
    monkeypatch.setenv("XDG_CACHE_HOME", told)
    if sys.platform == "linux":
        assert places.user_cache() == tmp_path / ".cache" / "setupsheets"
        assert stat.S_IMODE((tmp_path / ".cache" / "setupsheets").stat().st_mode) == 0o700


def test_without_a_home_there_is_none(larder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("XDG_CACHE_HOME")

    def homeless(path: Path) -> Path:
        raise RuntimeError("no home")

    monkeypatch.setattr(Path, "expanduser", homeless)
    assert places.user_cache() is None
    assert everything(larder)


def test_two_versions_stand_side_by_side(
    base: Path, larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = everything(larder)
    (first,) = base.glob("setupsheets/*/kept.sqlite")
    content = first.read_bytes()
    monkeypatch.setattr(throwaway, "__version__", "99.0.0")
    assert everything(larder) == expected
    assert len(list(base.glob("setupsheets/*/kept.sqlite"))) == 2
    assert first.read_bytes() == content


def test_changed_code_or_schemas_begin_it_anew(base: Path, larder: Path, tmp_path: Path) -> None:
    everything(larder)
    with pytest.MonkeyPatch.context() as patch:
        copy = Path(shutil.copytree(places.PACKAGE, tmp_path / "package"))
        patch.setattr(throwaway, "PACKAGE", copy)
        patch.setattr(throwaway, "made_by", throwaway.made_by.__wrapped__)  # each is a new run
        everything(larder)
        content = store(base).read_bytes()
        os.utime(copy / "shop" / "older_versions.py", ns=(0, 0))
        everything(larder)
        assert store(base).read_bytes() != content
        everything(larder)
        none_read(patch)
        assert everything(larder), "known by what made them last"


def test_more_than_it_is_to_hold_are_thrown_away(tmp_path: Path) -> None:
    found = Throwaway(tmp_path / "kept", "form")
    trees = KnownTrees(found, most=3)
    for number in range(5):
        trees.add(digest_of(bytes([number])), document(f"a: {number}\n"))
        trees.keep()
    kept = KnownTrees(found)
    kept.fetch_all()
    known: list[Document | None] = [
        kept.document(Path("x.yaml"), digest_of(bytes([number]))) for number in range(5)
    ]
    assert [each and each.data["a"] for each in known] == [None, None, None, 3, 4]


def test_many_at_once_harm_nothing(base: Path, larder: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from setupsheets.shop.finding import Shop\n"
        "for _ in range(4):\n"
        "    shop = Shop.open(Path(sys.argv[1]))\n"
        "    print(len([shop.recipe(each.name) for each in shop.everything('recipe')]))"
    )
    line = [sys.executable, "-c", script, str(larder)]
    at_once = [Popen(line, stdout=PIPE, text=True) for _ in range(4)]
    answers = [each.communicate()[0].split() for each in at_once]
    recipes = len(list(Shop.open(larder).everything("recipe")))
    assert answers == [[str(recipes)] * 4] * 4
    with sqlite3.connect(store(base)) as opened:
        assert opened.execute("pragma integrity_check").fetchone() == ("ok",)
    opened.close()


def test_the_same_trees_serve_the_next_run(base: Path, larder: Path) -> None:
    Shop.open(larder).job("larder")
    path = larder / "jobs" / "larder.yaml"
    digest = f"{digest_of(path.read_bytes())} in own"
    found = users_trees().document(path, digest)
    assert found is not None and found.kind == "job" and found.data["title"]
