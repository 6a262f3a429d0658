"""Pages are the same to the byte whether their templates are compiled now or were before."""

from __future__ import annotations

import datetime
import sqlite3
import sys
from pathlib import Path

import pytest
from jinja2 import Environment
from msgspec.structs import replace

from setupsheets.machining.plan import plan_of
from setupsheets.records.shop_records import ShopRecords
from setupsheets.sheets.content.finished import SheetContent
from setupsheets.sheets.making import make_sheets
from setupsheets.sheets.pages import pages, web
from setupsheets.shop.finding import Shop

LARDER = Path(__file__).parents[2] / "examples" / "larder"


@pytest.fixture(scope="module")
def content() -> SheetContent:
    shop = Shop.open(LARDER)
    plan = plan_of(shop.job("larder"), shop)
    made = make_sheets(ShopRecords(shop), plan, datetime.date(2030, 1, 1)).content
    return replace(made, machines=made.machines[:1])


@pytest.fixture
def base(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folder for caches, empty."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path


def printed(content: SheetContent) -> tuple[str, str]:
    """Both pages, as by a process that has printed nothing yet."""
    for module in (pages, web):
        for name in ("_environment", "environment"):
            if clear := getattr(getattr(module, name, None), "cache_clear", None):
                clear()
    return pages.to_html(content), pages.to_markdown(content)


def nothing_compiled(patch: pytest.MonkeyPatch) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("compiled again")

    patch.setattr(Environment, "compile", never)


def test_compiled_once(content: SheetContent, base: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = printed(content)
    nothing_compiled(monkeypatch)
    assert printed(content) == first


def test_where_nothing_is_kept_all_is_compiled(
    content: SheetContent, base: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = printed(content)
    (base / "mine").touch()
    monkeypatch.setenv("XDG_CACHE_HOME", str(base / "mine"))
    assert printed(content) == first
    nothing_compiled(monkeypatch)
    with pytest.raises(AssertionError, match="compiled again"):
        printed(content)


@pytest.mark.parametrize("harm", ["value = replace(value, 'a', 'b')", "value = ''", "seal = 'x'"])
def test_no_damaged_code_is_run(content: SheetContent, base: Path, harm: str) -> None:
    first = printed(content)
    (place,) = base.glob("setupsheets/*/kept.sqlite")
    with sqlite3.connect(place) as opened:
        opened.execute(f"update kept set {harm} where kind = 'template'")
    opened.close()
    assert printed(content) == first


@pytest.mark.skipif(sys.platform == "win32", reason="rights of POSIX")
def test_no_code_comes_from_where_others_may_write(
    content: SheetContent, base: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    printed(content)
    (base / "setupsheets").chmod(0o770)
    nothing_compiled(monkeypatch)
    with pytest.raises(AssertionError, match="compiled again"):
        printed(content)
