"""A job into parts: worked examples, the algebra of the three lengths, and properties."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import asdict, replace

from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Joinery, Role
from setupsheets.joinery.notes import NoteKind
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Bars, Fill, Glazing, Job, Leaf, Through
from setupsheets.shop.sections import Rebate, Section
from tests.joinery.designs import BAR, FINEST, FRAME, SECTIONS, inches, leaf, two_fields


def worked(job: Job, finest: Length = FINEST) -> Joinery:
    return work_out(job, SECTIONS, finest)


# ------------------------------------------------------------------------------ worked examples


def test_three_lengths_of_a_bar_worked_by_hand() -> None:
    """Plane arithmetic: A = 18, ws = 3/8, wr = 7/16, p = 1 1/4."""
    bar = worked(leaf(sight_width="18")).part("cross bar")
    assert bar.face == inches("18 3/4")
    assert bar.back == inches("18 7/8")
    assert bar.overall == inches("20 1/2")


def test_equal_lights_worked_by_hand() -> None:
    """Plane arithmetic: A = 40, wr = 7/16, t = 1/4, n = 3."""
    lights = worked(leaf(sight_height="40", rows=4)).lights[0]
    assert lights.opening == inches("10 1/32")
    assert lights.sight_size == inches("9 5/32")
    assert 4 * lights.sight_size + 3 * inches("1 1/8") == inches("40")
    assert lights.tongue_edges[::2] == (inches("9 19/32"), inches("19 7/8"), inches("30 5/32"))
    assert lights.off == Length.ZERO
    assert lights.changes == ()


def test_five_lights_between_rebates() -> None:
    """Common practice, no published source: 74 7/16 between rebates, four bars of 1/4."""
    between = inches("74 7/16")
    job = leaf(sight_height="73 9/16", rows=5)
    assert inches("73 9/16") + 2 * FRAME.rebate.width == between
    assert worked(job).lights[0].opening == inches("14 11/16")


def test_lights_stepped_from_the_sight_edge_would_make_glass_in_two_sizes() -> None:
    """The trap (plane arithmetic): ends come out larger by the rebate's width."""
    n, tongue, wr = 3, inches("1/4"), inches("7/16")
    stepped = (inches("40") - n * tongue) / (n + 1)
    end, middle = stepped + wr, stepped
    assert end - middle == wr
    panes = worked(leaf(sight_height="40", rows=4)).panes
    assert [pane.count for pane in panes] == [4]
    assert panes[0].opening_height == (2 * end + 2 * middle) / 4


def test_mortises_stand_where_the_bars_do() -> None:
    """Each bar's mortise is as long as the bar is wide, around its tongue (plane arithmetic)."""
    found = [m for m in worked(leaf()).mortises if m.holds == "cross bar"]
    lower_sight_edge = inches("3")
    firsts = ("9 19/32", "19 7/8", "30 5/32")
    assert [m.start for m in found] == [
        lower_sight_edge + inches(t) - inches("7/16") for t in firsts
    ]
    assert {m.end - m.start for m in found} == {inches("1 1/8")}
    assert {m.thickness for m in found} == {inches("1/4")}
    assert {m.from_face for m in found} == {inches("3/8")}


def test_a_corner_rail_stands_back_by_its_haunch_at_the_outer_edge() -> None:
    found = {m.holds: m for m in worked(leaf()).mortises if m.part == "stile"}
    assert (found["bottom rail"].start, found["bottom rail"].end) == (inches("1"), inches("3"))
    assert (found["top rail"].start, found["top rail"].end) == (inches("43"), inches("45"))


def test_panes_and_beads() -> None:
    """Glass is the opening less the clearance at both edges; beads are as long as the opening."""
    joinery = worked(leaf(rows=4, columns=3))
    (pane,) = joinery.panes
    assert (pane.opening_width, pane.opening_height) == (inches("6 1/8"), inches("10 1/32"))
    assert (pane.width, pane.height, pane.count) == (inches("5 7/8"), inches("9 25/32"), 12)
    assert {bead.length: bead.count for bead in joinery.beads} == {
        inches("6 1/8"): 24,
        inches("10 1/32"): 24,
    }
    assert {bead.depth for bead in joinery.beads} == {inches("3/4") - inches("1/8")}


