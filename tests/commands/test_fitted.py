"""The second machine is set to what the first one made: ends and panels fitted to their mates as
measured, by their records or by the job's file.

That a tenon is cut to its mortise, a cope to the moulding as run and a panel's tongue to its groove
is common practice, no source; figures are worked by hand from the examples' jobs.
"""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.commands.shared import open_plan
from setupsheets.lengths import Length
from setupsheets.machining.planning.fitted_ends import why_not
from setupsheets.records.answer import answer
from setupsheets.records.record import Record
from setupsheets.shop.recipes import MadeSize
from tests.commands.conftest import EXAMPLES
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.doors import begun, door
from tests.running import Ran, run

MORTISE = "mortise-chisel/stile-for-cross-bar"
WIDE = {"near_wall": ".374", "mortise_width": ".380", "mortise_depth": ".875"}
DAY = ("--date", "2026-11-26")


def told(shop: Path, job: str, text: str) -> None:
    path = shop / "jobs" / f"{job}.yaml"
    path.write_text(f"{path.read_text('utf-8')}\nas_made: {text}\n", "utf-8")


def chopped(**more: str) -> Ran:
    """A mortise of larder's cross bars that came out .005 in wide, its wall read twice."""
    readings = found(**(WIDE | more)) + found(near_wall=".374")
    ran = run("log", "larder", MORTISE, *DAY, *readings)
    assert "Cut the parts" in ran.out, ran.out + ran.err
    return ran


def sheet(shop: Path, *more: str, job: str = "larder") -> str:
    assert run("sheet", job, "--to", "out", "--format", "md", *more, "--shop", shop).code == 0
    return Path("out", f"{job}.md").read_text("utf-8").replace("\\", "")


def head(shop: Path, name: str) -> str:
    """The newest record of a set-up."""
    *_, path = sorted((shop / "records").glob(f"2026*{name}*.yaml"))
    return path.read_text("utf-8")


def test_tenons_are_cut_to_the_mortise_as_its_record_has_it(larder: Path) -> None:
    said = chopped().out
    assert "It came out with the mortise 3/8 in full by .005 in wide." in said
    assert "fitted to that from now on: cross bar and end upright bar." in said
    assert run("check", "jobs/larder.yaml").code == 0

    # Back cheek: .375 + .380 = .755 above the table; the face cheek as designed.
    printed = sheet(larder)
    fits = "Thickness of the tenon: 3/8 in full by .005 in, to the mortise as cut (record 2026-11"
    assert f"Operation 28: {fits}" in printed and "| 3/4 in full by .005 in |" in printed
    right = RIGHT | {"tenon_thickness": ".380"}
    ran = run("log", "larder", CROSS_BAR, *DAY, *found(**right))
    assert ran.out.startswith(fits) and "of 2026-11-26).\n" in ran.out
    assert "back cheek: height 3/4 in, " in ran.out  # the nearest mark, as the sheet says
    assert "face cheek: height 7/8 in, " in ran.out
    assert "(to be 3/8 in full by .005 in)" in ran.out
    assert "leave alone: back cheek: stop, back cheek: height, face cheek: height" in ran.out
    text = head(larder, "cross-bar-into-stile")
    assert "fitted_to:\n  mortise_width: .38 in\n" in text
    assert "measured_in:\n  mortise_width:\n    record: 2026-11-26-larder-bench-mort" in text

    # Years later, and as many words.
    ran = run("recall", "larder", "cross-bar-into-stile", "--date", "2036-01-02")
    assert "Fitted then: thickness of the tenon: 3/8 in full by .005 in, to the mo" in ran.out
    assert ran.out.count("3/4 in full by .005 in") == 2  # aimed at then and today


