"""What nobody measured is left alone, and it is said so: terminal, JSON, sheet, recall and phone.

A dial is moved because something that was measured says so: common practice, no source. Readings
are invented; sums are plain arithmetic. The larder is as it ships, with the records of its
machines, which put their dials a hair off the marks that they were set to.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.commands.conftest import EXAMPLES
from tests.commands.test_bench import CROSS_BAR, found
from tests.commands.test_said_at_the_bench import part
from tests.doors import begun, door
from tests.phone.phones import DAY, Phone, set_up_path
from tests.running import Ran, run

LONG = {"overall": "15 3/8", "back_length": "14 5/8", "face_length": "14 1/2"}
UNREAD = "leave alone, as nothing measured so far tells of {}: "


@pytest.fixture
def as_shipped(larder: Path) -> Path:
    shutil.copytree(EXAMPLES / "larder" / "records", larder / "records", dirs_exist_ok=True)
    return larder


def correct(job: str, set_up: str, *options: str, **readings: str) -> Ran:
    ran = run("correct", job, set_up, "--date", f"{DAY}", *found(**readings), *options)
    assert ran.code == 0, ran.err
    return ran


TRIM = "blanks: length: trim the blanks already cut by 1/4 in, and cut the next ones so"


def test_blanks_a_quarter_long_are_trimmed_and_no_dial_is_moved(as_shipped: Path) -> None:
    """All three lengths are 1/4 in long, and nothing else was read."""
    ran = correct("larder", CROSS_BAR, **LONG)
    (why,) = part(ran, "What explains it:")
    assert why.startswith("blanks: length 1/4 in long: 9")
    assert why.endswith("; this one error puts Overall, Back and Face out as measured")
    assert part(ran, "What to do:") == [
        TRIM,
        "leave alone: back cheek: stop, cope: fence",
        UNREAD.format("them")
        + "back cheek: height, face cheek: height, cope: height, blanks: thickness",
    ]
    (then,) = part(ran, "Next:")
    assert then.endswith(
        "Measure on it what was on none so far: Thickness of the tenon, Face to the tenon's face"
        " cheek and Depth of the cope."
    )
    moved = json.loads(correct("larder", CROSS_BAR, "--json", **LONG).out)["answer"]
    assert [each["cause"] for each in moved["moves"]] == ["blank.length"]
    assert len(moved["left_alone"]) == 6


def test_what_is_not_advised_is_set_nowhere(as_shipped: Path) -> None:
    """Sheet, recall and phone say of the same piece what `log` says: the height stays as tested."""
    ran = run("log", "larder", CROSS_BAR, "--date", f"{DAY}", *found(**LONG))
    assert ran.code == 0, ran.err
    assert part(ran, "What to do:")[0] == TRIM
    phone = Phone(as_shipped).open(f"{set_up_path('larder', CROSS_BAR)}/answer")
    for line in part(ran, "What to do:"):
        assert line[1:] in phone.words
    assert "shim" not in phone.words.partition("What to do:")[2].partition("Next:")[0]
    assert run("sheet", "larder", "--to", as_shipped / "out", "--date", f"{DAY}").code == 0
    sheet = (as_shipped / "out" / "larder.md").read_text("utf-8")
    assert UNREAD.format("them") in sheet
    recalled = run("recall", "larder", "cope-crosscut-saw", "cross", "bar", "--date", f"{DAY}")
    for text in (sheet, recalled.out):
        assert "advised after test piece" not in text


@pytest.mark.parametrize(
    ("readings", "unread"),
    [
        ({"tongue_width": "1/4", "face_flat": "3/8"}, ()),
        (
            {"tongue_width": "9/32", "face_flat": "3/8", "groove_floor": "3/4"},
            ("sticking: height", "strip: fence"),
        ),
        (
            {"tongue_width": "9/32", "groove_floor": "3/4", "rebate_floor": "3/4"},
            ("sticking: fence", "sticking: height"),
        ),
    ],
)
def test_a_fence_that_was_not_read_stays(
    as_shipped: Path, readings: dict[str, str], unread: tuple[str, ...]
) -> None:
    """1/32 too wide between two grooves is 1/64 of the one fence that both are run against."""
    ran = correct("larder", "bar-grooved", *(("--sure",) if unread else ()), **readings)
    moved = [line for line in part(ran, "What to do:") if not line.startswith("leave alone")]
    assert all(line.startswith("groove: fence on the table saw: ") for line in moved)
    assert len(moved) <= len(unread)
    if moved:
        assert (
            f"  {UNREAD.format('them' if unread[1:] else 'it')}{', '.join(unread)}"
            in ran.out.splitlines()
        )


PANEL = "panels: {thickness: 16, groove_width: 12, groove_depth: 10, clearance: 4, border: 40}\n"


@pytest.fixture
def grooved(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A metric door whose grooves are run by a bit half as wide, in two cuts."""
    shop = begun(tmp_path, "mm")
    text = (shop / "shop.yaml").read_text("utf-8")
    for old, new in (
        ("groove: groove-table-saw", "groove: groove-straight-bit"),
        ("straight_bit: straight-bit-20-mm", "straight_bit: straight-bit-6-mm"),
    ):
        assert old in text
        text = text.replace(old, new)
    (shop / "shop.yaml").write_text(text, "utf-8")
    door(shop, "mm", fields="[{fill: grooved panel}]", more=PANEL)
    monkeypatch.chdir(shop)
    return shop


