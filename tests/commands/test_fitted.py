"""The second machine is set to what the first one made: ends fitted to their mates as measured.

That a tenon is cut to its mortise and a cope to the moulding as run is common practice, no source;
figures are worked by hand from the examples' jobs.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.commands.conftest import EXAMPLES
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import run

MORTISE = "mortise-chisel/stile-for-cross-bar"
WIDE = {"near_wall": ".374", "mortise_width": ".380", "mortise_depth": ".875"}


def told(shop: Path, job: str, text: str) -> None:
    path = shop / "jobs" / f"{job}.yaml"
    path.write_text(f"{path.read_text('utf-8')}\nas_made: {text}\n", "utf-8")


def test_the_mortise_s_log_says_how_its_tenons_are_fitted_and_they_are(larder: Path) -> None:
    readings = found(**WIDE) + found(near_wall=".374")
    first = run("log", "larder", MORTISE, "--date", "2026-11-26", *readings)
    assert "Cut the parts" in first.out
    assert "It was made with the mortise" in first.out
    _, _, text = first.out.partition("say in the job's file: as_made: ")
    told(larder, "larder", text.splitlines()[0])

    assert run("check", "jobs/larder.yaml").code == 0
    assert run("sheet", "larder", "--to", "out", "--format", "md").code == 0
    sheet = (larder / "out" / "larder.md").read_text("utf-8")
    assert "Fitted, on the cross bar, to what was made: its mortise 3/8 in" in sheet

    # Back cheek: .375 + .380 = .755 above the table; the face cheek as designed.
    right = RIGHT | {"tenon_thickness": ".380"}
    ran = run("log", "larder", CROSS_BAR, "--date", "2026-11-26", *found(**right))
    assert ran.out.startswith("Fitted to what was made: its mortise 3/8 in")
    assert "back cheek: height 3/4 in full by .005 in" in ran.out
    assert "face cheek: height 7/8 in, " in ran.out
    assert "(to be 3/8 in full by .005 in)" in ran.out
    assert "leave alone: back cheek: stop, back cheek: height, face cheek: height" in ran.out
    (head,) = (larder / "records").glob("*cross-bar-into-stile*.yaml")
    assert "fitted_to:\n  mortise_width: .38 in" in head.read_text()


def test_a_cope_is_fitted_to_the_moulding_as_it_was_run(tmp_path: Path) -> None:
    shop = tmp_path / "vestibule"
    shutil.copytree(EXAMPLES / "vestibule", shop, ignore=shutil.ignore_patterns("records"))
    before = run("log", "vestibule", "cope-crosscut-saw/top-rail-into-stile", "--shop", shop)
    assert "cope: height 10 mm" in before.out
    told(shop, "vestibule", "{top rail: {sticking_depth: 10.2 mm}}")
    after = run("log", "vestibule", "cope-crosscut-saw/top-rail-into-stile", "--shop", shop)
    assert "cope: height 10.2 mm" in after.out
    other = "cope-crosscut-saw/bottom-rail-into-ogee-frame-metric"
    assert "cope: height 10 mm." in run("log", "vestibule", other, "--shop", shop).out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{cros bar: {mortise_width: 3/8}}", "unknown part 'cros bar'; did you mean 'cross bar'"),
        ("{cross bar: {mortise_width: 1/2}}", "mortise_width is further from the design, 3/8 in"),
        ("{cross bar: {mortise_wide: 3/8}}", "mortise_wid"),
        ("{cross bar: {sticking_depth: .31}}", "sticking_depth"),
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
    assert "as_made" not in ran.out