def test_what_a_record_comes_to_is_worked_out_once_for_all_that_goes_there(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    chopped()
    asked: list[str] = []

    def counted(record: Record, *more: Any) -> Any:
        asked.append(record.name)
        return answer(record, *more)

    monkeypatch.setattr("setupsheets.records.mates.answer", counted)
    assert "to the mortise as cut" in sheet(larder)
    assert len(asked) == len(set(asked)) == 1


def test_what_the_job_s_file_says_wins_over_the_record(larder: Path) -> None:
    chopped()
    told(larder, "larder", "{cross bar: {mortise_width: .378}, end upright bar: {}}")
    ran = run("log", "larder", CROSS_BAR, *DAY, *found(**RIGHT | {"tenon_thickness": ".378"}))
    said = "Thickness of the tenon: 3/8 in full by .003 in, to the mortise as cut (as the job's"
    assert ran.out.startswith(said), ran.out + ran.err
    assert "measured_in" not in head(larder, "cross-bar-into-stile")
    said = chopped(mortise_depth=".876").out
    assert "from now on: end upright bar. For cross bar the job's file says" in said


def test_what_is_measured_again_moves_no_dial_by_less_than_a_fit_tells(larder: Path) -> None:
    chopped()
    right = RIGHT | {"tenon_thickness": ".380"}
    run("log", "larder", CROSS_BAR, *DAY, *found(**right))
    chopped(mortise_width=".3810")  # .001 in: no fit tells that apart
    assert "| 3/4 in full by .005 in |" in sheet(larder)
    run("log", "larder", CROSS_BAR, *DAY, *found(**right), "--next")
    assert len(list((larder / "records").glob("2026*cross-bar-into*.yaml"))) == 1
    chopped(mortise_width=".3835")
    assert "| 49/64 in scant by .007 in |" in sheet(larder)  # .375 + .3835, and 49/64 is .7656
    for path in (larder / "records").rglob("*mort*.yaml"):
        path.unlink()  # and what was fitted stays so where the mate's record is gone
    for path in (larder / "records").glob("*mort*/*"):
        path.unlink()
    assert "| 3/4 in full by .005 in |" in sheet(larder)


def test_a_set_up_that_was_begun_before_its_mate_was_read_goes_on_fitted(larder: Path) -> None:
    asked = run("log", "larder", CROSS_BAR, *DAY).err
    assert f"No test piece of {MORTISE} that the parts can be cut by is on record" in asked
    assert "sticking-router-table" not in asked  # the route runs that later
    run("log", "larder", CROSS_BAR, *DAY, *found(**RIGHT))
    chopped()
    # The dials stand where they stood, and .005 in further at the back cheek.
    again = run("log", "larder", CROSS_BAR, *DAY)
    assert "is of ends that were fitted otherwise" in again.err
    assert "back cheek: height 3/4 in full by .005 in" in again.out
    ran = run("log", "larder", CROSS_BAR, *DAY, *found(**RIGHT | {"tenon_thickness": ".380"}))
    assert "  Thickness of the tenon: 3/8 in full by .005 in give or take" in ran.out
    assert len(list((larder / "records").glob("2026*cross-bar-into*.yaml"))) == 2


def test_a_cutter_that_was_changed_since_leaves_the_design_and_says_so(larder: Path) -> None:
    chopped()
    path = larder / "cutters" / "chisel.yaml"
    name = next(line for line in head(larder, "mortise").splitlines() if "cutter:" in line)
    name = name.split(": ")[1]
    own = path.parent / f"{name}.yaml"
    if not own.is_file():
        own.parent.mkdir(exist_ok=True)
        shutil.copy(EXAMPLES.parent / "profiles" / "cutters" / own.name, own)
    event = "events:\n  - {date: 2026-12-01, what: Ground anew}\n"
    own.write_text(f"{own.read_text('utf-8')}\n{event}", "utf-8")
    printed = sheet(larder, "--date", "2026-12-02")
    assert "to the mortise as cut" not in printed
    said = f"{MORTISE} came out with the mortise 3/8 in full by .005 in wide (record 2026-11-26"
    assert said in printed and "as designed" in printed
    assert "as_made: {cross bar: {mortise_width: .38 in}}" in printed
    # What was measured on the day before is as it was then.
    assert "to the mortise as cut" in sheet(larder, "--date", "2026-11-27")


def test_what_is_too_far_from_the_design_is_told_and_the_end_stays_as_designed(
    larder: Path,
) -> None:
    """A mortise 7/8 in wide, where 3/8 is designed: a tenon as wide would leave nothing of a bar
    1 1/4 in thick that has 3/8 of moulding over it."""
    wide = found(**(WIDE | {"mortise_width": "7/8"}))
    taken = ("--sure", "--verdict", "proved", "--although", "the chisel slipped")
    assert run("log", "larder", MORTISE, *DAY, *wide, *taken).code == 0
    printed = sheet(larder)
    assert f"{MORTISE} came out with the mortise 7/8 in wide (record 2026-11-26" in printed
    assert "). Thickness of the tenon cannot be fitted to that, it is as designed: " in printed
    assert "it is as designed: it is further from the design, 3/8 in, than an end can" in printed
    assert "mortise_width" not in printed  # the key of a file, which no maker has typed
    right = run("log", "larder", CROSS_BAR, *DAY, *found(**RIGHT)).out
    assert "back cheek: height 3/4 in, " in right and "to the mortise as cut" not in right


def test_a_mortise_misread_by_an_eighth_and_read_again_is_as_wide_as_it_is(larder: Path) -> None:
    """.505 for .380, then .380 twice: the tenon is not made to the mean of them."""
    wrong = found(**(WIDE | {"mortise_width": ".505"}))
    assert run("log", "larder", MORTISE, *DAY, *wrong, "--sure").code == 0
    again = [option for _ in range(2) for option in found(mortise_width=".380")]
    called = ("--verdict", "proved", "--although", "all of them are chopped")
    ran = run("log", "larder", MORTISE, *DAY, *again, "--same", *called)
    assert "It came out with the mortise 3/8 in full by .005 in wide" in ran.out, ran.out


def test_a_moulding_run_shallower_than_its_curve_is_nothing_to_cope_over(larder: Path) -> None:
    """Without a straight drop the whole depth is curve: of .01 in less nothing can be made."""
    _, plan = open_plan("larder", larder, datetime.date(2026, 11, 26))
    end = next(end for part in plan.joinery.parts for end in part.ends)
    curve = replace(end.mate, sticking=replace(end.mate.sticking, quirk=Length.ZERO))
    without = replace(end, mate=curve)
    depth = curve.sticking.depth
    less = {MadeSize.STICKING_DEPTH: depth - Length(".01 in")}
    more = {MadeSize.STICKING_DEPTH: depth + Length(".01 in")}
    assert why_not(without, less).startswith("is less than the moulding's curve takes")
    assert not why_not(without, more) and not why_not(end, less)


def test_a_mortise_that_is_not_right_yet_is_nothing_to_fit_to(larder: Path) -> None:
    deep = found(**(WIDE | {"near_wall": ".437", "mortise_width": ".380"}))
    assert "Cut the parts" not in run("log", "larder", MORTISE, *DAY, *deep).out
    assert "to the mortise as cut" not in sheet(larder)


def vestibule(folder: Path) -> Path:
    shop = folder / "vestibule"
    shutil.copytree(EXAMPLES / "vestibule", shop, ignore=shutil.ignore_patterns("records"))
    return shop


def test_a_cope_is_fitted_to_the_moulding_as_it_was_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = vestibule(tmp_path)
    monkeypatch.chdir(shop)
    rail = "cope-crosscut-saw/top-rail-into-stile"
    assert "cope: height 10 mm" in run("log", "vestibule", rail).out
    run_ = found(sticking_depth="10.25") * 2
    ran = run("log", "vestibule", "sticking-router-table", *DAY, *run_, "--verdict", "proved",
              "--although", "fitted to")  # fmt: skip
    assert "It came out with the moulding 10.25 mm deep." in ran.out, ran.out + ran.err
    assert "bottom rail" in ran.out  # it goes into a stile whose edge is grooved there
    printed = sheet(shop, job="vestibule")
    assert "Depth of the cope: 10.25 mm, to the moulding as run (record" in printed
    assert printed.count("**10.25 mm** ± 0.2 mm") == 3  # of rails, and of bars into them
    told(shop, "vestibule", "{top rail: {sticking_depth: 10.1 mm}}")
    typed = sheet(shop, job="vestibule")
    assert "Depth of the cope: 10.1 mm, to the moulding as run (as the job's" in typed


@pytest.mark.parametrize(
    ("unit", "panels", "made", "figure"),
    [
        # 25/64 is .3906.
        ("in", "{thickness: 3/4, groove_width: 3/8, groove_depth: 3/8, clearance: 1/8, border: 2}",
         ".385", "Thickness in the groove: 25/64 in scant by .006 in, to the groove as run (reco"),
        ("mm", "{thickness: 20, groove_width: 12, groove_depth: 12, clearance: 3, border: 40}",
         "12.2", "Thickness in the groove: 12.2 mm, to the groove as run (record"),
        ("mm", "{thickness: 12, groove_width: 12, groove_depth: 12, clearance: 3}",
         "12.2", "Thickness in the groove: 12.2 mm, to the groove as run (record"),
    ],
)  # fmt: skip
def test_a_panel_is_cut_to_its_groove(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, unit: str, panels: str, made: str, figure: str
) -> None:
    shop = begun(tmp_path, unit)
    path = door(shop, unit, fields="[{fill: grooved panel}]", more=f"panels: {panels}\n")
    monkeypatch.chdir(shop)
    job = path.stem
    printed = sheet(shop, job=job)
    assert "to the groove as run" not in printed
    names = run("log", job, "groove", "--found", "x=1").err
    size = "groove_width" if "groove_width" in names else "one_cut_width"
    ran = run("log", job, "groove", *DAY, *found(**{size: made}) * 2, "--verdict", "proved",
              "--although", "fitted to")  # fmt: skip
    assert "What goes there is fitted to that from now on: panel of field 1." in ran.out, ran
    assert figure in sheet(shop, job=job)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{cros bar: {mortise_width: 3/8}}", "unknown part 'cros bar'; did you mean 'cross bar'"),
        ("{cross bar: {mortise_width: 1/2}}", "mortise_width is further from the design, 3/8 in"),
        ("{cross bar: {mortise_wide: 3/8}}", "mortise_wid"),
        ("{cross bar: {sticking_depth: .31}}", "sticking_depth"),
        ("{cross bar: {groove_width: 3/8}}", "groove_width: it goes into nothing that has one"),
    ],
)
def test_what_cannot_be_fitted_is_told_with_its_place(larder: Path, text: str, said: str) -> None:
    told(larder, "larder", text)
    ran = run("check", "jobs/larder.yaml")
    assert ran.code == 1
    assert said in ran.out + ran.err
    assert "larder.yaml:" in ran.out + ran.err and "as_made" in ran.out + ran.err


def test_what_was_made_as_designed_asks_for_nothing(larder: Path) -> None:
    right = {"near_wall": ".375", "mortise_width": ".376", "mortise_depth": ".875"}
    ran = run("log", "larder", MORTISE, *found(**right))
    assert "came out with" not in ran.out
    assert "to the mortise as cut" not in sheet(larder)
