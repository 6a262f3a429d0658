"""Any job at all: it is worked out soundly, or refused with faults that have a field and words."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.leaf import Whole, whole, work_out
from setupsheets.joinery.members.parts import Role
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import (
    Air,
    Bars,
    Fill,
    FrameField,
    Glazing,
    Job,
    Joints,
    Leaf,
    Lock,
    Meeting,
    Opening,
    Panels,
    Rail,
    Seasons,
    Stile,
    Stock,
    Through,
)
from setupsheets.shop.sections import Rebate, Section
from setupsheets.shop.timbers import Timber
from setupsheets.wording.joinery_faults import design_faults_worded
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import BAR, FINEST, FRAME, SIXTY_FOURTHS, leaf

OAK = Timber("oak", "Oak", Fraction("0.0018"), Fraction("0.00365"), "", Fraction(750))


def sizes(most: int) -> st.SearchStrategy[Length]:
    """Sizes in eighths of an inch, nought among them."""
    return st.integers(0, 8 * most).map(lambda n: Length.inches(Fraction(n, 8)))


def maybe(strategy: st.SearchStrategy[Length]) -> st.SearchStrategy[Length | None]:
    return st.none() | strategy


shares = st.lists(st.integers(1, 3).map(Fraction), max_size=3).map(tuple)
fields = st.builds(
    FrameField,
    fill=st.sampled_from(Fill),
    rows=st.integers(0, 4),
    columns=st.integers(1, 4),
    sight_height=maybe(sizes(30)),
    margin=maybe(sizes(4)),
    row_shares=shares,
    column_shares=shares,
)
rails = st.builds(
    Rail,
    name=st.sampled_from(["top rail", "lock rail", "bottom rail"]),
    width=sizes(6),
    section=st.sampled_from(["frame", "other", "bar"]),
    haunch=sizes(1),
    twin_gap=maybe(sizes(1)),
)
airs = st.builds(
    Air, celsius=st.integers(-10, 30).map(Fraction), humidity=st.integers(0, 101).map(Fraction)
)
openings = st.builds(
    Opening,
    width=sizes(60),
    height=sizes(90),
    pair=st.none() | st.sampled_from(Meeting),
    lap=sizes(1),
)
bars = st.builds(
    Bars, section=st.just("bar"), width=maybe(sizes(3)), through=st.sampled_from(Through)
)
glazings = st.builds(Glazing, *(sizes(1) for _ in range(3)), *(maybe(sizes(1)) for _ in range(3)))
jobs = st.builds(
    Job,
    name=st.just("any"),
    title=st.just("Any"),
    timber=st.just("oak"),
    count=st.integers(1, 2),
    leaf=st.none() | st.builds(Leaf, sizes(40), sizes(90)),
    opening=st.none() | openings,
    stiles=st.builds(Stile, section=st.just("frame"), width=sizes(6), horn=sizes(1)),
    rails=st.lists(rails, min_size=1, max_size=3).map(tuple),
    fields=st.lists(fields, min_size=1, max_size=2).map(tuple),
    bars=st.none() | bars,
    joints=st.builds(Joints, sizes(4), sizes(3), maybe(sizes(2)), sizes(1)),
    glazing=glazings,
    panels=st.none() | st.builds(Panels, sizes(1), sizes(1), sizes(1), sizes(1)),
    lock=st.none() | st.builds(Lock, sizes(40), sizes(8), sizes(4), sizes(1)),
    stock=st.none() | st.builds(Stock, st.just((Length("96 in"), Length("120 in"))), sizes(1)),
    seasons=st.none() | st.builds(Seasons, airs, airs, airs),
)


def sections(frame: Rebate, other: Rebate, bar: Rebate) -> dict[str, Section]:
    return {
        "frame": replace(FRAME, rebate=frame),
        "other": replace(FRAME, name="other", rebate=other),
        "bar": replace(BAR, rebate=bar),
    }


rebates = st.builds(Rebate, sizes(1), sizes(2))


def check(job: Job, owned: dict[str, Section]) -> Whole | None:
    try:
        with design_faults_worded(SIXTY_FOURTHS):
            made = whole(work_out(job, owned, FINEST), OAK, FINEST, Unit.IN)
    except DataFaults as found:
        assert found.faults
        assert all(fault.message and "None" not in fault.message for fault in found.faults)
        return None
    parts, panes = made.joinery.parts, made.joinery.panes
    assert len({part.name for part in parts}) == len(parts)
    assert all(part.count > 0 for part in parts)
    assert min(min(part.face, part.back, part.overall) for part in parts) > Length.ZERO
    assert min(min(pane.width, pane.height) for pane in panes) > Length.ZERO
    assert all(mortise.end > mortise.start for mortise in made.joinery.mortises)
    assert all(spacer.adds_up for spacer in made.spacers)
    notes = [note for group in made.notes.values() for note in group]
    told = note_texts([*notes, *(made.fitting.notes if made.fitting else ())], SIXTY_FOURTHS)
    assert all(told) and "None" not in "".join(told)
    return made


@given(jobs, st.builds(sections, rebates, rebates, rebates))
def test_any_job_is_sound_or_refused(job: Job, owned: dict[str, Section]) -> None:
    check(job, owned)


@st.composite
def likely(draw: st.DrawFn) -> Job:
    """Jobs most of which can be made, by changing a sound one here and there."""
    base = leaf("30", "40", draw(st.integers(1, 4)), draw(st.integers(1, 4)))
    any_job = draw(jobs)
    through = Bars("bar", through=draw(st.sampled_from(Through)))
    lock = any_job.lock and replace(  # never beside the leaf, nor deeper than its stile
        any_job.lock,
        above=Length("24 in"),
        depth=min(any_job.lock.depth, base.stiles.width - Length("1/4 in")),
    )
    job = replace(base, bars=through, lock=lock, stock=any_job.stock)
    rail = replace(job.rails[0], twin_gap=draw(st.sampled_from([None, Length("1/2 in")])))
    margin = draw(st.sampled_from([None, Length("4 in")]))
    field = replace(job.fields[0], margin=margin)
    middle = Rail("lock rail", Length("4 in"), draw(st.sampled_from(["frame", "other"])))
    under = FrameField(draw(st.sampled_from(Fill)), sight_height=Length("12 in"))
    quarter, half = Length("1/4 in"), Length("1/2 in")
    panels = Panels(quarter, quarter, half, quarter / 2)
    glazing = replace(job.glazing, panel_thickness=Length("1/4 in"))
    joints = replace(job.joints, gap=Length("1/16 in"))
    return replace(
        job,
        rails=(rail, middle, job.rails[1]),
        fields=(field, under),
        panels=panels,
        glazing=glazing,
        joints=joints,
        count=draw(st.integers(1, 3)),
    )


@given(likely())
@settings(max_examples=25, deadline=None)
def test_likely_jobs_come_to_as_many_panes_as_lights(job: Job) -> None:
    made = check(job, {"frame": FRAME, "other": replace(FRAME, name="other"), "bar": BAR})
    if made is None:
        assert job.fields[0].margin is not None
        return
    lights = sum(field.rows * field.columns for field in job.fields)
    assert sum(pane.count for pane in made.joinery.panes) == lights * job.count
    stiles = [part for part in made.joinery.parts if part.role is Role.STILE]
    assert [part.count for part in stiles] == [2 * job.count]
