"""What an earlier run has worked out is what would be worked out now, or it is worked out."""

from __future__ import annotations

import datetime
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from setupsheets.corrections.limiting import BestChance
from setupsheets.files import known_results, throwaway
from setupsheets.files.known_results import once_known
from setupsheets.files.places import data_folder
from setupsheets.machining.plan import Plan, plan_of
from setupsheets.records import pieces_due
from setupsheets.records.current import set_up_states
from setupsheets.records.mates import plan_as_made
from setupsheets.records.shop_records import ShopRecords
from setupsheets.shop.finding import Shop
from tests.commands.conftest import EXAMPLES

DAY = datetime.date(2030, 1, 1)


@pytest.fixture
def base(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folder for caches, empty, of which use is made."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "caches"))
    monkeypatch.setattr(known_results, "users_store", throwaway.users_store)
    return tmp_path / "caches"


class Worked:
    """Sums that are known, and how many of them were worked out."""

    def __init__(self, most: int = 9, by: Callable[..., object] | None = None) -> None:
        self.times = 0
        self.sum = once_known(most, by)(self._sum)

    def _sum(self, *given: float | None) -> tuple[float | None, ...]:
        self.times += 1
        if None in given:
            raise ValueError(given)
        return (sum(each for each in given if each is not None), *given)


def worked_in_a_later_run(*given: float, most: int = 9) -> bool:
    later = Worked(most)
    assert later.sum(*given) == (sum(given), *given)
    return bool(later.times)


def test_what_was_given_the_same_is_not_worked_out_again(base: Path) -> None:
    assert worked_in_a_later_run(1, 0.1 + 0.2)
    assert not worked_in_a_later_run(1, 0.1 + 0.2)
    for given in ((1, 0.3), (0.1 + 0.2, 1), (1.0, 0.1 + 0.2), (1, 0.1 + 0.2, 0)):
        assert worked_in_a_later_run(*given), given


def test_one_thing_in_two_places_is_given_like_two_that_are_equal(base: Path) -> None:
    halves = ["larder", "lar"]
    one, two = halves[0], halves[1] + "der"
    times = []

    @once_known(9)
    def words(*given: str) -> int:
        times.append(1)
        return len(given)

    assert one is not two and words(one, one) == words(one, two) == 2 and len(times) == 1


def test_what_is_raised_is_raised_each_time(base: Path) -> None:
    worked = Worked()
    for _ in range(2):
        with pytest.raises(ValueError, match="None"):
            worked.sum(None)
    assert worked.times == 2


def test_by_what_stands_for_the_arguments_it_is_known(base: Path) -> None:
    told = ["a", "a", "a", None, None, "b", "c", "b", "b"]
    worked = Worked(by=lambda *_: told.pop(0))
    worked.sum(1), worked.sum(2)
    assert worked.times == 1, "both are a"
    worked.sum(1), worked.sum(1)
    assert worked.times == 3, "nothing stands for it"
    worked.sum(1)
    assert worked.times == 4, "it was b at first and c in the end, so that it was not kept"
    worked.sum(1)
    assert worked.times == 5 and not told


def test_what_was_worked_out_by_another_program_counts_no_more(
    base: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert worked_in_a_later_run(1)
    monkeypatch.setattr(throwaway, "made_by", lambda: "another program")
    assert worked_in_a_later_run(1)


@pytest.mark.parametrize("harm", ["value = 'gASVBQA='", "seal = 'x'", "key = 1"])
def test_nothing_that_is_damaged_counts(base: Path, harm: str) -> None:
    assert worked_in_a_later_run(1)
    (place,) = base.rglob("kept.sqlite")
    with sqlite3.connect(place) as store:
        store.execute(f"update kept set {harm}")
    store.close()
    assert worked_in_a_later_run(1)
    assert not worked_in_a_later_run(1)


def test_what_is_whole_and_cannot_be_read_is_worked_out(base: Path) -> None:
    assert worked_in_a_later_run(1)
    store = throwaway.users_store()
    assert store is not None
    (kind,) = {f"{each.__module__}.{each.__qualname__}" for each in [Worked().sum]}
    (key,) = store.every(kind)
    for text in ("no base64", "gASVBQA=", "gASVFAAAAAAAAACMBm5vd2hlcmWUjANvbmWUk5Qu"):
        store.keep(kind, {key: text})
        assert worked_in_a_later_run(1), text


def test_where_nothing_can_be_kept_it_is_worked_out(base: Path) -> None:
    base.write_text("in its place", "utf-8")
    assert worked_in_a_later_run(1) and worked_in_a_later_run(1)


def test_so_many_are_kept_the_last_and_no_more(base: Path) -> None:
    for number in range(5):
        assert worked_in_a_later_run(number, most=3)
    assert [worked_in_a_later_run(number, most=9) for number in (4, 3, 2, 1, 0)] == [
        *(False, False, False),
        *(True, True),
    ]


@pytest.fixture(scope="module")
def as_begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The larder with a recipe of its own, and no records."""
    place, without = tmp_path_factory.mktemp("shop") / "larder", shutil.ignore_patterns("records")
    folder = Path(shutil.copytree(EXAMPLES / "larder", place, ignore=without))
    (folder / "recipes").mkdir()
    shutil.copy(data_folder("profiles") / RECIPE, folder / "recipes")
    return folder


def _edited(name: str, was: str, now: str) -> Callable[[Path], None]:
    def edit(shop: Path) -> None:
        text = (shop / name).read_text("utf-8")
        assert was in text, f"{name} has no {was}"
        (shop / name).write_text(text.replace(was, now), "utf-8")

    return edit


def _proved(shop: Path) -> None:
    shutil.copytree(EXAMPLES / "larder" / "records", shop / "records")


RECIPE, SAW = "recipes/cope-crosscut-saw.yaml", "machines/crosscut-saw.yaml"
CHANGES: dict[str, Callable[[Path], None]] = {
    "how sure": _edited("shop.yaml", "sure_enough: 9/10", "sure_enough: 99/100"),
    "an instrument": _edited("shop.yaml", "Caliper, spread: 0.001", "Caliper, spread: 0.01"),
    "a tolerance": _edited(RECIPE, "{under: 1/128, over: 1/64}", "{under: 1/256, over: 1/256}"),
    "a dial": _edited(SAW, "set_by: rule", "set_by: block"),
    "how finely it moves": _edited(SAW, "finest: 1/64", "finest: 1/16"),
    "what is proved": _proved,
}


def worked_out(folder: Path) -> tuple[Plan, dict[str, tuple[int, BestChance | None]]]:
    """The larder's plan, and by set-up how many test pieces are due and the best to be reached."""
    shop = Shop.open(folder)
    records = ShopRecords(shop)
    plan = plan_as_made(plan_of(shop.job("larder"), shop), records, DAY)
    states = set_up_states(plan, records, DAY)
    return plan, {name: (state.due.pieces, state.due.reach) for name, state in states.items()}


@pytest.mark.parametrize("change", CHANGES)
def test_it_is_that_of_the_shop_as_it_is(
    as_begun: Path, base: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: str
) -> None:
    shop = Path(shutil.copytree(as_begun, tmp_path / "larder"))
    before = worked_out(shop)
    for _ in range(2):  # the first reads what the very first has left of the files
        assert worked_out(shop) == before
    with monkeypatch.context() as patch:
        patch.setattr("setupsheets.machining.plan.plan_job", _again)
        patch.setattr(pieces_due, "believe_as_told", _again)
        assert worked_out(shop) == before, "all of it is known by now"
    CHANGES[change](shop)
    changed = worked_out(shop)
    monkeypatch.setattr(known_results, "users_store", lambda: None)
    assert worked_out(shop) == changed != before


def _again(*_: object) -> object:
    raise AssertionError("worked out again")
