"""What a shop says of its fine moves and of its scatter, in the numbers that advice is made of."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from setupsheets.records.model import causes_of, measurements_of
from setupsheets.shop.finding import Shop
from tests.commands.conftest import larder
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.records.made_up import inches
from tests.records.test_current import begun, shop
from tests.running import run

__all__ = ["larder", "shop"]


def test_the_scatter_that_shop_yaml_gives_is_taken(shop: Shop) -> None:
    usual = {each.scatter_sd for each in measurements_of(begun(shop), shop)}
    assert usual == {0.03}
    said = replace(shop, settings=replace(shop.settings, scatter=inches(".002")))
    assert {each.scatter_sd for each in measurements_of(begun(said), said)} == {0.0508}


# An inch shop's thread of .001 in is 0.0254 mm; shims of .002, .004, .008 and .012 reach 0.66 mm.
@pytest.mark.parametrize(
    ("text", "step", "reach"),
    [
        ("", 0.0508, 0.6604),
        ("fine_by: shims", 0.0508, 0.6604),
        ("fine_by: thread", 0.0254, 5.0),
        ("fine_by: gauge, fine_step: .004", 0.1016, 5.0),
    ],
)
def test_a_dial_says_how_finely_it_is_moved(
    shop: Shop, text: str, step: float, reach: float
) -> None:
    _fence(shop.folder, text)
    record = begun(Shop.open(shop.folder))
    (fence,) = (each for each in causes_of(record, shop) if each.name == "cope.fence")
    assert fence.fine_step == pytest.approx(step)
    assert fence.fine_reach == pytest.approx(reach)


def test_the_advice_names_the_thread(larder: Path) -> None:
    # Both ends against one fence: 1/16 short on the face is 1/32 (.031 in) on the fence.
    _fence(larder, "fine_by: thread")
    face = found(**(RIGHT | {"face_length": "14 3/16"})) + 2 * found(face_length="14 3/16")
    ran = run("correct", "larder", CROSS_BAR, *face)
    (line,) = [each for each in ran.out.splitlines() if "cope: fence on the" in each]
    assert "turn its thread by .0" in line and "shim" not in line


def _fence(folder: Path, text: str) -> None:
    """Say how the router table's fence is moved finely, in its file."""
    path = folder / "machines" / "router-table.yaml"
    lines = path.read_text("utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.strip().startswith("fence:"))
    if text:
        deep = " " * (len(lines[at + 1]) - len(lines[at + 1].lstrip()))
        lines[at + 1 : at + 1] = [f"{deep}{each}" for each in text.split(", ")]
    path.write_text("\n".join(lines) + "\n", "utf-8")
