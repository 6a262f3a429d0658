"""Designs that cannot be made: each names the job's field and by how much it is out."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.notes import DesignFault, DesignFaults
from setupsheets.lengths import Length
from setupsheets.shop.jobs import (
    Bars,
    Fill,
    FrameField,
    Glazing,
    Head,
    Hinges,
    Job,
    Joints,
    Leaf,
    Lock,
    Meeting,
    Opening,
    OutOfSquare,
    Panels,
    Rail,
)
from setupsheets.shop.sections import Rebate, Section, Sticking
from setupsheets.wording.joinery_faults import design_faults_worded
from tests.joinery.designs import (
    BAR,
    FINEST,
    FRAME,
    SECTIONS,
    SIXTY_FOURTHS,
    inches,
    leaf,
    two_fields,
)

ONE = Fraction(1)
OTHER = replace(FRAME, name="other", sticking=replace(FRAME.sticking, depth=inches("5/16")))
Design = tuple[Job, dict[str, Section]]


def faults(job: Job, sections: dict[str, Section]) -> list[tuple[str, str]]:
    try:
        with design_faults_worded(SIXTY_FOURTHS):
            work_out(job, sections, FINEST)
    except DataFaults as found:
        return [(fault.field, fault.message) for fault in found.faults]
    return []


def just(job: Job) -> Design:
    return job, SECTIONS


def both(**changes: object) -> dict[str, Section]:
    """Frame and bar with the same changes, so that glass still lies flat."""
    frame = replace(FRAME, **changes)
    return {"frame": frame, "bar": replace(BAR, **changes)}


def with_rails(job: Job, *rails: Rail) -> Job:
    return replace(job, rails=rails)


def joints(job: Job, **changes: Length) -> Job:
    return replace(job, joints=replace(job.joints, **changes))


def glazing(**changes: Length) -> Job:
    return leaf(glazing=replace(leaf().glazing, **changes))


def lock(thickness: str, above: str = "20") -> Job:
    return leaf(lock=Lock(inches(above), inches("6"), inches("2"), inches(thickness)))


CASES: dict[str, tuple[Callable[[], Design], str, str]] = {
    "lock thicker than its stile": (
        lambda: just(lock("1 3/4")),
        "lock.thickness",
        "the lock is 1 3/4 in thick and the stile 1 3/8 in",
    ),
    "lock over the top of the leaf": (
        lambda: just(lock("1/2", "44")),
        "lock.above",
        "the lock, 6 in high with its middle at 44 in, does not lie within a leaf 46 in high",
    ),
    "lock as deep as its stile": (
        lambda: just(leaf(lock=Lock(inches("20"), inches("6"), inches("3"), inches("1/2")))),
        "lock.depth",
        "the lock is 3 in deep and the stile 3 in wide: its case would come out at the sight edge",
    ),
    "glass without its thickness": (
        lambda: just(leaf(glazing=Glazing(clearance=inches("1/8")))),
        "glazing.thickness",
        "expected the thickness of the glass",
    ),
    "glass without its clearance": (
        lambda: just(leaf(glazing=Glazing(thickness=inches("1/8")))),
        "glazing.clearance",
        "expected what is left between the glass and its rebate at each edge",
    ),
    "panel in a rebate without any clearance": (
        lambda: just(
            leaf(
                rows=1,
                fields=(FrameField(Fill.PANEL),),
                glazing=Glazing(panel_thickness=inches("1/4")),
            )
        ),
        "glazing.panel_clearance",
        "expected what is left between a panel and its rebate at each edge",
    ),
    "unknown section": (
        lambda: just(leaf(bars=Bars("bra"))),
        "bars.section",
        "did you mean 'bar'?",
    ),
    "bar section in the frame": (
        lambda: just(replace(leaf(), stiles=replace(leaf().stiles, section="bar"))),
        "stiles.section",
        "expected a frame section, found 'bar': a bar section",
    ),
    "bar without a width": (
        lambda: (leaf(), {"frame": FRAME, "bar": replace(BAR, width=None)}),
        "bars.width",
        "expected the bar's width",
    ),
    "bars without a mortise": (
        lambda: just(leaf(joints=Joints(rail_mortise=inches("1 1/4")))),
        "joints.bar_mortise",
        "how deep the mortises for the bars are",
    ),
    "fields and rails do not match": (
        lambda: just(replace(leaf(), fields=leaf().fields * 2)),
        "fields",
        "expected 1 field between 2 rails, found 2",
    ),
    "one rail": (
        lambda: just(replace(leaf(), rails=leaf().rails[:1], fields=())),
        "rails",
        "expected two rails or more, found 1",
    ),
    "no rows": (lambda: just(leaf(rows=0)), "fields.1.rows", "expected 1 or more, found 0"),
    "lights without bars": (lambda: just(leaf(bars=None)), "fields.1", "need bars"),
    "one column of lights without bars": (
        lambda: just(replace(field_of(columns=1), bars=None)),
        "fields.1",
        "4 rows by 1 column need bars: give 'bars'",
    ),
    "one row of lights without bars": (
        lambda: just(leaf(rows=1, columns=2, bars=None)),
        "fields.1",
        "1 row by 2 columns need bars: give 'bars'",
    ),
    "stiles fill the leaf": (
        lambda: just(replace(leaf(), leaf=Leaf(inches("6"), inches("46")))),
        "stiles.width",
        "leave a sight width of 0 in in a leaf 6 in wide: narrower ones, or a wider leaf",
    ),
    "heights do not add up": (
        lambda: just(replace(leaf(), fields=(FrameField(Fill.GLASS, 4, 1, inches("40 1/4")),))),
        "leaf.height",
        "come to 46 1/4 in, 1/4 in more than the leaf's height of 46 in",
    ),
    "heights in an opening do not add up": (
        lambda: just(
            replace(
                leaf(),
                leaf=None,
                opening=Opening(inches("26 1/4"), inches("46 5/8")),
                fields=(FrameField(Fill.GLASS, 4, 1, inches("40 1/4")),),
            )
        ),
        "opening.height",
        "come to 46 1/4 in, 1/4 in more than the leaf's height of 46 in",
    ),
    "nothing left for the open field": (
        lambda: just(two_fields_with(inches("60"))),
        "leaf.height",
        "leave field 2 a sight height of 0 in",
    ),
    "two open fields": (
        lambda: just(two_fields_with(None)),
        "fields.2.sight_height",
        "only one field of a leaf takes what the others leave",
    ),
    "rebate and sticking through the stock": (
        lambda: (leaf(), both(rebate=Rebate(inches("7/16"), inches("1")))),
        "stiles.section",
        "leave no tongue in stock 1 3/8 in thick, 0 in too deep",
    ),
    "no stem left of a bar": (
        lambda: just(leaf(bars=Bars("bar", inches("7/8")))),
        "bars.section",
        "leave 0 in of a width of 7/8 in: it must be more than 7/8 in",
    ),
    "mouldings overlap on a bar": (
        lambda: (
            leaf(),
            {"frame": FRAME, "bar": replace(BAR, sticking=wide(inches("5/8")))},
        ),
        "bars.section",
        "takes 1/8 in more than the width of 1 1/8 in",
    ),
    "glass would not lie flat": (
        lambda: (
            leaf(),
            {"frame": FRAME, "bar": replace(BAR, rebate=Rebate(inches("7/16"), inches("11/16")))},
        ),
        "bars.section",
        "1/16 in apart",
    ),
    "bar thicker than the frame": (
        lambda: (
            leaf(),
            {
                "frame": FRAME,
                "bar": replace(
                    BAR, thickness=inches("1 1/2"), rebate=Rebate(inches("7/16"), inches("7/8"))
                ),
            },
        ),
        "bars.section",
        "is 1 1/2 in thick and the stiles' 1 3/8 in, 1/8 in more",
    ),
    "bars wider than the opening": (
        lambda: just(leaf(sight_height="10", rows=10)),
        "fields.1.rows",
        "9 bars of 1 1/8 in take 10 1/8 in of a sight opening of 10 in",
    ),
    "haunch on a middle rail": (
        lambda: just(haunched()),
        "rails.2.haunch",
        "it has no outer edge",
    ),
    # Shoulder 7/16, tongue 1/4: the haunch goes 11/16 in, as far as the tenon.
    "haunch as long as its tenon": (
        lambda: just(joints(leaf(), rail_mortise=inches("11/16"))),
        "rails.1.haunch",
        "goes 11/16 in past the stile's sight edge and its tenon 11/16 in",
    ),
    "haunch as wide as the rail": (
        lambda: just(
            with_rails(leaf(), replace(leaf().rails[0], haunch=inches("3")), leaf().rails[1])
        ),
        "rails.1.haunch",
        "has a width of 0 in",
    ),
    "tenon ends at its shoulder": (
        lambda: just(joints(leaf(), bar_mortise=inches("7/16"))),
        "joints.bar_mortise",
        "ends where its shoulder stands, 7/16 in past the sight edge: no tenon is left; the "
        "mortise must be deeper than 7/16 in",
    ),
    # The bar's shoulder stands at 7/16: 1/2 less a gap of 1/16.
    "gap takes the rest of a tenon": (
        lambda: just(joints(leaf(), bar_mortise=inches("1/2"), gap=inches("1/16"))),
        "joints.bar_mortise",
        "the mortise must be deeper than 1/2 in, or the gap at its bottom smaller",
    ),
    "gap takes the tenon": (
        lambda: just(joints(leaf(), gap=inches("1"))),
        "joints.rail_mortise",
        "must be deeper than 1 7/16 in, found 1 1/4 in, 3/16 in too little",
    ),
    "mortise deeper than the stile": (
        lambda: just(joints(leaf(), rail_mortise=inches("3 1/8"))),
        "joints.rail_mortise",
        "is 3 1/8 in deep and the stile 3 in wide, 1/8 in too deep",
    ),
    "mortise for an upright bar deeper than its rail": (
        lambda: just(joints(leaf(rows=1, columns=2), bar_mortise=inches("3 1/8"))),
        "joints.bar_mortise",
        "is 3 1/8 in deep and the bottom rail 3 in wide, 1/8 in too deep",
    ),
    "stub tenons meet in a bar": (
        lambda: just(joints(leaf(rows=2, columns=2), bar_in_bar_mortise=inches("5/8"))),
        "joints.bar_in_bar_mortise",
        "1/8 in too deep together; expected at most 9/16 in each",
    ),
    "tenons meet in a lock rail": (
        lambda: just(joints(two_fields(), bar_mortise=inches("2 9/16"))),
        "joints.bar_mortise",
        "meet in the lock rail 5 in wide",
    ),
    "rebate too shallow": (
        lambda: just(glazing(bedding=inches("1/4"), bead_depth=inches("1/2"))),
        "glazing.thickness",
        "bedding 1/4 in, glass 1/8 in and bead take 7/8 in of a rebate 3/4 in deep: it must be "
        "that deep or more; deepen the rebate",
    ),
    "no glass in a sealed unit": (
        lambda: just(glazing(cavity=inches("1/8"))),
        "glazing.cavity",
        "a cavity of 1/8 in leaves no glass of a sealed unit 1/8 in thick over all: its thickness "
        "is that of panes and cavity together",
    ),
    "nothing left for the bead": (
        lambda: just(glazing(bedding=inches("5/8"))),
        "glazing.thickness",
        "bedding 5/8 in and glass 1/8 in take 3/4 in of a rebate 3/4 in deep: it must be deeper "
        "than that, for the bead; deepen the rebate",
    ),
    "clearance past the rebate": (
        lambda: just(glazing(clearance=inches("7/16"))),
        "glazing.clearance",
        "falls through",
    ),
    "bead wider than the rebate": (
        lambda: just(glazing(bead_width=inches("1/2"))),
        "glazing.bead_width",
        "1/16 in too much",
    ),
    "panel without a thickness": (
        lambda: just(leaf(rows=1, fields=(FrameField(Fill.PANEL),))),
        "glazing.panel_thickness",
        "expected the panels' thickness",
    ),
    "one name for two rails": (
        lambda: just(with_rails(leaf(), *(replace(each, name="rail") for each in uneven_rails()))),
        "rails.2.name",
        "expected a name for each",
    ),
    "neither leaf nor opening": (
        lambda: just(leaf(leaf=None)),
        "",
        "expected the leaf's size, or the opening that it closes",
    ),
    "too few shares": (
        lambda: just(field_of(row_shares=(ONE, ONE))),
        "fields.1.row_shares",
        "expected 4 shares for 4 rows, found 2",
    ),
    "shares of what is not divided": (
        lambda: just(field_of(columns=1, column_shares=(ONE, ONE))),
        "fields.1.column_shares",
        "expected 1 share for 1 column, found 2",
    ),
    "a share of nothing": (
        lambda: just(field_of(row_shares=(ONE, ONE, ONE, 0 * ONE))),
        "fields.1.row_shares",
        "expected shares of more than 0, found 0",
    ),
    "margin beside shares": (
        lambda: just(field_of(margin=inches("4"), row_shares=(ONE,) * 4)),
        "fields.1.margin",
        "a margin and shares of the rows both say how they divide",
    ),
    "margin of two lights": (
        lambda: just(field_of(margin=inches("4"), rows=2)),
        "fields.1.margin",
        "found 2 rows",
    ),
    "grooved panels in rows": (
        lambda: just(field_of(fill=Fill.GROOVED_PANEL)),
        "fields.1.rows",
        "expected 1 row; put a rail between two that stand one above the other",
    ),
    "grooved panels without a stile between": (
        lambda: just(beside(None)),
        "panels.middle_stile",
        "how wide the stile is that stands between two panels side by side",
    ),
    "middle stile of one panel": (
        lambda: just(replace(beside("3"), fields=two_fields(Fill.GROOVED_PANEL).fields)),
        "panels.middle_stile",
        "write columns: 2 in the field that is to have a middle stile",
    ),
    # Grooves 1/2 in deep from both edges.
    "middle stile grooved through": (
        lambda: just(beside("1")),
        "panels.middle_stile",
        "goes through a member 1 in wide",
    ),
    "grooved panel without sizes": (
        lambda: just(two_fields(Fill.GROOVED_PANEL)),
        "fields.2.fill",
        "give 'panels'",
    ),
    "leaf and opening differ": (
        lambda: just(leaf(opening=Opening(inches("30"), inches("50")))),
        "leaf",
        "the leaf is 24 in by 46 in, and the opening less its clearances 29 3/4 in by 49 3/8 in",
    ),
    "half a pair": (
        lambda: just(opening(pair=Meeting.PLAIN)),
        "count",
        "expected an even count, found 1",
    ),
    "rebated pair without a lap": (
        lambda: just(opening(pair=Meeting.REBATED)),
        "opening.lap",
        "expected how wide the rebates are in which a rebated pair meets",
    ),
    # A gap of 1/16 in at each leaf.
    "lap that the gap takes up": (
        lambda: just(replace(opening(pair=Meeting.REBATED, lap=inches("1/8")), count=2)),
        "opening.lap",
        "a lap of 1/8 in and a gap of 1/8 in between the leaves, which it is to cover: it must be "
        "more than 1/8 in",
    ),
    # Stiles 3 in wide with mortises 1 1/4 in deep leave 1 3/4 in.
    "lap that opens the mortises": (
        lambda: just(replace(opening(pair=Meeting.REBATED, lap=inches("2")), count=2)),
        "opening.lap",
        "opens the mortises for the rails, 1/4 in too wide",
    ),
    "lap of one leaf": (
        lambda: just(opening(lap=inches("1/2"))),
        "opening.lap",
        "found a lap of 1/2 in",
    ),
    "bevel of half a right angle": (
        lambda: just(opening(lock_bevel=45 * ONE)),
        "opening.lock_bevel",
        "expected 0 to 45 degrees from square, found 45",
    ),
    "hinges over each other": (
        lambda: just(
            leaf(
                hinges=Hinges(
                    inches("3"),
                    inches("3/16"),
                    count=10,
                    from_top=inches("9"),
                    from_bottom=inches("9"),
                )
            )
        ),
        "hinges",
        "10 hinges of 3 in do not go one above the other in a leaf 46 in high",
    ),
    # An opening's hinge clearance is 1/8 in where it does not say.
    "hinge thinner than its gap": (
        lambda: just(replace(opening(), hinges=Hinges(inches("3"), inches("1/8")))),
        "hinges.closed",
        "a hinge that shuts to 1/8 in fills no gap of 1/8 in at the hinge edge",
    ),
    "an arch": (
        lambda: just(leaf(head=Head.ARCHED)),
        "head",
        "found a head that is arched: these sheets make leaves with a straight",
    ),
    "a raked head": (
        lambda: just(opened("24", "47", "52.77", "1")),
        "opening.out_of_square.right",
        "rises or falls by 1 in 24, more than 1 in 50: that is a raked head",
    ),
    # The head is level, the right jamb an inch short of it: the floor rises by 1 in 24.
    "a floor far out of level": (
        lambda: just(opened("24.0208", "45", "51.884", "1 1/2")),
        "opening.out_of_square",
        "the floor is out of square to the left jamb by more than 1 in 50",
    ),
    "a right jamb far out of plumb": (
        lambda: just(opened("23", "46.0109", "51.884", "1 1/2")),
        "opening.out_of_square",
        "the right jamb is out of square to the left jamb by more than 1 in 50",
    ),
    # A rectangle 24 by 46 has a diagonal of 51.884 in.
    "sides that close no opening": (
        lambda: just(opened("24", "46", "75", "1")),
        "opening.out_of_square.diagonal",
        "no opening has the sides 24 in at the top",
    ),
    "too little left on for fitting": (
        lambda: just(opened("24", "46", "52", "0")),
        "opening.fitting",
        "0 in is left on for fitting, and",
    ),
    "bar thinner than its tenons reach": (
        lambda: (
            leaf(),
            {
                "frame": FRAME,
                "bar": replace(
                    BAR, thickness=inches("1/2"), rebate=Rebate(inches("7/16"), inches("1/16"))
                ),
            },
        ),
        "joints.bar_mortise",
        "reaches 5/8 in behind the face and the bar is 1/2 in thick, 1/8 in too thin",
    ),
    "no wood beside twin tenons": (
        lambda: just(
            with_rails(leaf(), replace(leaf().rails[0], twin_gap=inches("2")), leaf().rails[1])
        ),
        "rails.1.twin_gap",
        "is 2 in wide and leaves no wood beside a gap of 2 in",
    ),
    "clearance as large as the light": (
        lambda: just(glazing(clearance=inches("9"))),
        "glazing.clearance",
        "less the clearance leaves no glass",
    ),
    "grooves not in line": (
        lambda: (grooved(section="other"), {**SECTIONS, "other": OTHER}),
        "panels",
        "lies 5/16 in behind the face in 'other' and 3/8 in in the stiles' 'frame', 1/16 in apart",
    ),
    "groove without a wall": (
        lambda: just(grooved(groove_width=inches("1"))),
        "panels.groove_width",
        "sticking leaves 1 in of the stile's thickness",
    ),
    "panel falls out": (
        lambda: just(grooved(clearance=inches("1/2"))),
        "panels.clearance",
        "is not covered by a groove 1/2 in deep",
    ),
    "panel too thick": (
        lambda: just(grooved(thickness=inches("3/8"))),
        "panels.thickness",
        "does not go into a groove 1/4 in wide, 1/8 in too thick",
    ),
    # Panels 1/4 in thick in a groove 1/4 wide and 1/2 deep, in a field 20 in wide.
    "nothing to raise": (
        lambda: just(grooved(border=inches("1"))),
        "panels.border",
        "a panel 1/4 in thick is no thicker than its groove, 1/4 in",
    ),
    "border hidden in its groove": (
        lambda: just(grooved(thickness=inches("3/8"), border=inches("1/2"))),
        "panels.border",
        "a border 1/2 in wide is hidden in a groove 1/2 in deep",
    ),
    "borders that meet": (
        lambda: just(grooved(thickness=inches("3/8"), border=inches("11"))),
        "panels.border",
        "borders of 11 in meet on the panel of field 2, ",
    ),
    "groove as deep as a stile": (
        lambda: just(grooved(groove_depth=inches("3"))),
        "panels.groove_depth",
        "goes through a member 3 in wide",
    ),
}


def field_of(**changes: object) -> Job:
    return leaf(fields=(replace(leaf().fields[0], **changes),))


def opening(**changes: object) -> Job:
    made = Opening(inches("60"), inches("90"), **changes)  # type: ignore[arg-type]
    return leaf(leaf=None, opening=made)


def opened(bottom: str, right: str, diagonal: str, left_on: str) -> Job:
    """A leaf for an opening 24 by 46 that is out of square."""
    sides = OutOfSquare(inches(bottom), inches(right), inches(diagonal))
    made = Opening(inches("24"), inches("46"), out_of_square=sides, fitting=inches(left_on))
    return leaf(leaf=None, opening=made)


def grooved(section: str = "frame", **changes: Length) -> Job:
    quarter = inches("1/4")
    panels = Panels(quarter, quarter, inches("1/2"), inches("1/8"))
    panels = replace(panels, **changes)
    job = replace(two_fields(Fill.GROOVED_PANEL), panels=panels)
    return with_rails(job, *job.rails[:2], replace(job.rails[2], section=section))


def beside(wide: str | None) -> Job:
    """Two panels side by side in the lower field."""
    job = grooved()
    assert job.panels is not None
    panels = replace(job.panels, middle_stile=inches(wide) if wide else None)
    lower = replace(job.fields[1], columns=2)
    return replace(job, panels=panels, fields=(job.fields[0], lower))


def two_fields_with(height: Length | None) -> Job:
    job = two_fields()
    upper, lower = job.fields
    return replace(job, fields=(replace(upper, sight_height=height), lower))


def wide(width: Length) -> Sticking:
    return replace(BAR.sticking, width=width)


def haunched() -> Job:
    top, lock, bottom = two_fields().rails
    return with_rails(two_fields(), top, replace(lock, haunch=inches("1")), bottom)


def uneven_rails() -> tuple[Rail, Rail]:
    top, bottom = leaf().rails
    return top, replace(bottom, width=inches("4"))


def kinds(job: Job, sections: dict[str, Section]) -> set[object]:
    try:
        work_out(job, sections, FINEST)
    except DesignFaults as found:
        return {fault.kind for fault in found.faults}
    return set()


def test_every_fault_of_a_design_is_among_the_cases() -> None:
    """Those of boards and of the air are in test_whole.py."""
    later = {
        DesignFault.BOARDS_TOO_SHORT,
        DesignFault.AIR_OUT_OF_RANGE,
        DesignFault.DRY_AIR_IS_DAMPER,
    }
    found = set().union(*(kinds(*design()) for design, _, _ in CASES.values()))
    assert found == set(DesignFault) - later


@pytest.mark.parametrize("case", CASES)
def test_a_design_that_cannot_be_made_says_where_and_by_how_much(case: str) -> None:
    design, field, words = CASES[case]
    found = faults(*design())
    assert any(where == field and words in message for where, message in found), found


def test_the_designs_that_the_faults_start_from_are_sound() -> None:
    for job in (leaf(), leaf(rows=2, columns=2), two_fields(), leaf(rows=10, sight_height="12")):
        assert faults(job, SECTIONS) == []


def test_the_limits_themselves_can_be_made() -> None:
    """Mortises to the middle of a bar, through a stile, a bar of nothing but its mouldings."""
    assert (
        faults(joints(leaf(rows=2, columns=2), bar_in_bar_mortise=inches("9/16")), SECTIONS) == []
    )
    assert faults(joints(leaf(), rail_mortise=inches("3")), SECTIONS) == []
    assert faults(joints(two_fields(), bar_mortise=inches("2 1/2")), SECTIONS) == []
    narrow = {"frame": FRAME, "bar": replace(BAR, sticking=wide(inches("9/16")))}
    assert faults(leaf(), narrow) == []


def test_all_faults_come_at_once() -> None:
    job = joints(glazing(clearance=inches("1/2")), bar_mortise=inches("1/4"))
    shallow = replace(job, leaf=Leaf(inches("5"), job.size.height))
    found = {field for field, _ in faults(shallow, SECTIONS)}
    assert found == {"stiles.width", "joints.bar_mortise", "glazing.clearance"}


def test_grooves_around_a_panel_have_nothing_to_do_with_rails_beyond_it() -> None:
    """The top rail's moulding is another one; the panel lies between the lock and bottom rail."""
    job = grooved()
    top, lock, bottom = job.rails
    sections = {**SECTIONS, "other": OTHER}
    away = with_rails(job, replace(top, section="other"), lock, bottom)
    assert DesignFault.GROOVES_NOT_IN_LINE not in kinds(away, sections)
    upper = replace(job.fields[1], sight_height=inches("40"))
    upside_down = replace(job, fields=(upper, replace(job.fields[0], sight_height=None)))
    below = with_rails(upside_down, top, lock, replace(bottom, section="other"))
    assert DesignFault.GROOVES_NOT_IN_LINE not in kinds(below, sections)
    beside_it = with_rails(upside_down, top, replace(lock, section="other"), bottom)
    assert DesignFault.GROOVES_NOT_IN_LINE in kinds(beside_it, sections)


def test_glass_and_bead_may_fill_the_rebate_exactly() -> None:
    full = Glazing(inches("1/8"), inches("1/8"), bedding=inches("1/8"), bead_depth=inches("1/2"))
    assert faults(leaf(glazing=full), SECTIONS) == []
