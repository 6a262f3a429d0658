"""Every drawing of a door unlike the examples, measured as with a rule: does it show what it says?

Plane geometry on what is drawn, the figures as they are printed beside it and the section's own
sizes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

import pytest
from shapely import Point

from setupsheets.sheets.drawings.dimensions import Dimension, upright
from tests.sheets.drawn_cuts import SCALES
from tests.sheets.drawn_lines import INCH, NEAR, Read, crossed, overlapping, read_svg
from tests.sheets.other_door import made
from tests.sheets.sheet_plans import content

WIDE, HIGH, THICK = 26.375, 61.4375, 1.25  # the opening less its clearances; the section
STANDS = {"stile": (2.5, HIGH), "top rail": (21.375, 3.0), "lock rail": (21.375, 5.5),
          "bottom rail": (21.375, 7.25), "end cross bar": (6.375, 1.125),
          "middle cross bar": (6.375, 1.125), "upright bar": (1.125, 36.25)}  # fmt: skip
"""How wide and high each part shows: two bars of 1 1/8 in stand between three lights of 6 3/8."""


def inches(words: str) -> float | None:
    """The length that words end on, in inches; None where they tell none."""
    told = re.search(r"(?:(\d+) )?(\d+)/(\d+) in$|(\d+) in$", words)
    if told is None:
        return None
    whole = Fraction(told[1] or told[4] or 0)
    return float(whole + (Fraction(int(told[2]), int(told[3])) if told[2] else 0))


def scale_of(drawing: Read) -> float:
    """mm on the paper to one of wood, by the longest size that tells its figure."""
    long, figure = max(
        (each.long, inches(each.words) or 0.0) for each in drawing.sizes if inches(each.words)
    )
    return long / figure / INCH


def test_every_size_is_as_long_as_it_says() -> None:
    """To a mark of the rule, 1/64 in, at the drawing's own scale."""
    told = 0
    for drawing in made().drawn.values():
        figures = [(each, inches(each.words)) for each in drawing.sizes]
        of = [(size, figure) for size, figure in figures if figure]
        for size, figure in of:
            scale = scale_of(drawing)
            assert abs(size.long / scale / INCH - figure) < 1 / 64, (drawing.name, size)
            told += 1
    assert told > 50


def test_every_size_stands_between_what_is_drawn() -> None:
    """A thin line reaches to each of its arrows from an edge, and words stand at it."""
    for drawing in made().drawn.values():
        turned = [each for each in drawing.arrows if drawing.name.startswith("stops")]
        assert len(drawing.arrows) - bool(turned) == 2 * len(drawing.sizes), drawing.name
        for size in drawing.sizes:
            assert size.words, (drawing.name, size)
            axis = 0 if size.level else 1
            for end in size.ends:
                at = end[axis]
                assert any(abs(each.start[axis] - at) < NEAR for each in size.reach)
                assert any(abs(corner[axis] - at) < NEAR for corner in drawing.corners), (
                    f"{drawing.name}: {size.words} ends where nothing is"
                )


def every_drawing() -> Iterator[Read]:
    """Those of this door and of both examples."""
    yield from made().drawn.values()
    for name in ("larder", "vestibule"):
        for drawing in content(name).drawings:
            yield read_svg(drawing.svg, f"{name} {drawing.name}")


def test_words_lie_on_the_paper_and_on_nothing_else() -> None:
    looked_at = 0
    for drawing in every_drawing():
        assert list(overlapping(drawing)) == [], drawing.name
        assert list(crossed(drawing)) == [], drawing.name
        for said in drawing.words:
            left, top, right, foot = said.box
            assert left > -0.05 and right < drawing.width + 0.05, (drawing.name, said.words)
            assert top > -0.4 and foot < drawing.height + 0.05, (drawing.name, said.words)
        looked_at += 1
    assert looked_at > 130


def test_a_letter_keeps_clear_of_the_lines_that_pass_it_to_another_lane() -> None:
    """Two short sizes of a chiselled end, one beginning where the other ends: the letter of the
    inner one would stand over it, on the line to the outer one."""
    sizes = Dimension(11.6, 13.6, "A", 20.0, 20.0), Dimension(13.6, 15.4, "B", 20.0, 20.0)
    svg = "".join(upright(sizes, 18.0).elements)
    lengths = 'xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30"'
    drawing = read_svg(f"<svg {lengths}>{svg}</svg>", "two letters")
    assert [said.words for said in drawing.words] == ["B", "A"]
    assert list(crossed(drawing)) == []
    assert list(overlapping(drawing)) == []


