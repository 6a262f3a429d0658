"""Bars of every sort: marginal and unequal lights, halved bars, twin tenons, grooved panels."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.joinery.frame.edges import _runs
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Groove, Joinery, Role, Stretch
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Bars, Fill, FrameField, Job, Panels, Through
from setupsheets.shop.sections import Rebate
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import FINEST, FRAME, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields
from tests.joinery.test_faults import faults

PANELS = Panels(inches("3/4"), inches("1/4"), inches("1/2"), inches("1/8"), border=inches("1 1/2"))


def worked(job: Job) -> Joinery:
    return work_out(job, SECTIONS, FINEST)


def words(joinery: Joinery) -> str:
    return " ".join(note_texts(joinery.notes, SIXTY_FOURTHS))


def field_of(job: Job, **changes: object) -> Job:
    return replace(job, fields=(replace(job.fields[0], **changes),))


def test_marginal_lights_are_narrow_along_the_frame() -> None:
    """40 7/8 between rebates, two bars of 1/4, margins of 4: 32 3/8 between them (arithmetic)."""
    job = field_of(leaf(rows=3), margin=inches("4"))
    lights = worked(job).lights[0]
    assert lights.openings == (inches("4"), inches("32 3/8"), inches("4"))
    assert lights.changes == ()
    assert sorted(pane.count for pane in worked(job).panes) == [1, 2]


def test_shares_divide_the_glass_and_rows_are_told_from_the_top() -> None:
    """40 7/8 - 1/4 = 40 5/8 in proportion 1 : 4, the small light at the top (arithmetic)."""
    job = field_of(leaf(rows=2), row_shares=(Fraction(1), Fraction(4)))
    lights = worked(job).lights[0]
    assert lights.openings == (inches("40 5/8") * 4 / 5, inches("40 5/8") / 5)
    (mortise,) = [m for m in worked(job).mortises if m.holds == "cross bar"]
    assert mortise.start > worked(job).part("stile").overall / 2


def test_broken_bars_between_unequal_lights_have_names_of_their_own() -> None:
    job = field_of(leaf(rows=3, columns=2), row_shares=(Fraction(1), Fraction(2), Fraction(3)))
    joinery = worked(job)
    uprights = [part for part in joinery.parts if part.role is Role.UPRIGHT_BAR]
    assert len({part.name for part in uprights}) == len(uprights) == 3
    total = sum((part.sight for part in uprights), Length.ZERO)
    assert total + 2 * inches("1 1/8") == inches("40")


def test_halved_bars_run_from_frame_to_frame_and_are_notched_by_half() -> None:
    job = leaf(rows=3, columns=2, bars=Bars("bar", through=Through.HALVED))
    joinery = worked(job)
    assert joinery.part("cross bar").sight == inches("18")
    assert joinery.part("upright bar").sight == inches("40")
    assert not [m for m in joinery.mortises if "bar" in m.part]
    half = inches("11/16")
    assert {(h.part, h.crosses, h.from_face, h.depth) for h in joinery.halvings} == {
        ("cross bar", "upright bar", True, half),
        ("upright bar", "cross bar", False, half),
    }
    # 1 3/8 halved is 11/16, behind the rebate's floor at 5/8: there cross bars have their tongue of
    # 1/4 left; the uprights' flat between mouldings of 3/8 is 3/8 (arithmetic).
    assert {h.part: h.end - h.start for h in joinery.halvings} == {
        "cross bar": inches("3/8"),
        "upright bar": inches("1/4"),
    }
    shallow = replace(SECTIONS["bar"], rebate=Rebate(inches("7/16"), inches("1/2")))
    frame = replace(SECTIONS["frame"], rebate=shallow.rebate)
    sections = {"bar": shallow, "frame": frame}
    found = work_out(job, sections, FINEST).halvings
    assert {h.end - h.start for h in found if not h.from_face} == {inches("1 1/8")}


def test_twin_tenons_share_the_width_of_a_wide_rail() -> None:
    job = two_fields()
    top, lock, bottom = job.rails
    twin = replace(lock, twin_gap=inches("1 1/2"))
    joinery = worked(replace(job, rails=(top, twin, bottom)))
    found = [m for m in joinery.mortises if m.holds == "lock rail"]
    assert [(m.start, m.end) for m in found] == [
        (inches("23"), inches("24 3/4")),
        (inches("26 1/4"), inches("28")),
    ]
    gone = replace(lock, twin_gap=inches("5"))
    assert any(
        "beside a gap of 5 in" in message
        for _, message in faults(replace(job, rails=(top, gone, bottom)), SECTIONS)
    )


def grooved() -> Job:
    return replace(two_fields(Fill.GROOVED_PANEL), panels=PANELS)


def test_a_grooved_panel_reaches_into_its_groove_and_leaves_room_to_grow() -> None:
    """20 in of sight, 1/2 in grooves, 1/8 in clearance: 20 3/4 (plane arithmetic)."""
    panel = worked(grooved()).panes[-1]
    assert (panel.fill, panel.thickness) == (Fill.GROOVED_PANEL, inches("3/4"))
    assert (panel.width, panel.height) == (inches("20 3/4"), inches("20 3/4"))
    assert {bead.field for bead in worked(grooved()).beads} == {1}


def test_back_shoulders_beside_grooved_panels_stand_at_the_sight_edge() -> None:
    joinery = worked(grooved())
    assert joinery.part("bottom rail").back == inches("20")
    assert joinery.part("lock rail").back == inches("20 7/8")
    assert joinery.part("bottom rail").face == joinery.part("lock rail").face


def test_a_groove_shortens_the_mortises_beside_it() -> None:
    """The lock rail from 23 to 28 loses 1/2 in below, the bottom rail from 1 to 3 above."""
    found = {m.holds: (m.start, m.end) for m in worked(grooved()).mortises if m.part == "stile"}
    assert found["lock rail"] == (inches("23 1/2"), inches("28"))
    assert found["bottom rail"] == (inches("1"), inches("2 1/2"))
    for name in ("lock rail", "bottom rail"):
        start, end = found[name]
        assert worked(grooved()).part(name).ends[0].tenon.width == end - start


def test_grooves_around_a_panel_lie_in_one_plane() -> None:
    deep = replace(FRAME.sticking, depth=inches("1/2"))
    other = replace(FRAME, name="deep", sticking=deep)
    job = grooved()
    rails = (*job.rails[:2], replace(job.rails[2], section="deep"))
    found = faults(replace(job, rails=rails), {**SECTIONS, "deep": other})
    assert any(at == "panels" and "1/8 in apart" in message for at, message in found), found
    assert not [message for _, message in faults(job, SECTIONS) if "apart" in message]


@pytest.mark.parametrize(("wide", "told"), [("1/4", False), ("17/64", True)])
def test_a_groove_wider_than_the_tenons_is_noted(wide: str, told: bool) -> None:
    """The tongue, and so the tenon, is 1/4 thick."""
    panels = replace(PANELS, groove_width=inches(wide))
    notes = words(worked(replace(grooved(), panels=panels)))
    assert ("neither tenon nor haunch fills it" in notes) is told


def test_each_edge_tells_where_it_is_rebated_and_where_grooved() -> None:
    """A leaf 71 in high: the lock rail from 23 to 28, the bottom rail from 0 to 3. Its back fills
    the stiles' rebate over the whole lock rail, so that ends at 23; the panel stands 1/2 in deep in
    the rails, so the stiles' groove is full from 2 1/2 to 23 1/2 and may run on into the lock
    rail's mortise, up to 28 (arithmetic)."""
    joinery = worked(grooved())
    groove, rebate = joinery.part("stile").stretches
    assert groove.groove == Groove(inches("1/4"), inches("1/2"), inches("3/8"))
    assert (groove.start, groove.end) == (inches("2 1/2"), inches("23 1/2"))
    assert (groove.first, groove.last) == (None, inches("28"))
    assert rebate.groove is None
    assert (rebate.start, rebate.first, rebate.last) == (inches("23"), inches("23"), None)
    kinds = {part.name: part.grooves for part in joinery.parts}
    assert kinds["stile"] == ((groove.groove,), (None,))
    assert kinds["bottom rail"] == ((groove.groove,),)
    assert kinds["lock rail"] == ((groove.groove, None),)
    assert kinds["top rail"] == ((None,),)
    assert kinds["cross bar"] == ((None, None),)
    assert "to full depth as far as 23 1/2 in, and the ramp may not pass 28 in" in words(joinery)