# ------------------------------------------------------------------------------ parts and names


def test_parts_are_grouped_and_counted_over_the_job() -> None:
    job = replace(leaf(rows=4, columns=3), count=2)
    counts = {part.name: part.count for part in worked(job).parts}
    assert counts == {
        "stile": 4,
        "top rail": 2,
        "bottom rail": 2,
        "cross bar": 6,
        "end upright bar": 8,
        "middle upright bar": 8,
    }


def test_bars_that_run_upright_break_the_cross_bars() -> None:
    job = leaf(rows=2, columns=3, bars=Bars("bar", through=Through.UPRIGHT))
    joinery = worked(job)
    counts = {part.name: part.count for part in joinery.parts}
    assert counts["upright bar"] == 2
    assert counts["end cross bar"] == 2
    assert counts["middle cross bar"] == 1
    assert joinery.part("upright bar").sight == inches("40")
    assert {m.holds for m in joinery.mortises if m.part == "stile"} >= {"end cross bar"}
    assert {m.edge for m in joinery.mortises if m.part == "upright bar"} == {0, 1}


def test_fields_that_differ_put_their_number_into_the_name() -> None:
    names = [part.name for part in worked(two_fields()).parts]
    assert names == [
        "stile",
        "top rail",
        "lock rail",
        "bottom rail",
        "cross bar",
        "end upright bar, field 1",
        "middle upright bar, field 1",
        "upright bar, field 2",
    ]


def test_a_lock_rail_is_mortised_in_both_edges() -> None:
    found = [m for m in worked(two_fields()).mortises if m.part == "lock rail"]
    assert [(m.edge, m.holds) for m in found] == [
        (0, "upright bar, field 2"),
        (1, "end upright bar, field 1"),
    ]
    assert worked(two_fields()).part("lock rail").sight_edges == 2


def test_a_panel_lies_under_a_glazed_field() -> None:
    panes = worked(two_fields(Fill.PANEL)).panes
    assert [(pane.field, pane.fill, pane.count) for pane in panes] == [
        (1, Fill.GLASS, 6),
        (2, Fill.PANEL, 1),
    ]


def test_the_field_that_gives_no_height_takes_the_rest() -> None:
    joinery = worked(two_fields())
    rest = inches("65") - inches("5") - inches("40")
    assert joinery.part("upright bar, field 2").sight == rest


def test_stub_tenons_go_to_the_middle_where_the_job_does_not_say() -> None:
    joints = replace(leaf().joints, bar_in_bar_mortise=None, gap=inches("1/16"))
    joinery = worked(leaf(rows=2, columns=2, joints=joints))
    end = joinery.part("upright bar").ends[0]  # the lower piece, told from its top
    assert end.mate.name == "bar"
    assert end.mortise_depth == inches("9/16")
    assert end.reach == inches("1/2")
    assert any(note.kind is NoteKind.BAR_MORTISES_TO_THE_MIDDLE for note in joinery.notes)


def test_a_tenon_that_is_not_in_line_with_its_own_tongue_is_set_back() -> None:
    """A thicker rebate at the part's own back leaves no wood for the tenon's back corner."""
    thin = Rebate(inches("1/2"), inches("7/8"))
    bar = replace(BAR, name="bar", rebate=thin, thickness=inches("1 1/2"))
    frame = replace(FRAME, thickness=inches("1 1/2"), rebate=Rebate(inches("7/16"), inches("7/8")))
    deep = replace(bar, sticking=replace(bar.sticking, depth=inches("7/16")))
    joinery = work_out(leaf(), {"frame": frame, "bar": deep}, FINEST)
    tenon = joinery.part("cross bar").ends[0].tenon
    assert tenon.set_back == inches("3/8")
    assert tenon.width == inches("1 1/8") - 2 * inches("3/8")
    (first, *_) = [m for m in joinery.mortises if m.holds == "cross bar"]
    assert first.end - first.start == tenon.width


# ----------------------------------------------------------------------------- off the mark