def test_a_cut_is_drawn_at_the_scale_that_is_printed_below_it() -> None:
    for drawing in made().of("operation"):
        (words,) = re.findall(rf"{drawing.name}\.svg\) \*([^;.*]+)", made().sheet)
        assert scale_of(drawing) == pytest.approx(SCALES[words], rel=0.01)


def test_what_is_taken_away_lies_in_the_wood_and_where_the_cutter_stands() -> None:
    for drawing in made().of("operation"):
        wood = max(drawing.filled("#fff"), key=lambda area: area.area)
        (taken,) = drawing.filled(f"url(#{drawing.name}-h)")
        cutter = drawing.clipped[0]
        assert cutter.fill == "#d4d4d4"
        assert taken.difference(wood.buffer(NEAR)).area < NEAR, drawing.name
        swept = cutter.shape.intersection(wood)
        assert swept.area > 1.0 and swept.difference(taken.buffer(NEAR)).area < NEAR, drawing.name


def test_each_name_of_the_elevation_leads_to_its_part() -> None:
    """The line before a name begins at a dot in a part of its size, and ends at the name."""
    leaf = made().drawn["door"]
    scale = scale_of(leaf)
    parts = [each.shape for each in leaf.areas]
    for name, (wide, high) in STANDS.items():
        (said,) = [each for each in leaf.words if each.words == name]
        (leader,) = [
            line
            for line in leaf.lines
            if line.end == pytest.approx((said.at[0] - 1, said.at[1] - 1.1))
        ]
        assert leader.start in leaf.dots
        at = [each.bounds for each in parts if each.contains(Point(leader.start))]
        sizes = [((x1 - x0) / scale / INCH, (y1 - y0) / scale / INCH) for x0, y0, x1, y1 in at]
        assert any(one == pytest.approx((wide, high), abs=0.2) for one in sizes), (name, sizes)


def test_horns_and_hinges_stand_where_the_job_has_them() -> None:
    """Horns of 1 in at both ends of both stiles; hinges 3 1/2 in long on the right, 7 in from the
    top, 11 from the bottom and one half way between."""
    leaf = made().drawn["door"]
    scale = scale_of(leaf)
    at = [each.shape.bounds for each in leaf.areas]
    stiles = sorted(
        box for box in at if box[3] - box[1] == pytest.approx(HIGH * INCH * scale, abs=0.1)
    )
    left, right = stiles
    assert right[2] - left[0] == pytest.approx(WIDE * INCH * scale, abs=0.1)
    horn = INCH * scale
    for stile in stiles:
        for top in (stile[1] - horn, stile[3]):
            ends = stile[0], top, stile[2], top + horn
            assert any(box == pytest.approx(ends, abs=0.05) for box in at)
            for y in (ends[1], ends[3]):
                side = pytest.approx((ends[0], y, ends[2], y), abs=0.05)
                assert any((*each.start, *each.end) == side for each in leaf.lines if each.dashed)
    hinges = [(box[1] + box[3]) / 2 for box in at if box[0] >= right[2] - NEAR]
    down = sorted((middle - right[1]) / scale / INCH for middle in hinges)
    upper, lower = 7 + 1.75, HIGH - 11 - 1.75
    assert down == pytest.approx([upper, (upper + lower) / 2, lower], abs=0.2)


def test_a_stick_has_its_marks_where_its_table_says() -> None:
    """Numbers in order over the stick, each with a line from the middle of what its row tells."""
    blocks = re.findall(r"^## Story stick: (.*?)(?=^## )", made().sheet, re.MULTILINE | re.DOTALL)
    assert len(blocks) == len(made().of("stick")) == 7
    for block, drawing in zip(blocks, made().of("stick"), strict=True):
        heads, _, *rows = [
            [cell.strip() for cell in line.strip("|").split("|")]
            for line in block.splitlines()
            if line.startswith("|")
        ]
        told = [dict(zip(heads, row, strict=True)) for row in rows]
        marks = [(_signed(row["At"]), _signed(row.get("To") or row["At"])) for row in told]
        stick = max((each.shape.bounds for each in drawing.areas), key=lambda box: box[2] - box[0])
        first, last = min(min(each) for each in marks), max(max(each) for each in marks)
        scale = (stick[2] - stick[0]) / (last - first)
        numbers = {each.words: each.at for each in drawing.words}
        leads = {line.end[0]: line.start for line in drawing.lines if line.end[1] == stick[1] - 4}
        cut = [each.shape.bounds for each in drawing.areas if each.fill == "#d4d4d4"]
        for row, (at, to) in zip(told, marks, strict=True):
            left, right = (stick[0] + (each - first) * scale for each in (at, to))
            x, y = numbers[row["No."]]
            assert leads[x] == pytest.approx(((left + right) / 2, stick[1]), abs=0.1)
            assert y == pytest.approx(stick[1] - 4.8)
            if at != to:
                assert any((box[0], box[2]) == pytest.approx((left, right), abs=0.1) for box in cut)
        assert len(cut) == sum(at != to for at, to in marks)
        (datum,) = [line for line in drawing.lines if line.weight == 0.5]
        zero = stick[0] - first * scale
        assert datum.start == pytest.approx((zero, stick[1] - 4.2), abs=0.05)
        assert datum.end == pytest.approx((zero, stick[3] + 2), abs=0.05)


