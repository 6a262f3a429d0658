"""Two frozen shops of version 1, every kind of file in them: they go on loading for ever.

What lies in `samples/` is never edited; a new version of a kind brings a new sample beside it.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from setupsheets.files.kinds import CURRENT
from tests.running import run

SAMPLES = sorted(Path(__file__).parents[1].glob("*/samples/**/*.yaml"))
SHOPS = Path(__file__).parent / "samples"


CANNOT_BE_MADE = {
    "larder": ["Back cheek and shoulder, face down", "Face cheek, back down"],
    "vestibule": [],
}
"""Operations of the frozen jobs that no machine of theirs can make, since their files were written
before that was looked at: a stop of 1/32 and 1/16 in under a blade of 1/8 in. Rails of 180 and 220
mm, on edge higher than a planer takes, are planed to width by hand."""


@pytest.fixture(params=["inch-v1", "metric-v1"])
def shop(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    return Path(shutil.copytree(SHOPS / request.param, tmp_path / "shop"))


def test_every_version_of_every_kind_has_a_sample() -> None:
    heads = [
        re.search(r"^kind: (\w+)\nversion: (\d+)", path.read_text("utf-8"), re.M)
        for path in SAMPLES
    ]
    found = {(head[1], int(head[2])) for head in heads if head}
    wanted = {(kind, each) for kind, newest in CURRENT.items() for each in range(1, newest + 1)}
    assert wanted <= found


def test_a_sample_by_itself_is_sound(tmp_path: Path) -> None:
    shop = shutil.copytree(SHOPS / "inch-v1", tmp_path / "shop")
    for sample in SHOPS.glob("*.yaml"):
        ran = run("check", "--shop", shop, sample)
        assert ran.code == 0, ran.err


def only_what_cannot_be_made(told: str, shop: Path) -> bool:
    """Whether all that fails a check is what the frozen job asks of its machines."""
    job = next((shop / "jobs").glob("*.yaml")).stem
    return re.findall(r"operation \d+, (.*) \(.*\): cannot be made: ", told) == CANNOT_BE_MADE[job]


def test_the_shop_of_version_1_loads_and_tells_what_it_cannot_make(shop: Path) -> None:
    ran = run("check", "--shop", shop)
    assert only_what_cannot_be_made(ran.err, shop), ran.err
    unready = ran.err.count(": not ready")
    assert ran.code == unready == ("cannot be made" in ran.err)
    assert ran.out.count(": sound") == len([*shop.rglob("*.yaml")]) - unready


def test_the_shop_of_version_1_is_brought_up_to_date_and_keeps_the_old_files(shop: Path) -> None:
    old = {path: path.read_text("utf-8") for path in shop.rglob("*.yaml")}
    ran = run("check", "--upgrade", "--shop", shop)
    assert only_what_cannot_be_made(ran.err, shop), ran.err
    for path, text in old.items():
        kept = [path, *path.parent.glob(f"{path.name}.v*")]
        texts = [each.read_text("utf-8") for each in kept]
        led = [each.partition("\n")[2] for each in texts if each.startswith("# yaml-language-")]
        assert text in [*texts, *led], path


def test_the_shop_of_version_1_prints_its_sheets(shop: Path) -> None:
    job = next((shop / "jobs").iterdir())
    assert run("sheet", job, "--format", "md").code == 0
    assert len((shop / "sheets" / f"{job.stem}.md").read_text("utf-8")) > 20_000


def test_the_records_of_version_1_say_what_they_said(tmp_path: Path) -> None:
    """The cope of 2022: blade stop to 13/32 in, cope fence at 51/64 in, as its file has them."""
    shop = shutil.copytree(SHOPS / "inch-v1", tmp_path / "shop")
    ran = run("recall", "cope", "2022", "--date", "2026-03-15", "--shop", shop)
    assert ran.code == 0, ran.err
    rows = {line.strip().split("  ")[0]: line for line in ran.out.splitlines()}
    assert re.search(r"3/8 in +13/32 in", rows["back cheek: stop"])
    assert re.search(r"13/16 in +51/64 in", rows["cope: fence"])
    assert "on the nail over the crosscut saw, marked 2022" in ran.out