def test_lights_off_the_mark_name_the_smallest_changes() -> None:
    """40 + 2 (7/16) - 2 (1/4) = 40 3/8 is 2584 64ths, one more than 3 x 861 (plain arithmetic)."""
    lights = worked(leaf(sight_height="40", rows=3)).lights[0]
    assert lights.off == inches("1/192")
    assert [(change.what, change.by) for change in lights.changes] == [
        ("one rail", inches("1/64")),
        ("one rail", -inches("1/32")),
        ("each bar", -inches("1/64")),
        ("each bar", inches("1/32")),
    ]


def test_a_sight_height_that_the_job_gives_is_changed_itself() -> None:
    """A wider rail would only change the field below (40 3/8 is one 64th over, see above)."""
    changes = worked(two_fields()).lights[0].changes
    assert [(change.what, change.by) for change in changes[:2]] == [
        ("the sight height", -inches("1/64")),
        ("the sight height", inches("1/32")),
    ]
    for change in changes[:2]:
        upper, lower = two_fields().fields
        assert upper.sight_height is not None
        cured = replace(upper, sight_height=upper.sight_height + change.by)
        assert not worked(replace(two_fields(), fields=(cured, lower))).lights[0].off


@given(
    st.integers(300, 9000),
    st.integers(2, 9),
    st.sampled_from([FINEST, Length("1/2 mm")]),
    st.booleans(),
)
def test_every_change_named_brings_the_lights_onto_a_mark(
    marks: int, lights: int, finest: Length, upright: bool
) -> None:
    base = leaf(rows=1 if upright else lights, columns=lights if upright else 1)
    size = marks * finest + lights * inches("2")
    six = 2 * base.stiles.width
    other = base.size.height if upright else base.size.width
    shape = Leaf(size + six, other) if upright else Leaf(other, size + six)
    job = replace(base, leaf=shape)
    found = worked(job, finest).lights[1 if upright else 0]
    for change in found.changes:
        again = _changed(job, change.what, change.by)
        assert not worked(again, finest).lights[1 if upright else 0].opening % finest


def _changed(job: Job, what: str, by: Length) -> Job:
    """The job with that change; the leaf keeps its size but for its own change."""
    if what == "one rail":
        top, bottom = job.rails
        return replace(job, rails=(replace(top, width=top.width + by), bottom))
    if what == "each stile":
        return replace(job, stiles=replace(job.stiles, width=job.stiles.width + by))
    if what == "the leaf":
        return replace(job, leaf=Leaf(job.size.width + by, job.size.height))
    return replace(job, bars=Bars("bar", width=inches("1 1/8") + by))


# ------------------------------------------------------------------------------------ properties

QUARTER_MM = st.integers(0, 4000).map(lambda n: Length.millimetres(Fraction(n, 4)))


@st.composite
def designs(draw: st.DrawFn) -> tuple[Job, dict[str, Section]]:
    """Leaves with rebates of the bars' and of the top rail's own, one field, up to 6 x 5 lights."""
    rebate = Rebate(inches("3/8") + draw(QUARTER_MM) / 400, FRAME.rebate.depth)
    bar = replace(BAR, rebate=rebate)
    rows, columns = draw(st.integers(1, 6)), draw(st.integers(1, 5))
    through = draw(st.sampled_from([Through.CROSS, Through.UPRIGHT]))
    job = leaf("30", "40", rows, columns, bars=Bars("bar", through=through))
    grown = Leaf(job.size.width + draw(QUARTER_MM), job.size.height + draw(QUARTER_MM))
    upper = Rebate(inches("1/2") + draw(QUARTER_MM) / 400, FRAME.rebate.depth)
    other = replace(FRAME, name="other", rebate=upper)
    rails = (replace(job.rails[0], section="other"), job.rails[1])
    sections = {"frame": FRAME, "bar": bar, "other": other}
    return replace(job, leaf=grown, rails=rails), sections


