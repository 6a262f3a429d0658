"""Two open records of one set-up: told wherever records are read, made one, and taken apart again.

The records are those of two copies of a shop that knew nothing of each other; readings are
invented.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import Ran, run

DAY = ("--date", "2021-03-01")
LONG = found(**(RIGHT | {"back_length": "14 1/2"}))
LESS = found(**(RIGHT | {"back_length": "14 15/32"}))


def log(*options: str) -> Ran:
    return run("log", "larder", CROSS_BAR, *options, *DAY)


def moved(piece: Mapping[str, Any]) -> Mapping[str, str]:
    """What was moved after a piece that `recall` tells of, in words."""
    return {cause: by["words"] for cause, by in piece["moved"].items()}


def recalled() -> Mapping[str, object]:
    told: Mapping[str, Mapping[str, object]] = json.loads(
        run("recall", "cross", "--json", *DAY).out
    )
    return told["recalled"]


@pytest.fixture
def both(larder: Path, tmp_path: Path) -> tuple[Path, Path]:
    """The heads of two open records, the earlier one first: one with a piece, one with two."""
    records, kept = larder / "records", tmp_path / "kept"
    assert log(*LONG).code == 0
    (first,) = records.glob("*.yaml")
    shutil.move(records, kept)
    records.mkdir()
    assert log(*LESS, "--dialled", "back_cheek.stop=13/32").code == 0
    assert log(*LESS, "--did", "back_cheek.stop=1/64", "--next").code == 0
    (second,) = records.glob("*.yaml")
    shutil.copytree(kept, records, dirs_exist_ok=True)
    return first, second


def files(shop: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in (shop / "records").rglob("*.yaml")}


def page(shop: Path) -> str:
    assert run("sheet", "larder", "--to", shop / "out", "--format", "md").code == 0
    return (shop / "out" / "larder.md").read_text("utf-8")


def test_two_open_records_are_told_wherever_records_are_read(
    larder: Path, both: tuple[Path, Path]
) -> None:
    first, second = both
    words = (
        f"{first.stem}, the earlier one, is used; {second.stem} does not count beside it. To make "
        f"one record of them: setupsheets log larder {CROSS_BAR} --join."
    )
    checked = run("check", second)
    assert checked.code == 0 and words in " ".join(checked.err.split())
    assert words in " ".join(run("recall", "cross", *DAY).err.split())
    assert words in " ".join(log("--did", "nothing").err.split())
    listed = {
        each["name"]: each["title"]
        for each in json.loads(run("list", "records", "--json").out)["things"]
    }
    assert listed[second.stem].endswith(f"; does not count beside {first.stem}")
    assert words in " ".join(page(larder).split())


def test_joined_they_are_one_record_and_no_file_is_changed(
    larder: Path, both: tuple[Path, Path]
) -> None:
    before, (first, second) = files(larder), both
    ran = log("--join")
    assert ran.code == 0 and "3 test pieces count, each once" in " ".join(ran.err.split())
    # 13/32 as the other one was dialled, and 1/64 that it was moved by.
    assert "back cheek: stop 27/64 in" in ran.out
    after = files(larder)
    assert before.items() <= after.items() and len(after) == len(before) + 1
    ((joined, text),) = after.items() - before.items()
    assert joined.parent == first.with_suffix("") and b"\nverdict: open\n" in text
    record = recalled()["record"]
    assert isinstance(record, dict)
    assert len(record["pieces"]) == 3
    assert [moved(each) for each in record["pieces"]][:2] == [
        {"back_cheek.stop": "1/32 in"},
        {"back_cheek.stop": "1/64 in"},
    ]
    told = run("recall", "cross", *DAY)
    assert f"One record with: {second.stem}" in told.out and "More than one" not in told.err
    listed = {
        each["name"]: each["title"]
        for each in json.loads(run("list", "records", "--json").out)["things"]
    }
    assert [*listed] == [first.stem]
    assert listed[first.stem].endswith(f"; one record with {second.stem}")
    assert "3 test pieces so far" in page(larder) and "More than one" not in page(larder)


def test_what_follows_goes_into_the_one_and_its_proof_counts_all(
    larder: Path, both: tuple[Path, Path]
) -> None:
    first, second = both
    log("--join")
    ran = log(*found(**RIGHT), "--did", "nothing", "--verdict", "proved", "--although", "a test")
    assert ran.code == 0, ran.err
    assert len([*first.with_suffix("").iterdir()]) == 3  # a piece, the joining, this
    assert len([*second.with_suffix("").iterdir()]) == 2
    assert "taken with 4 test pieces" in page(larder) or "taken on 2021-03-01" in page(larder)


def test_a_verdict_on_a_part_alone_is_told_not_to_count(
    larder: Path, both: tuple[Path, Path]
) -> None:
    """As it comes from another copy of the shop, where nobody knew of the joining."""
    log("--join")
    late = both[1].with_suffix("") / "20990101-120000-000000-abcdef.yaml"
    late.write_text("kind: entry\nversion: 1\ndate: 2021-03-01\nverdict: proved\n", "utf-8")
    told = json.loads(run("recall", "cross", "--json", *DAY).out)
    assert told["recalled"]["record"].get("verdict", "open") == "open"
    assert told["joined"] == [both[1].stem]
    said = " ".join(log("--did", "nothing").err.split())
    assert f"{both[1].stem}, which is one record with this, was called proved without" in said


def test_taken_apart_again_each_is_what_it_was(larder: Path, both: tuple[Path, Path]) -> None:
    log("--join")
    joined = files(larder)
    ran = log("--apart")
    assert ran.code == 0 and "1 test piece counts in the latter by itself" in ran.err
    assert joined.items() <= files(larder).items()
    told = json.loads(run("recall", "cross", "--json", *DAY).out)
    assert len(told["found"]) == 2
    assert "More than one" in run("recall", "cross", *DAY).err
    assert log("--apart").code == 1
    assert log("--join").code == 0


def test_what_cannot_be_joined_is_refused_in_words(larder: Path, both: tuple[Path, Path]) -> None:
    second = both[1]
    text = second.read_text("utf-8")
    assert "14 3/8 in" in text
    second.write_text(text.replace("target: 14 3/8 in", "target: 14 5/16 in"), "utf-8")
    before = files(larder)
    ran = log("--join")
    assert ran.code == 1 and "do not have the same Back" in " ".join(ran.err.split())
    assert files(larder) == before


def test_a_joined_record_that_is_another_or_gone_is_told_and_the_rest_serves(
    larder: Path, both: tuple[Path, Path]
) -> None:
    log("--join")
    text = both[1].read_text("utf-8")
    both[1].write_text(text.replace("target: 14 3/8 in", "target: 14 5/16 in"), "utf-8")
    told = f"{both[1].stem} is no part of this: not the same in both are back_length"
    assert f"joins.1: {told}\n" in run("check", both[0]).err
    both[1].unlink()
    ran = run("recall", "cross", *DAY)
    assert ran.code == 0 and f"the record {both[1].stem} is not there" in ran.err
    checked = run("check", both[0])
    assert checked.code == 1 and f"the record {both[1].stem} is not there" in checked.err


def test_there_must_be_something_to_join_and_it_is_an_act_of_its_own(larder: Path) -> None:
    assert log(*LONG).code == 0
    for option, words in (("--join", "nothing to join"), ("--apart", "nothing to take apart")):
        ran = log(option)
        assert ran.code == 1 and words in ran.err
        assert log(option, *LONG).code == 2
    assert log("--join", "--apart").code == 2
