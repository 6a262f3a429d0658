"""The parts sheets: figures against the joinery and against arithmetic by hand.

The larder's figures are worked by hand from its job file: leaf (36 3/8 - 2 (1/8 + 1/16)) / 2 = 18
by 41 3/4 - 1/4 = 41 1/2; sight 13 1/2 by 36 3/8; lights (36 3/8 + 7/8 - 2 x 1/4) / 3 = 12 1/4.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.joinery.frame.lights import Lights, SizeChange, light_notes
from setupsheets.joinery.leaf import About
from setupsheets.joinery.members.stick import Line
from setupsheets.joinery.stock.cutlist import RowKind
from setupsheets.joinery.stock.seasons import SeasonalMovement
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.sheets.content.finished_parts import PartsBlock, PartsSheet, Table
from setupsheets.sheets.content.fits_sheet import fits_block
from setupsheets.sheets.content.parts_sheet import parts_sheet
from setupsheets.sheets.content.sticks import spacers_block, stick_blocks, zones
from setupsheets.sheets.content.timber_sheet import boards_block, movement_block
from setupsheets.wording.joinery_notes import note_texts
from setupsheets.wording.lists import listed
from tests.sheets.sheet_plans import JOBS, content, inches, plan, shop, whole

INCHES = Notation(Unit.IN, Fraction(1, 64))


def larder() -> PartsSheet:
    return content("larder").parts


def block(name: str, sheet: PartsSheet | None = None) -> PartsBlock:
    found = (sheet or larder()).block(name)
    assert found is not None, name
    return found


def rows(name: str, sheet: PartsSheet | None = None) -> list[dict[str, str]]:
    """The rows of a block by their headings."""
    table = block(name, sheet).table
    assert table is not None
    return [dict(zip(table.headings, row, strict=True)) for row in table.rows]


def test_parts_have_their_three_lengths_and_a_stile_only_one() -> None:
    found = {row["Part"]: row for row in rows("lengths")}
    rail, stile = found["top rail"], found["stile"]
    assert (rail["Face"], rail["Back"]) == ("14 1/4 in", "14 3/8 in")
    assert stile["Face"] == stile["Back"] == "" and stile["Overall"] == "43 1/2 in"


def test_the_opening_gives_the_leaf_and_tells_what_is_left_open() -> None:
    words = block("opening").words
    assert "a pair of leaves of 18 in by 41 1/2 in" in words
    edges = {row["Edge of the leaf"]: row for row in rows("opening")}
    assert edges["meeting"]["Left open"] == "1/16 in" and edges["hinge"]["Bevel"] == "square"
    # 1 1/4 in times the tangent of 3 degrees is 0.0655 in.
    assert edges["meeting"]["Narrower by, at the other face"] == ".066 in"


@pytest.mark.parametrize("job", JOBS)
def test_every_note_of_the_joinery_stands_once_on_the_sheets(job: str) -> None:
    told = [note for each in content(job).parts.blocks for note in each.notes]
    fitting = whole(job).fitting
    for group in (*whole(job).notes.values(), fitting.notes if fitting else ()):
        for note in note_texts(group, shop(job).settings.notation):
            assert told.count(note) == 1, note


@pytest.mark.parametrize("job", JOBS)
def test_every_mortise_stands_on_a_story_stick_at_its_place(job: str) -> None:
    show = shop(job).settings.notation.show
    told = {
        (part, row["At"], row.get("To", ""))
        for each in content(job).parts.blocks
        if each.name.startswith("stick")
        for part in re.split(", | and ", each.title.removeprefix("Story stick: "))
        for row in rows(each.name, content(job).parts)
        if row["Mark"].startswith("mortise")
    }
    joinery = plan(job).joinery
    mortises = (*joinery.mortises, *joinery.haunches)
    assert told == {(m.part, show(m.start), show(m.end)) for m in mortises} and told


def test_a_stick_s_table_and_drawing_come_from_the_same_marks() -> None:
    """The two rails of the larder are marked alike, so they share a stick."""
    sticks = {each.part: each for each in whole("larder").sticks}
    blocks = [each for each in content("larder").parts.blocks if each.name.startswith("stick")]
    assert len(blocks) == len(sticks) - 1
    assert any(each.title == "Story stick: top rail and bottom rail" for each in blocks)
    for each in blocks:
        stick = sticks[re.split(": | and ", each.title)[1]]
        assert each.drawing is not None and each.table is not None
        for mark in stick.marks:
            assert INCHES.mark(mark.mark) in each.drawing.description
        numbers = [str(number) for number in range(1, len(each.table.rows) + 1)]
        assert [row[0] for row in each.table.rows] == numbers
        drawn = re.findall(r"<text[^>]*>(\d+)</text>", each.drawing.svg)
        assert sorted(drawn, key=int) == numbers
        starts = [mark for mark in stick.marks if mark.line is Line.MORTISE_START]
        assert sum(zone.start != zone.end for zone in zones(stick)) >= len(starts)


def test_spacers_say_whether_they_add_up() -> None:
    """Blocks of 11 3/8 in, 3 of them, and 2 bars of 1 1/8 in make 36 3/8 in."""
    up = rows("spacers")[0]
    assert up["Blocks"] == "3 × 11 3/8 in" and up["All together"] == "36 3/8 in"
    assert up["Between them"] == "2 bars of 1 1/8 in"
    assert up["Blocks as marked come out"] == "exact"
    spacers = whole("larder").spacers[0]
    for other, words in (
        (replace(spacers, drift=inches("1/64")), "1/64 in too long"),
        (replace(spacers, drift=inches("-1/64")), "1/64 in too short"),
        (
            replace(spacers, sight=spacers.sight + inches("1/64")),
            "NOT the field: the marks are wrong",
        ),
    ):
        table = spacers_block([other], plan("larder").job, INCHES).table
        assert table is not None and table.rows[0][-1] == words


def test_the_cut_list_has_parts_beads_and_test_pieces_with_rough_sizes() -> None:
    found = {row["Piece"]: row for row in rows("cut-list")}
    assert found["cross bar"]["Finished"] == "15 1/8 in × 1 1/8 in × 1 1/4 in"
    assert found["cross bar"]["Rough"] == "16 1/8 in × 1 3/8 in × 1 3/8 in"
    assert found["test piece of the cross bar"]["How many"] == "3"
    assert len(rows("cut-list")) == len(whole("larder").rows)


def test_boards_hold_all_pieces_and_the_sums_are_told() -> None:
    need = whole("larder").needs
    pieces = sum(n * b.count for each in need for b in each.packing.boards for *_, n in b.pieces)
    spare = sum(count for each in need for _, count in each.from_offcuts)
    wanted = sum(row.count for row in whole("larder").rows)
    assert pieces + spare == wanted
    assert " Boards bought, all together: " in block("boards").words
    assert len(rows("boards")) == sum(len(each.packing.boards) for each in need)


def test_boards_that_might_be_fewer_say_how_much_and_offcuts_what_they_are_for() -> None:
    """Two sections short of a proof by 3 and 4 1/2 in, a third one proved: 7 1/2 in at the most."""
    need = whole("larder").needs[0]
    bounds = ("3", "4 1/2", "0")
    needs = [
        replace(
            need,
            packing=replace(need.packing, bound=need.packing.total - inches(by)),
            from_offcuts=(("test piece", number), ("stop", 1)),
        )
        for number, by in enumerate(bounds, 2)
    ]
    words = boards_block(needs, plan("larder").job.stock, (), INCHES).words
    assert " At most 7 1/2 in less of board might do. " in words and "proved" not in words
    assert words.endswith(
        " Out of offcuts: 2 × test piece, 1 × stop, 3 × test piece, 1 × stop, 4 × test piece, "
        "1 × stop."
    )
    sure = boards_block(needs[2:], None, (), INCHES).words
    assert "needs less length of board: proved. Out of" in sure and "might do" not in sure
    assert not sure.startswith("From boards")


def test_lights_that_differ_are_told_one_by_one() -> None:
    """From the first edge on; they have no sight size in common."""
    light = whole("larder").joinery.lights[0]
    odd = replace(light, openings=(inches("10"), Length("317 mm")))
    joinery = replace(whole("larder").joinery, lights=(odd, light))
    sheet = parts_sheet(plan("larder").job, replace(whole("larder"), joinery=joinery), INCHES)
    first, second = rows("lights", sheet)
    assert (
        first["Lights between rebates"] == "10 in, 12 31/64 in scant by .004 in"
        and first["Sight size"] == ""
    )
    assert second["Lights between rebates"] == f"{light.bars + 1} × {INCHES.show(light.opening)}"
    assert second["Sight size"] == INCHES.show(light.sight_size)


def test_a_stick_tells_of_each_mortise_what_not_all_of_them_have() -> None:
    """A part's mortises wide and set back alike are told so once; else each by itself. A halving
    has its depth and the side that it is cut from."""
    own = whole("larder")
    stick = next(each for each in own.sticks if each.part == "stile")
    (alike,) = stick_blocks([stick], own.joinery, INCHES)
    assert alike.words.endswith(" Mortises 3/8 in wide, 3/8 in from the face.")
    assert alike.table is not None
    assert {row[5] for row in alike.table.rows} >= {"1 1/2 in deep"}
    odd, *others = (each for each in own.joinery.mortises if each.part == "stile")
    changed = replace(odd, thickness=inches("5/16"), from_face=inches("1/2"))
    joinery = replace(own.joinery, mortises=(changed, *others), haunches=())
    (apart,) = stick_blocks([stick], joinery, INCHES)
    assert "Mortises" not in apart.words and apart.table is not None
    deep = f"{INCHES.show(odd.depth)} deep"
    sizes = [row[5] for row in apart.table.rows]
    assert f"5/16 in wide, 1/2 in from the face, {deep}" in sizes
    assert f"3/8 in wide, 3/8 in from the face, {deep}" in sizes


def test_every_rail_and_bar_is_named_unless_it_is_all_of_more_than_two() -> None:
    stacks = [each for each in whole("larder").stacks if each.fit == "room under the tenon"]
    names = [each.of for each in stacks]
    for joints, named in (
        (frozenset(names), "every rail and bar"),
        (frozenset({*names, "another"}), listed(names)),
    ):
        table = fits_block(stacks, joints, (), INCHES).table
        assert table is not None and table.rows[0][1] == named
    table = fits_block(stacks[:2], frozenset(names[:2]), (), INCHES).table
    assert table is not None and table.rows[0][1] == f"{names[0]} and {names[1]}"


def test_glass_is_grouped_and_panels_and_beads_stand_apart() -> None:
    glass = rows("glass-order")
    assert [(row["How many"], row["Width × height to order"]) for row in glass] == [
        ("12", "6 13/16 in × 12 in")
    ]
    notes = " ".join(block("glass-order").notes)
    assert "local code" in notes and "qualified glazier" in notes
    assert larder().block("panels") is None
    vestibule = content("vestibule").parts
    assert len(rows("panels", vestibule)) == 1 and block("beads", vestibule).table is not None
    strips = [row for row in whole("larder").rows if row.kind is RowKind.BEAD]
    (board,) = whole("larder").bead_boards
    assert [row.finished.width for row in strips] == [board.wide]
    (said,) = block("beads").notes
    assert f"{INCHES.show(board.length)} long and {INCHES.show(board.wide)} wide" in said


def test_the_dry_fit_has_a_box_for_every_leaf_and_says_where_to_look() -> None:
    table = block("dry-fit").table
    assert table is not None and table.headings[-2:] == ("leaf 1", "leaf 2")
    assert all(row[-2:] == ("", "") for row in table.rows)
    expected = whole("larder").dry_fit
    assert [row[1] for row in table.rows] == [INCHES.mark(each.size) for each in expected]
    assert len(block("dry-fit").notes) == len({each.sort for each in expected})


def test_fits_tell_worst_and_likely_and_what_makes_most_of_it() -> None:
    """Under a tenon: 1/32 of mortise, 1/32 of blank and 1/64 of stop are 5/64 at worst; by their
    squares .047 in (root of 2 x 1/32^2 + 1/64^2)."""
    room = next(row for row in rows("fits") if row["Fit"] == "room under the tenon")
    assert (room["Aimed at"], room["At worst"]) == ("1/16 in", "± 5/64 in")
    assert room["Likely"] == "± .047 in" and room["Of"] == "every rail and bar"
    assert room["Most of it from"].startswith("depth of the mortise 44 %")


def test_a_panel_that_binds_or_bares_is_told_in_capitals() -> None:
    tight = SeasonalMovement(
        "panel", inches("20"), inches("-1/4"), inches("1/4"), inches("1/8"), inches("1/8")
    )
    table = movement_block([tight], None, INCHES).table
    assert table is not None
    assert table.rows[0][4:] == ("1/8 in: BINDS", "1/8 in: A GAP SHOWS")
    loose = replace(tight, room=inches("1/4"), cover=inches("1/4"))
    table = movement_block([loose], None, INCHES).table
    assert table is not None and table.rows[0][4:] == ("1/4 in", "1/4 in")


def test_lights_off_the_marks_say_what_would_bring_them_on() -> None:
    own = whole("larder")
    change = SizeChange("one rail", inches("-1/64"))
    light = Lights(
        1, "rows", 2, inches("12.253"), inches("11.378"), (), (), inches("0.003"), (change,)
    )
    made = replace(own, notes={**own.notes, About.JOINERY: tuple(light_notes(light))})
    sheet = parts_sheet(plan("larder").job, made, INCHES)
    assert block("lights", sheet).notes[0].endswith("to make them: one rail 1/64 in narrower")
    assert block("lights").notes == ()
    assert not {*block("lights", sheet).notes} & {*block("lengths", sheet).notes}


def test_what_a_job_does_not_give_is_left_out() -> None:
    bare = replace(whole("larder"), fitting=None, needs=(), moved=(), moistures=None, spacers=())
    sheet = parts_sheet(plan("larder").job, bare, INCHES)
    for name in ("opening", "boards", "movement", "spacers"):
        assert larder().block(name) is not None and sheet.block(name) is None


def test_columns_without_anything_are_left_out_but_boxes_are_not() -> None:
    table = Table(("a", "b", "c", "box"), (("1", "", "3", ""), ("1", "", "", "")), (0, 2), boxes=3)
    assert table.without_empty == Table(
        ("a", "c", "box"), (("1", "3", ""), ("1", "", "")), (0, 1), boxes=2
    )


def test_movement_is_told_in_both_units() -> None:
    move = SeasonalMovement("stile", inches("4"), Length.millimetres("-1"), Length.millimetres("1"))
    for unit, finest, dry in (
        (Unit.IN, Fraction(1, 64), "−.039 in"),
        (Unit.MM, Fraction(1), "−1.0 mm"),
    ):
        table = movement_block([move], None, Notation(unit, finest)).table
        assert table is not None and table.rows[0][2] == dry