@given(designs())
def test_lights_and_bars_fill_the_opening_exactly(design: tuple[Job, dict[str, Section]]) -> None:
    job, sections = design
    joinery = work_out(job, sections, FINEST)
    frame, bar, top = (sections[name].rebate.width for name in ("frame", "bar", "other"))
    for lights, sight, after in zip(
        joinery.lights,
        (job.size.height - inches("6"), job.size.width - inches("6")),
        (top, frame),
        strict=True,
    ):
        tongue = inches("1 1/8") - 2 * bar
        assert len(set(lights.openings)) == 1
        assert sum(lights.openings, lights.bars * tongue) == sight + frame + after
        edges = (-frame, *lights.tongue_edges, sight + after)
        assert {edges[i + 1] - edges[i] for i in range(0, len(edges), 2)} == {lights.opening}


@given(designs())
def test_broken_bars_and_through_bars_fill_the_opening(
    design: tuple[Job, dict[str, Section]],
) -> None:
    job, sections = design
    joinery = work_out(job, sections, FINEST)
    field = job.fields[0]
    if field.rows == 1 or field.columns == 1:
        return
    upright_runs = job.bars is not None and job.bars.through is Through.UPRIGHT
    role = Role.CROSS_BAR if upright_runs else Role.UPRIGHT_BAR
    lines, crossed = field.columns - 1, field.rows - 1
    if upright_runs:
        lines, crossed = crossed, lines
    sight = (job.size.width if upright_runs else job.size.height) - inches("6")
    broken = [part for part in joinery.parts if part.role is role]
    total = sum((part.count * part.sight for part in broken), Length.ZERO)
    assert total == lines * (sight - crossed * inches("1 1/8"))


@given(designs())
def test_the_three_lengths_agree_with_each_other(design: tuple[Job, dict[str, Section]]) -> None:
    """face - back and overall - back depend on the mates alone (plane arithmetic)."""
    job, sections = design
    for part in work_out(job, sections, FINEST).parts:
        ends = part.ends
        mates = [(end.mate.sticking.width, end.mate.rebate.width, end.reach) for end in ends]
        assert part.face - part.back == sum((s - r for s, r, _ in mates), Length.ZERO)
        assert part.overall - part.back == sum((p - r for _, r, p in mates), Length.ZERO)


@given(designs(), st.fractions(Fraction(1, 7), 20, max_denominator=64))
def test_a_design_scales(design: tuple[Job, dict[str, Section]], by: Fraction) -> None:
    """Everything n times as large comes to parts, marks and panes n times as large."""
    job, sections = design
    small = work_out(job, sections, FINEST)
    large = work_out(
        scaled(job, by), {name: scaled(each, by) for name, each in sections.items()}, FINEST
    )
    for one, other in zip(small.parts, large.parts, strict=True):
        assert (one.name, one.count) == (other.name, other.count)
        assert [by * x for x in (one.face, one.back, one.overall)] == [
            other.face,
            other.back,
            other.overall,
        ]
    assert [by * m.start for m in small.mortises] == [m.start for m in large.mortises]
    assert [by * p.width for p in small.panes] == [p.width for p in large.panes]


def scaled(value: Any, by: Fraction) -> Any:
    """Every length in a struct times ``by``."""
    if isinstance(value, Length):
        return value * by
    if isinstance(value, tuple):
        return tuple(scaled(each, by) for each in value)
    if isinstance(value, Struct):
        return replace(value, **{name: scaled(each, by) for name, each in asdict(value).items()})
    return value


@pytest.mark.parametrize("thickness", ["1/8", "1/4"])
def test_the_bead_takes_what_the_glass_leaves(thickness: str) -> None:
    glazing = Glazing(inches(thickness), inches("1/8"), bedding=inches("1/16"))
    depths = {bead.depth for bead in worked(leaf(glazing=glazing)).beads}
    assert depths == {inches("3/4") - inches("1/16") - inches(thickness)}


def test_a_haunch_stands_as_far_past_the_shoulder_as_the_tenon_is_thick() -> None:
    """Back shoulder 7/16, tongue 1/4: 11/16 past the sight edge, in a tenon of 1 1/4 and in
    one that is a mark longer than its haunch. Common practice, no source."""
    for mortise in ("1 1/4", "45/64"):
        job = leaf()
        job = replace(job, joints=replace(job.joints, rail_mortise=inches(mortise)))
        tenon = worked(job).part("top rail").ends[0].tenon
        assert tenon.haunch_depth == inches("11/16")
        assert tenon.haunch_depth - FRAME.rebate.width == tenon.thickness