def _signed(words: str) -> float:
    return (inches(words.lstrip("−")) or 0.0) * (-1 if words.startswith("−") else 1)


def test_what_is_measured_is_as_long_between_its_arrows_as_it_should_be() -> None:
    """Of one drawing all at one scale; across the frame's thickness that is the scale of the wood.
    Over both ends of a piece as much of its middle is left out each time."""
    told = 0
    for drawing in made().of("measure"):
        number = int(drawing.name.split("-")[1])
        (block,) = re.findall(rf"^## \*\*{number}\b.*?(?=^## |^# )", made().sheet, re.M | re.S)
        should = {
            letter: inches(re.split(r" (?:full|scant)", figure)[0])
            for letter, figure in re.findall(
                rf"^\|(?: {number} \|)? (\w): .*? \| \*\*(.*?)\*\*", block, re.MULTILINE
            )
        }
        assert {each.words for each in drawing.sizes} <= should.keys(), drawing.name
        piece = max(drawing.filled("#f1f1f1"), key=lambda area: area.area).bounds
        paper = {size.words: (size.long, size.level) for size in drawing.sizes}
        scales = [
            long / (should[letter] or 0) / INCH
            for letter, (long, level) in paper.items()
            if long > 1 and not (level and len(drawing.filled("#f1f1f1")) > 1)
        ]
        if drawing.name.endswith(("section", "end")) and number not in (13, 18, 19, 70):
            scales.append((piece[3] - piece[1]) / THICK / INCH)
        over = [letter for letter, (_, level) in paper.items() if level]
        if len(drawing.filled("#f1f1f1")) > 1 and len(over) == 2:
            one, two = over
            apart = (should[one] or 0) - (should[two] or 0)
            scales.append((paper[one][0] - paper[two][0]) / apart / INCH)
        assert max(scales, default=1) == pytest.approx(min(scales, default=1), rel=0.03), (
            drawing.name
        )
        told += len(scales) > 1
    assert told > 10


def test_a_stopped_cut_is_drawn_along_the_fence_with_its_ramp() -> None:
    """The stile is 61 7/16 in and two horns of 1 in long; the ramp is as long as it is told."""
    for drawing in made().of("stops"):
        scale = scale_of(drawing)
        part, grey = (
            max((each.shape.bounds for each in drawing.areas if each.fill == fill), key=_wide)
            for fill in ("#fff", "#d4d4d4")
        )
        (full,) = [each.bounds for each in drawing.filled(f"url(#{drawing.name}-h)")]
        assert _wide(part) / scale / INCH == pytest.approx(HIGH + 2, rel=0.01)
        number = drawing.name.split("-")[1]
        ramp = made().drawn[f"ramp-{number}"].sizes[0].words
        assert _wide(grey) - _wide(full) == pytest.approx(
            (inches(ramp) or 0) * scale * INCH, abs=0.1
        )
        assert part[0] - NEAR < grey[0] and grey[2] < part[2] + NEAR
        (middle,) = {line.start[0] for line in drawing.lines if line.dashed}
        (tape,) = [line for line in drawing.lines if line.weight == 0.8]
        (size,) = drawing.sizes
        ends = [end[0] for end in size.ends]
        assert sorted((tape.start[0], middle)) == pytest.approx(ends, abs=NEAR)
        if size.words.startswith("lower on"):  # its leading end, the left one, lies at the tape
            assert tape.start[0] == pytest.approx(part[0], abs=NEAR)
            assert full[0] == pytest.approx(middle, abs=0.1)
        (feed,) = [each for each in drawing.arrows if each.tip[1] < part[3]]
        assert feed.way == pytest.approx((-1, 0)) and part[0] < feed.tip[0] < part[2]


def _wide(bounds: tuple[float, ...]) -> float:
    return bounds[2] - bounds[0]
