"""How a setting is moved by shims, in words: every setting, both ways."""

from fractions import Fraction

import pytest

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.shop.machines import FineBy, SettingName
from setupsheets.wording.fine_moves import fine_move

NOTATION = Notation(Unit.IN, Fraction(1, 64))
METRIC = Notation(Unit.MM, Fraction(1, 2))
SHIMS = (Length(".004 in"), Length(".002 in"))


@pytest.mark.parametrize("name", SettingName)
def test_every_setting_has_its_acts_with_the_shims_in_them(name: SettingName) -> None:
    acts = {fine_move(name, amount, SHIMS, NOTATION) for amount in (SHIMS[0], -SHIMS[0])}
    assert len(acts) == 2, "one way is not the other"
    for act in acts:
        assert "shims .004 in + .002 in" in act
        assert "{" not in act


def test_a_shim_between_stop_and_part_brings_the_cut_nearer_its_end() -> None:
    # Common practice, no source: the part's end stands off the stop by the shim.
    told = fine_move(SettingName.STOP, Length("-.002 in"), SHIMS[1:], NOTATION)
    assert told == "shim .002 in between stop and part"


@pytest.mark.parametrize("name", SettingName)
@pytest.mark.parametrize("amount", [".002 in", "-.002 in"])
def test_one_shim_is_drawn_and_several_are(name: SettingName, amount: str) -> None:
    one, two = (fine_move(name, Length(amount), shims, NOTATION) for shims in (SHIMS[1:], SHIMS))
    assert "shims" not in one and two == one.replace(
        "shim .002 in", "shims .004 in + .002 in"
    ).replace("draw the shim,", "draw the shims,")


@pytest.mark.parametrize("by", FineBy)
@pytest.mark.parametrize("name", SettingName)
def test_every_way_of_moving_finely_has_its_act(name: SettingName, by: FineBy) -> None:
    told = fine_move(name, Length("-.006 in"), SHIMS, NOTATION, by)
    assert ("shims" in told) == (by is FineBy.SHIMS)
    assert "{" not in told
    assert by is FineBy.SHIMS or ".006 in" in told


@pytest.mark.parametrize("amount", [".006 in", "-.006 in"])
def test_a_planer_is_shimmed_by_blocks_that_pass_with_the_machine_off(amount: str) -> None:
    """Common practice, no source: knives that stand still touch what lies under them."""
    told = fine_move(SettingName.THICKNESS, Length(amount), SHIMS, NOTATION)
    assert told.startswith("with the machine off, find the blocks that just pass")
    assert ("draw the shims" in told) == amount.startswith("-")


@pytest.mark.parametrize("name", SettingName)
@pytest.mark.parametrize("amount", [".1 mm", "-.1 mm"])
def test_a_shop_without_shims_is_told_of_paper(name: SettingName, amount: str) -> None:
    strip = Length(".1 mm")
    one, two = (
        fine_move(name, Length(amount), (strip,) * count, METRIC, paper=True) for count in (1, 2)
    )
    assert "shim" not in one + two
    shim = fine_move(name, Length(amount), (strip,), METRIC)
    assert one == shim.replace("shim 0.1 mm", "1 strip of paper (0.1 mm)").replace(
        "the shim,", "the paper,"
    )
    assert "1 strip of paper (0.1 mm)" in one and "2 strips of paper (0.1 mm each)" in two
