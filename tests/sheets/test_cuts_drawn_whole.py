"""Every cut of two unlike doors, before it and after it, measured on the paper.

Plane geometry on what is drawn alone: what is left is what was there less what was taken, it lies
on the table and bears where nothing is open, and a detail is the same so many times as large.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

import pytest
from msgspec.structs import replace
from shapely import Geometry, LineString, Point, affinity, box, clip_by_rect, union_all

from setupsheets.lengths import Notation, Unit
from setupsheets.machining.cutting.planes import mm
from setupsheets.sheets.drawings.cut import cut_drawing
from setupsheets.sheets.drawings.scene_paper import Labels
from setupsheets.sheets.drawings.scenes import Bears, DrawnMark, scene_of
from setupsheets.shop.recipes import JigKind
from tests.sheets.drawn_cuts import SCALES, Cut, cuts
from tests.sheets.drawn_lines import (
    INCH,
    NEAR,
    Line,
    Read,
    Said,
    Sized,
    crossed,
    overlapping,
    read_svg,
)

TIMES = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8}
ROOM = 114.0, 44.0
"""mm on the paper for a cut without its detail."""
SIXTY_FOURTH = Fraction(1, 64)
MARGIN = 15.0
"""mm of wood that is drawn past what is cut, where a part goes on, and past the rim of a bit, which
has no height."""


def hatched(cut: Cut, kind: str = "h") -> Geometry:
    """What is taken away, or with another kind what falls off."""
    return union_all(cut.drawing.filled(f"url(#{cut.drawing.name}-{kind})"))


def table_after(cut: Cut) -> Line:
    """The table under what is left, from 3 mm left of the wood to 3 mm past where it stands."""
    level = [line for line in cut.drawing.lines if line.weight == 0.25 and not line.dashed
             and line.start[1] == line.end[1] == cut.table]  # fmt: skip
    return level[-1]


def fence(cut: Cut) -> float:
    """Where the part stands against fence or stop: the right edge of what is drawn of it."""
    right: float = cut.pictures[0].bounds[2]
    return right


def shift(cut: Cut) -> float:
    """How far right the second picture stands of the first."""
    return table_after(cut).end[0] - 3.0 - fence(cut)


def said(cut: Cut, words: str) -> list[Said]:
    return said_in(cut.drawing, words)


def said_in(drawing: Read, words: str) -> list[Said]:
    return [each for each in drawing.words if each.words == words]


def test_what_is_left_is_what_was_there_less_what_was_taken() -> None:
    for cut in cuts():
        before, after = cut.pictures
        gone = hatched(cut).union(hatched(cut, "o"))
        left = affinity.translate(before.difference(gone), shift(cut))
        assert after.symmetric_difference(left).area < 0.6, cut.drawing.name
        assert gone.area > 0.05 and left.area > 1, cut.drawing.name
        falls_off = bool(cut.drawing.filled(f"url(#{cut.drawing.name}-o)"))
        assert falls_off == ("Wide hatching: falls off." in cut.below), cut.drawing.name


def test_wood_is_drawn_whole_or_broken_off_past_the_cut() -> None:
    """As wide and high as the part is thick, wide or long; where it is not a zigzag stands across
    it, a margin past the cut and the cutter."""
    broken = 0
    for cut in cuts():
        subject = cut.found.task.set_up.subject
        whole = [mm(each) for each in (subject.width, subject.thickness, subject.length)]
        left, top, right, foot = cut.pictures[0].bounds
        past = union_all([hatched(cut), cut.drawing.clipped[0].shape]).bounds
        zigzags = sorted(breaks(cut))
        for size, edges, upright, reach in (
            (right - left, (left, left + shift(cut)), True, left - past[0]),
            (foot - top, (top, top), False, top - past[1]),
        ):
            here = [each for each, stands in zigzags if stands is upright]
            assert here in ([], pytest.approx(edges, abs=NEAR)), cut.drawing.name
            if here:
                assert MARGIN - 0.2 < -reach / cut.scale < MARGIN + 2.0, cut.drawing.name
            else:
                assert any(size / cut.scale == pytest.approx(one, abs=0.1) for one in whole)
            broken += bool(here)
    assert broken > 20


def test_an_end_is_broken_off_however_little_more_of_it_there_is() -> None:
    """Of 1 1/4 in stuff more than the margin twice over is drawn past a cope; of thinner stuff it
    is 10 mm, and the part goes on all the same."""
    (cut,) = [each for each in cuts() if each.drawing.name == "in-44"]
    stage, subject, broken = cut.found.task.stage, cut.found.task.set_up.subject, cut.scene.opening
    assert stage is not None and broken[0] is not None
    thinner = replace(stage, before=clip_by_rect(stage.before, -1, -1, broken[0] + 10.0, 999))
    scene = scene_of(thinner, subject, Notation(Unit.IN, SIXTY_FOURTH), cut.found.supports)
    assert scene is not None and scene.opening == broken and scene.width == broken[0]
    # On end it goes on upwards as far past the cut, or as far as it is seen at all from above.
    run = stage.cut.runs[0]
    (a, b, x), (d, e, y) = run.placement.across, run.placement.up
    on_end = replace(run, placement=replace(run.placement, across=(b, a, x), up=(e, d, y)))
    standing = replace(thinner, cut=replace(stage.cut, runs=(on_end,)))
    scene = scene_of(standing, subject, Notation(Unit.IN, SIXTY_FOURTH))
    assert scene is not None and scene.opening[0] is None
    assert scene.opening[1] == scene.height == pytest.approx(broken[0])


def breaks(cut: Cut) -> Iterator[tuple[float, bool]]:
    """Where each zigzag stands, and whether it is upright: thin lines of five steps."""
    thin = [line for line in cut.drawing.lines if line.weight == 0.25 and not line.dashed]
    for at in range(len(thin) - 4):
        run = thin[at : at + 5]
        if all(one.end == other.start for one, other in pairwise(run)):
            upright = abs(run[0].start[0] - run[-1].end[0]) < NEAR
            yield run[0].start[0 if upright else 1], upright


def test_the_part_bears_in_both_pictures_where_it_lies_clear_of_the_opening() -> None:
    """Black under all of its foot but for 3/8 in of the saw's insert, 2 in of the router table, or
    as wide as the cutter is (common practice, no source); and beside it where it lies against the
    fence. What is left is drawn as it lay first, though its other sight edge was worked since."""
    for cut in cuts():
        black = [each.bounds for each in cut.drawing.filled("#000")]
        (before, after), cutter = cut.pictures, cut.drawing.clipped[0].shape
        left, _, right, low = cutter.bounds
        operation = cut.found.task.operation
        is_bit = operation.cutter is not None and "bit" in operation.cutter.type
        least = (2.0 if is_bit else 0.375) * INCH * cut.scale
        half = max(right - left, least) / 2 + 0.1 if low > cut.table else 0.0
        over = (left + right) / 2
        is_turned = len(cut.found.supports) > 1 and "edge" in (operation.asks.against or "")
        turned = before.bounds[0] + before.bounds[2] - over if is_turned else over
        between = (before.bounds[2] + table_after(cut).start[0]) / 2
        for wood, middle in ((before, over), (after, turned + shift(cut))):
            at_table = [each for each in black if each[1] == cut.table]
            under = [each for each in at_table if (each[0] > between) == (wood is after)]
            lies = union_all([level(x0, x1) for x0, _, x1, _ in under])
            y = cut.table - 0.02
            foot = affinity.translate(wood.intersection(level(-9, 999, y)), 0, -y)
            opening = level(middle - half, middle + half)
            name = cut.drawing.name
            assert under and lies.difference(foot.buffer(0.1)).length < 0.01, name
            assert lies.intersection(opening).length < 0.5, name
            assert foot.difference(lies.buffer(0.05)).difference(opening).length < 0.1, name
        beside = [each for each in black if each[1] != cut.table]
        middles = [Point(fence(cut) - 0.1, (each[1] + each[3]) / 2) for each in beside]
        assert all(each[0] == pytest.approx(fence(cut), abs=NEAR) for each in beside)
        assert beside and all(each.within(before.buffer(0.05)) for each in middles)
    assert len(cuts()) > 50


def test_a_filler_strip_lies_where_it_widens_what_the_part_stands_on() -> None:
    """On the side of the fence or on the other; nothing is drawn of one that widens nothing."""
    (found,) = [each.found for each in cuts() if each.drawing.name == "in-63"]
    (first, *others), stage = found.supports, found.task.stage
    assert stage is not None
    high = mm(found.task.operation.jig(JigKind.FILLS).sizes["height"])  # type: ignore[union-attr]
    near, far = first.before.table[0][0], first.before.table[-1][1]
    for base, strip in (
        ((near - 4.0, far), ((near - 4.0, near), high)),
        ((near, far + 4.0), ((far, far + 4.0), high)),
        ((near, far), None),
        (None, None),
    ):
        stands = replace(first, before=replace(first.before, base=base)), *others
        scene = scene_of(stage, found.task.set_up.subject, Notation(Unit.IN, SIXTY_FOURTH), stands)
        assert scene is not None and scene.bears.filler == strip
    none = replace(first.before, table=(), beside=())
    scene = scene_of(stage, found.task.set_up.subject, Notation(Unit.IN, SIXTY_FOURTH),
                     (replace(first, before=none), *others))  # fmt: skip
    assert scene is not None and scene.bears.filler is None


def level(left: float, right: float, y: float = 0.0) -> LineString:
    return LineString([(left, y), (right, y)])


def test_table_and_fence_stand_where_the_part_does_with_their_words() -> None:
    """A spacer as thick as the recipe says stands between fence and part, drawn as room."""
    for cut in cuts():
        stands, name = cut.found.task.operation.spacer, cut.drawing.name
        table, rest = [each.bounds for each in cut.drawing.filled("#f1f1f1")][:2]
        assert table[1::2] == pytest.approx((cut.table, cut.table + 5), abs=NEAR), name
        assert table[0] == pytest.approx(cut.pictures[0].bounds[0] - 12, abs=NEAR), name
        assert rest[0] == pytest.approx(fence(cut) + mm(stands) * cut.scale, abs=NEAR), name
        assert rest[2] == pytest.approx(rest[0] + 7, abs=NEAR), name
        assert table[2] == pytest.approx(rest[2], abs=NEAR), name
        assert rest[3] == cut.table and rest[1] <= cut.pictures[0].bounds[1] - 3 + NEAR, name
        for x, weight in ((rest[0], 0.5), (table[0], 0.5)):
            assert any(line.weight == weight and line.start[0] == x for line in cut.drawing.lines)
        for words, (left, top, right, foot) in (("table", table), ("fence", rest)):
            (word,) = said(cut, words)
            assert left < word.box[0] and word.box[2] < right, name
            assert top < word.box[1] and word.box[3] < foot, name
        (fence_word,) = said(cut, "fence")
        cutter = cut.drawing.clipped[0].shape
        far = rest[3] - fence_word.box[3], fence_word.box[1] - rest[1]
        head = cutter.bounds[1] < cut.pictures[0].bounds[1] - 0.01  # from above it hides the head
        assert (far[0] < far[1]) == head or abs(far[0] - far[1]) < 1.0, name


def test_every_word_stands_at_what_it_names() -> None:
    """Headings over their pictures, sides along their own edges, the cutter beside itself; nothing
    on a line or on another word, and all on the paper."""
    seen = dict.fromkeys(("foot", "head", "near", "far"), 0)
    for cut in cuts():
        (before, after), drawing = cut.pictures, cut.drawing
        assert not [*overlapping(drawing)] and not [*crossed(drawing)], drawing.name
        for word in drawing.words:
            left, top, right, foot = word.box
            assert left > 0 and top > -0.4, (drawing.name, word.words)
            assert right < drawing.width and foot < drawing.height, (drawing.name, word.words)
        for words, wood in (("before", before), ("after", after)):
            (word,) = said(cut, words)
            assert word.bold and word.at == pytest.approx((wood.bounds[0], 4.0), abs=NEAR)
        (down,) = said(cut, "foot down")
        assert 1 < down.box[0] - said(cut, "before")[0].box[2] < 2
        stays = affinity.translate(after, -shift(cut)).buffer(NEAR)
        left, top, right, foot = before.bounds
        for words, edge, side in (("foot", foot, 3), ("head", top, 1), ("near", right, 2),
                                  ("far", left, 0)):  # fmt: skip
            for word in said(cut, words):
                assert word.upright is (side in (0, 2)), drawing.name
                assert stays.contains(box(*word.box)), drawing.name
                assert abs(word.box[side] - edge) == pytest.approx(1.3, abs=0.3), drawing.name
                seen[words] += 1
        (word,) = said(cut, "cutter")
        low, _, high, _ = drawing.clipped[0].shape.bounds
        apart = max(low - word.box[2], word.box[0] - high)
        assert apart < 2.7 or "detail" in cut.below, drawing.name  # from a bit's rim, or the frame
        broken = {upright for _, upright in breaks(cut)}
        assert not (True in broken and said(cut, "far")), drawing.name
        assert not (False in broken and said(cut, "head")), drawing.name
    assert min(seen.values()) > 8, seen


@pytest.mark.parametrize("is_level", [True, False])
def test_a_side_is_named_clear_of_the_lines_to_a_setting_wherever_that_is(is_level: bool) -> None:
    """On wood 30 by 30 mm the line to a level size runs down from the cutter, those to an upright
    one from the left to it; a name goes out of their way, and seldom out of the drawing."""
    ring = ((0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0), (0.0, 0.0))
    plain = replace(cuts()[0].scene, before=(ring,), after=(ring,), removed=(), offcuts=(),
                    width=30.0, height=30.0, opening=(None, None), bears=Bears())  # fmt: skip
    places: list[int] = []
    words, axis = ("foot", 0) if is_level else ("far", 1)
    for figure in range(1, 27):
        beside = 20.0 if is_level else 5.0
        mark = DrawnMark("", "1 in", is_level, float(figure), figure + 3.0, beside)
        scene, labels = replace(plain, marks=(mark,)), cuts()[0].labels
        drawn = cut_drawing("one", "One", scene, labels, after=False)[0]
        drawing = read_svg(drawn.svg, f"{words} {figure}")
        assert [*crossed(drawing), *overlapping(drawing)] == [], drawing.name
        wood = max(drawing.filled("#fff"), key=lambda area: area.area).bounds
        off = [(each.box[axis] + each.box[axis + 2] - wood[axis] - wood[axis + 2]) / 2
               for each in said_in(drawing, words)]  # fmt: skip
        places += map(round, off)
    assert 0 in places and len({*places}) > 1 and len(places) > 15


def test_a_small_cut_is_drawn_once_more_as_large_as_its_room_holds() -> None:
    """What is in the dotted frame of the picture, so many times as large, beside the pictures in 30
    by 30 mm or below them in 40 by 22; smaller than 6 mm everywhere or than 1.5 mm somewhere is
    small."""
    beside = below = 0
    for cut in cuts():
        drawing, name = cut.drawing, cut.drawing.name
        dashed = [line for line in drawing.lines if line.dashed]
        parts = [piece.bounds for piece in getattr(cut.taken, "geoms", [cut.taken])]
        left, top, right, foot = max(parts, key=lambda each: each[2])  # the nearest to the fence
        size = right - left, foot - top
        told = re.search(r"the detail (\w+) times as large", cut.below)
        assert bool(told) == bool(dashed) == bool(said(cut, "detail")), name
        if abs(max(size) - 6.0) > 0.05 and abs(min(size) - 1.5) > 0.05:
            assert bool(told) == (max(size) < 6.0 or min(size) < 1.5), (name, size)
        if told is None:
            continue
        times = TIMES[told[1]]
        large, small = (
            union_all([line.shape for line in each]).bounds for each in (dashed[:4], dashed[4:])
        )
        more = 0.4 * max(size)
        assert small[::2] == pytest.approx((left - more, right + more), abs=0.05), name
        ends = top - more, foot + min(more, max(0.0, cut.table - foot) + more)
        assert small[1::2] == pytest.approx(ends, abs=0.05), name
        wide, high = large[2] - large[0], large[3] - large[1]
        assert (wide, high) == pytest.approx(
            ((small[2] - small[0]) * times, (small[3] - small[1]) * times), abs=0.15
        ), name
        (word,) = said(cut, "detail")
        assert word.at == pytest.approx((large[0], large[1] - 2.0), abs=NEAR) and word.bold
        pictures = union_all([*cut.pictures, *drawing.filled("#f1f1f1")])
        assert not box(*large).buffer(0.5).intersects(pictures), name
        assert large[2] < drawing.width and large[3] < drawing.height, name
        is_below = large[1] > cut.table
        room = (min(40.0, ROOM[0] - large[0] - 1.0), 22.0) if is_below else (30.0, 30.0)
        assert times == 2 or (wide < room[0] + 0.05 and high < room[1] + 0.05), name
        following = [each for each in TIMES.values() if each > times]
        if following:
            bigger = following[0] / times
            assert wide * bigger > room[0] - 0.2 or high * bigger > room[1] - 0.2, name
        for kind in ("h", "o"):
            big = [each.shape for each in drawing.clipped if each.fill == f"url(#{name}-{kind})"]
            seen = hatched(cut, kind).intersection(box(*small))
            moved = affinity.translate(seen, large[0] - small[0], large[1] - small[1])
            held = affinity.scale(moved, times, times, origin=(large[0], large[1]))
            shown = union_all(big).intersection(box(*large))
            assert held.symmetric_difference(shown).area < 0.12 * max(1.0, shown.length), name
        below, beside = below + is_below, beside + (not is_below)
    assert below > 5 and beside > 5


def test_a_detail_below_a_picture_alone_lies_under_all_that_belongs_to_it() -> None:
    """A long name of its lower side makes the picture so wide that nothing has room beside it."""
    (cut,) = [each for each in cuts() if each.drawing.name == "in-33"]
    wide = Labels("the side that has the longest name of all", "", "", "", "fence", "cutter")
    drawing = read_svg(cut_drawing("alone", "Alone", cut.scene, wide, after=False)[0].svg, "alone")
    dashed = [line for line in drawing.lines if line.dashed]
    large = box(*union_all([line.shape for line in dashed[:4]]).bounds)
    words = [box(*each.box) for each in drawing.words]
    rest = [*words, *(line.shape for line in drawing.lines if not line.dashed)]
    assert not [each for each in rest if each.intersects(large)]
    assert min(each.distance(large) for each in rest if each.length) > 1.0
    assert large.bounds[1] > max(each.ends[0][1] for each in drawing.sizes)
    assert large.bounds[3] < drawing.height and not said_in(drawing, "after")


def test_every_setting_is_sized_from_fence_or_table_to_the_cutter() -> None:
    """As long as its figure at the drawing's scale; a depth from the top of the wood."""
    for cut in cuts():
        settings = {each.name: each for each in cut.found.task.operation.settings}
        rest = cut.drawing.filled("#f1f1f1")[1].bounds[0]
        taken, cutter = cut.taken.bounds, cut.drawing.clipped[0].shape.bounds
        assert len(cut.drawing.sizes) == len(settings), cut.drawing.name
        for size in cut.drawing.sizes:
            (name,) = [each for each in settings if each in named(cut, size)]
            long = mm(settings[name].aim) * cut.scale
            assert size.long == pytest.approx(long, abs=NEAR), (cut.drawing.name, name)
            axis = 0 if size.level else 1
            ends = [end[axis] for end in size.ends]
            begins = rest if size.level else cut.table
            if name == "depth":
                begins = cut.pictures[0].bounds[1]
            assert begins == pytest.approx(min(ends, key=lambda end: abs(end - begins)), abs=NEAR)
            other = max(ends, key=lambda end: abs(end - begins))
            off = min(abs(other - edge) for edge in (*cutter[axis::2], *taken[axis::2]))
            rim = 1.65 * cut.scale if name == "fence" else 0.0  # of a bit: it has no height
            assert off < NEAR + rim, (cut.drawing.name, name)