def test_between_two_panels_the_groove_runs_on() -> None:
    both = (FrameField(Fill.GROOVED_PANEL, sight_height=inches("40")),
            FrameField(Fill.GROOVED_PANEL))  # fmt: skip
    (run,) = worked(replace(grooved(), fields=both)).part("stile").stretches
    assert (run.stopped, run.first, run.last) == (False, None, None)
    assert worked(leaf()).part("stile").stretches == (Stretch(0, Length.ZERO, inches("46")),)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"clearance": inches("1/2")}, "panels.clearance", "falls out"),
        ({"groove_width": inches("1")}, "panels.groove_width", "leaves no wood"),
        ({"groove_depth": inches("3")}, "panels.groove_depth", "goes through a member 3 in wide"),
        ({"border": None}, "panels.thickness", "1/2 in too thick"),
    ],
)
def test_a_groove_that_cannot_be(change: dict[str, Any], field: str, words: str) -> None:
    job = replace(grooved(), panels=replace(PANELS, **change))
    assert any(at == field and words in message for at, message in faults(job, SECTIONS))


@pytest.mark.parametrize(
    ("job", "field", "words"),
    [
        (field_of(leaf(rows=2), margin=inches("4")), "fields.1.margin", "found 2 rows"),
        (
            field_of(leaf(rows=3), margin=inches("4"), row_shares=(Fraction(1),) * 3),
            "fields.1.margin",
            "both say how they divide",
        ),
        (
            field_of(leaf(rows=3), row_shares=(Fraction(1), Fraction(2))),
            "fields.1.row_shares",
            "expected 3 shares for 3 rows, found 2",
        ),
        (
            field_of(leaf(columns=2), column_shares=(Fraction(1), Fraction(0))),
            "fields.1.column_shares",
            "more than 0, found 0",
        ),
        (field_of(leaf(rows=3), margin=inches("20")), "fields.1.rows", "leave no daylight"),
        (
            replace(leaf(), panels=PANELS, fields=(FrameField(Fill.GROOVED_PANEL, 2, 1),)),
            "fields.1.rows",
            "expected 1 row; put a rail between",
        ),
        (
            replace(leaf(), fields=(FrameField(Fill.GROOVED_PANEL),)),
            "fields.1.fill",
            "give 'panels'",
        ),
    ],
)
def test_divisions_that_make_no_sense(job: Job, field: str, words: str) -> None:
    found = faults(job, SECTIONS)
    assert any(at == field and words in message for at, message in found), found


@pytest.mark.parametrize(
    ("fills", "runs"),
    [
        ("gg", [(False, 0, 1)]),
        ("gp", [(False, 0, 0), (True, 1, 1)]),
        ("ggp", [(False, 0, 1), (True, 2, 2)]),
        ("gpp", [(False, 0, 0), (True, 1, 2)]),
        ("pgp", [(True, 0, 0), (False, 1, 1), (True, 2, 2)]),
        ("ppggg", [(True, 0, 1), (False, 2, 4)]),
    ],
)
def test_a_rebate_or_a_groove_runs_on_past_all_its_fields(
    fills: str, runs: list[tuple[bool, int, int]]
) -> None:
    kinds = {"g": Fill.GLASS, "p": Fill.GROOVED_PANEL}
    fields = tuple(FrameField(kinds[each]) for each in fills)
    layout: Any = SimpleNamespace(job=replace(leaf(), fields=fields))
    assert list(_runs(layout)) == runs