def test_a_fence_is_moved_for_a_reason_and_a_depth_in_doubt_is_left(grooved: Path) -> None:
    """The near wall stands 1 mm near the face, which one fence makes so; the depth is 1.4 mm over,
    which may be the height, a piece cut badly or a slip of the eye. Nobody read the far wall."""
    ran = correct("door", "groove-straight-bit", groove_depth="11.4", near_wall="9")
    first, *others = part(ran, "What explains it:")
    assert first.startswith(
        "near wall: height 1.5 mm over, by a slip or by its dial; and near wall:"
    )
    assert all("near wall: fence 1 mm under" in line for line in (first, *others))
    fence, *left = part(ran, "What to do:")
    assert fence.startswith("near wall: fence on the router table: 1 mm, fence back")
    assert left == [
        "leave alone, until the next piece shows whether that was so: near wall: height",
        f"{UNREAD.format('them')}far wall: fence, far wall: height",
    ]


def test_a_depth_alone_moves_nothing_before_the_rest_is_read(grooved: Path) -> None:
    ran = correct("door", "groove-straight-bit", groove_depth="11.4")
    assert part(ran, "What to do:") == []
    (then,) = part(ran, "Next:")
    assert then.startswith("Measure more of this piece before anything else is cut: ")


@pytest.mark.parametrize("readings", [{"back_length": "14 5/8"}, {"back_length": "14 7/16"}])
def test_what_blank_or_stop_explain_alike_asks_for_the_length_over_all(
    as_shipped: Path, readings: dict[str, str]
) -> None:
    """1/4 or 1/16 in long by one reading: the length over all hangs on no dial and costs no
    wood."""
    (then,) = part(correct("larder", CROSS_BAR, **readings), "Next:")
    assert then.startswith("Measure more of this piece before anything else is cut: Overall (rule)")


def test_what_a_dial_was_said_to_stand_at_is_put_right_though_nothing_was_read_of_it(
    as_shipped: Path,
) -> None:
    """Set to 7/16 in where 3/8 was meant, by the maker's own word: 1/16 down, read or not."""
    said = ("--dialled", "cope.height=7/16", "--date", f"{DAY}")
    ran = run("log", "larder", CROSS_BAR, *said, *found(**LONG))
    assert ran.code == 0, ran.err
    height, trim, *_ = part(ran, "What to do:")
    assert height.startswith("cope: height on the router table: from 7/16 in to 3/8 in (1/16 in,")
    assert trim == TRIM


def test_a_share_that_is_told_like_the_one_asked_for_is_just_under_it(as_shipped: Path) -> None:
    """What the shop asks for is put above what is reckoned, and both round to one."""
    read = LONG | {"tenon_thickness": ".376", "face_to_tenon": ".374", "cope_depth": ".376"}
    answer = json.loads(correct("larder", CROSS_BAR, "--json", **read).out)["answer"]
    right = round(100 * answer["right_after_moves"])
    shop = as_shipped / "shop.yaml"
    text = shop.read_text("utf-8")
    assert "sure_enough: 9/10" in text
    shop.write_text(text.replace("sure_enough: 9/10", f"sure_enough: {right}49/10000"), "utf-8")
    (then,) = part(correct("larder", CROSS_BAR, **read), "Next:")
    assert f"even with that done just under {right} % of parts would be" in then


def test_a_fence_a_little_out_beside_long_blanks_is_told_as_the_reason(larder: Path) -> None:
    """1/4 in long but 3/16 on the face, both ends against one fence: 1/32 of it (.031 in)."""
    read = LONG | {"tenon_thickness": ".375", "face_to_tenon": ".375", "cope_depth": ".375"}
    ran = correct("larder", CROSS_BAR, **(read | {"face_length": "14 7/16"}))
    (why, *_) = part(ran, "What explains it:")
    assert why.startswith("blanks: length 1/4 in long and cope: fence .02")
    assert " in over: 9" in why
    fence, trim, left = part(ran, "What to do:")
    assert fence.startswith("cope: fence on the router table: .02") and trim == TRIM
    assert left.startswith("leave alone: back cheek: stop, ")


BAR = {"groove_floor": "22", "sticking_depth": "10", "rebate_floor": "22"}


def test_two_fences_out_alike_ask_for_the_width_of_the_blank_first(vestibule: Path) -> None:
    """Tongue and flat are both 1 mm wide: two fences by half of that each, or one blank. One of
    them wide and the other narrow is no blank."""
    alike = correct("vestibule", "bar-grooved", tongue_width="11", face_flat="15", **BAR)
    (then,) = part(alike, "Next:")
    assert then.startswith(
        "Measure more of this piece before anything else is cut: the width of its blank (caliper)."
    )
    other = correct("vestibule", "bar-grooved", tongue_width="11", face_flat="13", **BAR)
    assert "the width of its blank" not in other.out
    read = {"tongue_width": "11", "face_flat": "15", "blank.width": "35", **BAR}
    wide = part(correct("vestibule", "bar-grooved", **read), "What to do:")
    assert wide[0].startswith("blanks: width: take 1 mm off the blanks already made")
    assert wide[1].startswith("leave alone: groove: fence, ") and "sticking: fence" in wide[1]