def test_a_cut_is_drawn_at_the_greatest_scale_that_its_room_holds() -> None:
    """The next one would be too wide or too high: both pictures grow with it, their words do not.
    A word may come into a row of its own then, or out of it: 4.4 mm."""
    scales = sorted(SCALES.values())
    for cut in cuts():
        (width, height), name = ROOM, cut.drawing.name
        left, top, right, foot = cut.pictures[0].bounds
        assert cut.drawing.width < width + 0.01, name
        assert cut.drawing.height < height + 0.01 or said(cut, "detail"), name
        times = scales[scales.index(cut.scale) + 1] / cut.scale - 1
        wide = table_after(cut).end[0] + 1 + 2 * (right - left) * times
        lines = [line.end[1] for line in cut.drawing.lines if not line.dashed]
        high = max(lines) + (foot - top) * times
        assert wide > width - 2 or high > height - 2, name


def test_what_is_drawn_is_told_in_a_sentence_too_and_what_is_rare_in_it_below() -> None:
    """What lies down and against what, and every figure with its name, for who cannot see it."""
    for cut in cuts():
        told = re.fullmatch(
            r"Before the cut: foot down on the table, near against the fence, and what the cutter"
            r" takes\. Dimensioned: (.*)\. After it\.",
            cut.drawing.description,
        )
        assert told, cut.drawing.description
        sizes = sorted(words_of(cut, size) for size in cut.drawing.sizes)
        assert sorted(re.sub(r" \(.*?\)", "", told[1]).split("; ")) == sizes, cut.drawing.name
        assert cut.below.endswith(".")
        spacer = bool(cut.found.task.operation.spacer)
        assert spacer == (". Between part and fence: the spacer, taken out." in cut.below)
        assert bool(cut.scene.bears.filler) == (". Crossed: filler strip." in cut.below)
    bare, cut = Labels("", "", "", "", "fence", "cutter"), cuts()[0]
    scene = replace(cut.scene, fence=False, marks=())
    drawing, _ = cut_drawing("bare", "Bare", scene, bare, after=False)
    assert drawing.description == (
        "Before the cut: the part on the table, and what the cutter takes."
    )


def words_of(cut: Cut, size: Sized) -> str:
    """Name and figure of a size, without what is light."""
    over, _, _ = named(cut, size).partition(f" {size.words}")
    return size.words if size.level else f"{over.partition(',')[0]} {size.words}"


def named(cut: Cut, size: Sized) -> str:
    """The words of a size, with the small ones over the figure of an upright one."""
    figure = min(said(cut, size.words), key=lambda each: abs(each.at[0] - size.ends[0][0]))
    over = [
        each.words
        for each in cut.drawing.words
        if not size.level
        and not each.bold
        and abs(each.box[2] - figure.box[2]) < NEAR
        and 0 < figure.at[1] - each.at[1] < 6
    ]
    return " ".join([*over, size.words])
