"""Where things are measured, against the sizes of a section and an end worked by hand."""

from __future__ import annotations

import pytest

from setupsheets.joinery.members.parts import (
    End,
    Groove,
    Halving,
    MeetingRebate,
    Mortise,
    Pane,
    Tenon,
)
from setupsheets.lengths import Length
from setupsheets.machining.measure_places import place_of
from setupsheets.machining.operations import Subject
from setupsheets.shop.jobs import Fill
from tests.joinery.designs import BAR, FRAME, inches
from tests.profiles.shipped import recipes

Z = Length.ZERO
# Frame 1 3/8 thick: sticking 3/8 by 3/8, rebate 7/16 by 3/4, tongue 1/4; an end that reaches 1 1/4.
END = End(FRAME, inches("1 5/16"), inches("1/16"), Tenon(inches("1/4"), inches("3/8"), inches("2")))
SUBJECT = Subject(
    width=inches("3"),
    thickness=inches("1 3/8"),
    length=inches("20 1/2"),
    section=FRAME,
    end=END,
    mortise=Mortise("", "", 0, Z, inches("2"), inches("1/4"), inches("3/8"), inches("1 1/2")),
    grooves=(Groove(inches("1/4"), inches("1/2"), inches("3/8")),),
    panel=Pane(
        *(1, Fill.GROOVED_PANEL, 1, inches("12"), inches("20"), inches("11 3/4"), inches("19 3/4")),
        *(inches("3/4"), inches("1 3/4"), inches("3/8")),
    ),
    meeting=MeetingRebate(inches("1/2"), inches("5/8"), from_face=True),
    halving=Halving("", "", False, inches("6"), inches("6 1/4"), inches("11/16")),
    from_end=inches("7 1/4"),
)

HAND = [
    # what should be measured, along which axis, from, to, read where on the other axis
    ("section.thickness section.rebate.depth", "y", "0", "5/8", ("x", "0")),
    ("section.rebate.width", "x", "0", "7/16", ("y", "1 3/8")),
    ("section.sticking.width", "x", "0", "3/8", ("y", "0")),
    ("section.sticking.depth", "y", "0", "3/8", ("x", "0")),
    ("panel.groove.depth", "x", "0", "1/2", ("y", "1/2")),
    ("panel.groove.width", "y", "3/8", "5/8", ("x", "0")),
    ("panel.groove.from_face", "y", "0", "3/8", ("x", "0")),
    ("mortise.depth", "x", "0", "1 1/2", ("y", "1/2")),
    ("mortise.thickness", "y", "3/8", "5/8", ("x", "0")),
    ("mortise.from_face", "y", "0", "3/8", ("x", "0")),
    ("part.back", "z", "13/16", "13/16", ("y", "1 3/8")),
    ("part.face", "z", "7/8", "7/8", ("y", "0")),
    ("part.length", "z", "0", "0", ("y", "1/2")),
    ("tenon.thickness", "y", "3/8", "5/8", ("z", "5/16")),
    ("tenon.from_face", "y", "0", "3/8", ("z", "7/8")),
    ("mate.sticking.depth", "y", "0", "3/8", ("z", "1 1/4")),
    ("halving.depth", "y", "11/16", "1 3/8", ("z", "7 1/4")),
    ("halving.width", "z", "7 1/4", "7 1/2", ("y", "1 3/8")),
    ("halving.from_end", "z", "0", "7 1/4", ("y", "1 3/8")),
    ("meeting.lap", "x", "2 1/2", "3", ("y", "0")),
    ("part.thickness meeting.depth", "y", "5/8", "1 3/8", ("x", "3")),
    ("panel.border", "x", "0", "1 3/4", ("y", "0")),
    ("panel.tongue", "y", "1", "1 3/8", ("x", "0")),
    ("part.width", "x", "0", "3", ("y", "11/16")),
    ("part.thickness", "y", "0", "1 3/8", ("x", "1 1/2")),
]


@pytest.mark.parametrize(("names", "axis", "start", "end", "beside"), HAND)
def test_a_place_lies_where_the_sizes_put_it(
    names: str, axis: str, start: str, end: str, beside: tuple[str, str]
) -> None:
    found = place_of(frozenset(names.split()), SUBJECT)
    assert found is not None
    assert (found.axis, found.start, found.end) == (axis, inches(start), inches(end))
    assert found.beside[beside[0]] == inches(beside[1])
    assert found.over_all == (names in ("part.back", "part.face", "part.length"))


def test_a_bar_is_measured_between_its_rebates_and_its_mouldings() -> None:
    bar = Subject(inches("1 1/8"), inches("1 3/8"), inches("20"), section=BAR)
    for names, start, end in (
        ("section.tongue.width", "7/16", "11/16"),
        ("section.face_flat", "3/8", "3/4"),
    ):
        found = place_of(frozenset({names}), bar)
        assert found is not None and (found.start, found.end) == (inches(start), inches(end))


def test_a_meeting_stile_rebated_from_the_back_keeps_its_lip_at_the_face() -> None:
    rebate = MeetingRebate(inches("1/2"), inches("5/8"), from_face=False)
    subject = Subject(inches("3"), inches("1 3/8"), inches("9"), meeting=rebate)
    lap = place_of(frozenset({"meeting.lap"}), subject)
    lip = place_of(frozenset({"part.thickness", "meeting.depth"}), subject)
    assert lap is not None and lap.beside["y"] == inches("1 3/8")
    assert lip is not None and (lip.start, lip.end) == (Z, inches("3/4"))


def test_what_is_not_known_has_no_place() -> None:
    assert place_of(frozenset({"input.gap"}), SUBJECT) is None
    assert place_of(frozenset({"section.rebate.width", "part.width"}), SUBJECT) is None
    plain = Subject(inches("1"), inches("1"), inches("9"))
    for names in ("mortise.depth", "part.face", "halving.width", "panel.groove.width"):
        assert place_of(frozenset({names}), plain) is None


def test_everything_that_built_in_recipes_measure_has_a_place() -> None:
    """But what is read on the door itself."""
    asked = {
        (recipe.name, measure.should.names)
        for recipe in recipes().values()
        for measure in recipe.measures
        if not recipe.makes.on_leaf
    }
    assert len(asked) > 40
    wanting = {(name, names) for name, names in asked if place_of(names, SUBJECT) is None}
    assert not wanting
