"""The printed words followed to the letter: which ends, which edges, from which line.

Nothing is read here but the Markdown that a maker has, and the design that it should come to. What
the figures cut is told in `test_printed_shapes`. A saw's blade must not meet its stop.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import takewhile
from pathlib import Path

import pytest

from setupsheets.joinery.leaf import whole
from setupsheets.joinery.members.parts import Joinery, Part, Role
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.machining.findings import findings_of
from setupsheets.records.shop_records import ShopRecords
from setupsheets.sheets.content.inputs import OnRecord, SheetInputs
from setupsheets.sheets.making import make_sheets, sheets_of
from setupsheets.sheets.pages.pages import to_markdown
from setupsheets.shop.jobs import Through
from setupsheets.shop.recipes import Makes
from tests.machining.shipped_shop import (
    PROFILES,
    SHAPES,
    UNITS,
    Shipped,
    plan,
    recipes_that_make,
    thing,
)
from tests.machining.test_shipped_proofs import NARROW, SLENDER, VARIANTS, variant
from tests.sheets import sheet_plans

# A job for each recipe, every one with another moulding, and two doors so narrow that their rails
# and cross bars are made in longer pieces: inches and millimetres in turn.
MADE_UP = [(("inch", "metric")[number % 2], number) for number in range(VARIANTS + 2)]
JOBS = [*sheet_plans.JOBS, *(f"{unit} {number}" for unit, number in MADE_UP)]


@dataclass(frozen=True)
class Printed:
    """One operation as it is printed: what a maker reads at the machine."""

    machine: str
    title: str
    facts: dict[str, str]
    bold: dict[str, Length]
    stands: dict[str, Length]  # where a machine truly is when set to what is printed in bold
    spacer: Length
    text: str

    @property
    def parts(self) -> list[str]:
        """By name, however many of them lie in one length."""
        named = [each.partition(" × ")[2] for each in self.facts["Parts"].split(", ")]
        return [re.sub(r" in \d+ lengths? of .*$| left .* long$", "", each) for each in named]


@dataclass(frozen=True)
class Sheet:
    """A job's Markdown, and the design that it is for."""

    text: str
    joinery: Joinery
    unit: Unit

    def length(self, text: str) -> Length:
        """A figure as it is printed: `21/32 in full by .005 in` is so much over the mark."""
        plain, _, more = text.replace("\\", "").partition(" full by ")
        plain, _, less = plain.partition(" scant by ")
        figure = read_length(plain, self.unit)
        if more:
            return figure + read_length(more, self.unit)
        return figure - read_length(less, self.unit) if less else figure


@cache
def sheet(job: str) -> Sheet:
    if job in sheet_plans.JOBS:
        shop, of = sheet_plans.shop(job), sheet_plans.plan(job)
        made = make_sheets(ShopRecords(shop), of, sheet_plans.DATE).content
        return Sheet(to_markdown(made), of.joinery, shop.settings.unit)
    unit, _, index = job.partition(" ")
    number = int(index)
    narrow = {VARIANTS: Through.UPRIGHT, VARIANTS + 1: Through.HALVED}.get(number)
    of = (
        plan("ogee", unit, {}, cutters=SLENDER[unit], through=narrow, wide=NARROW)
        if narrow
        else plan(SHAPES[number % len(SHAPES)], unit, variant(number), cutters=SLENDER[unit],
                  through=Through.HALVED if number else Through.CROSS)
    )  # fmt: skip
    settings = Shipped(unit).settings
    oak = thing(Path(PROFILES) / "timbers" / "white-oak.yaml")
    found = findings_of(of, settings, True)
    inputs = SheetInputs(of, settings, OnRecord({}), [], found, sheet_plans.DATE, "oak")
    made = sheets_of(inputs, whole(of.joinery, oak, settings.finest_mark, settings.unit))  # type: ignore[arg-type]
    return Sheet(to_markdown(made), of.joinery, UNITS[unit])


def operations(of: Sheet) -> Iterator[Printed]:
    """Every operation by itself, as its machine's sheet tells it: what is told of its whole block,
    and what its own rows say."""
    for page in re.split(r"^# ", of.text, flags=re.MULTILINE)[1:]:
        machine, _, rest = page.partition("\n")
        for block in re.split(r"^## (?=\*\*\d)", rest, flags=re.MULTILINE)[1:]:
            facts = dict(re.findall(r"^- \*\*(\w[\w ]*)\*\* (.*)$", block, re.MULTILINE))
            title = block.partition("\n")[0].partition("** ")[2]
            rows = own_rows(block)
            for number, own in rows.items():
                first = rf"\| {number} \|" if len(rows) > 1 else r"\|"
                rows_of = re.findall(rf"^{first} (.*?)\. \*By (.*\*\*.*)$", block, re.MULTILINE)
                found = [(title, cells(f"|{rest}|")) for title, rest in rows_of]
                spacer = re.search(r"the (.*?) spacer, ", (facts | own).get("Against", ""))
                yield Printed(
                    machine,
                    title,
                    facts | own,
                    {title: bold(of, told) for title, told in found},
                    {title: bold(of, told) + reads_wrong(of, told) for title, told in found},
                    of.length(spacer[1].strip()) if spacer else Length.ZERO,
                    only(block, number),
                )


def bold(of: Sheet, row: list[str]) -> Length:
    """The figure to set."""
    return of.length(next(cell for cell in row if cell.startswith("**")).split("**")[1])


def reads_wrong(of: Sheet, row: list[str]) -> Length:
    """How much further than the figure on its dial the machine is told to stand."""
    told = re.search(r"come out (.*?) (over|under) what is dialled", " ".join(row))
    if told is None:
        return Length.ZERO
    return of.length(told[1]) if told[2] == "over" else -of.length(told[1])


def own_rows(block: str) -> dict[str, dict[str, str]]:
    """By number what a block's table of its operations says of each; one that stands alone has no
    such table."""
    lines = iter(block.splitlines())
    heads = next((cells(line) for line in lines if line.startswith("| No. | Parts |")), None)
    if heads is None:
        return {block.partition("**")[2].partition("**")[0]: {}}
    next(lines)
    rows = (cells(line) for line in takewhile(bool, lines))
    return {
        row[0]: {head: words for head, words in zip(heads, row, strict=True) if words}
        for row in rows
    }


def cells(line: str) -> list[str]:
    return [cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]]


def only(block: str, number: str) -> str:
    """A block without the lines that are told of other operations alone."""
    told = re.compile(r"- \*\*\w+\*\* Operations? ([\d, –]+): ").match
    return "\n".join(
        re.sub(r"(?<=\*\* )Operations? [\d, –]+: ", "", line)
        for line in block.splitlines()
        if not (found := told(line)) or number in numbers_in(found[1])
    )


def numbers_in(words: str) -> set[str]:
    """`3, 5–6` as numbers."""
    found: set[str] = set()
    for each in words.split(", "):
        first, _, last = each.partition("–")
        found |= {str(number) for number in range(int(first), int(last or first) + 1)}
    return found


def told(printed: Printed, part: str) -> str:
    """What `Do` says of one part."""
    for each in printed.facts.get("Do", "").split("; "):
        names, colon, words = each.partition(": ")
        if not colon or part in re.split(r", | and ", names):
            return words if colon else each
    # Where the number of another operation stands behind a colon, one sentence is for all.
    return printed.facts.get("Do", "")


def ends_told(printed: Printed, part: Part) -> set[int]:
    """The ends that a maker would cut: counted as the part's own."""
    words = told(printed, part.name)
    if "both ends" in words:
        return {0, 1}
    named = re.match(r"one end alone, the (left|right|upper|lower) end,", words)
    if named:
        return {("left", "right", "upper", "lower").index(named[1]) % 2}
    into = re.search(r"the one that goes into (.*?) \(", words)
    assert into, (printed.title, part.name, words)
    names = [name.removeprefix("the ") for name in into[1].split(" or ")]
    found = {index for index, takes in enumerate(part.into) if set(names) == set(takes)}
    if len(found) == 2 and ("each length" in words or "cut last" in words):
        return {"cut last" in words}  # either end of the length first, then what lay between
    assert len(found) == 1, (part.name, names)
    return found


def cut_ends(of: Sheet, begins: str) -> Iterator[tuple[Printed, Part, int]]:
    """Every end that an operation of that beginning is told for."""
    parts = {part.name: part for part in of.joinery.parts}
    for printed in operations(of):
        if printed.title.startswith(begins):
            for name in printed.parts:
                for end in ends_told(printed, parts[name]):
                    yield printed, parts[name], end


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("begins", ["Back cheek", "Cope the face"])
def test_every_end_is_told_once(job: str, begins: str) -> None:
    of = sheet(job)
    found = [(part.name, end) for _, part, end in cut_ends(of, begins)]
    assert sorted(found) == sorted(
        (part.name, end) for part in of.joinery.parts for end in range(len(part.ends))
    )


@pytest.mark.parametrize("job", JOBS)
def test_no_blade_meets_its_stop(job: str) -> None:
    """A blade is an eighth of an inch or 3.2 mm wide at the least: a stop that is nearer to its far
    side is sawn."""
    for printed in operations(sheet(job)):
        if "cheek" in printed.title and "saw" in printed.machine.lower():
            (stop,) = [at for title, at in printed.bold.items() if "far side of the " in title]
            assert stop > Length("1/8 in"), printed.text


def edges_of(part: Part, grooved: bool | None) -> set[int]:
    """The sight edges of the design that have a rebate, or a groove; all of them for None."""
    edges = set(range(part.sight_edges))
    if grooved is None or not part.stretches:
        return edges if not grooved else set()
    return {each.edge for each in part.stretches if (each.groove is not None) is grooved}


NAMES = {
    Role.RAIL: {"lower": 0, "upper": 1},
    Role.CROSS_BAR: {"lower": 0, "upper": 1},
    Role.UPRIGHT_BAR: {"left": 0, "right": 1},
    Role.STILE: {},
}


def edges_told(printed: Printed, part: Part) -> set[int]:
    words = told(printed, part.name)
    if "sight edge" in words:
        assert part.sight_edges == 1, (part.name, words)
        return {0}
    return {edge for name, edge in NAMES[part.role].items() if re.search(rf"\b{name}\b", words)}


EDGE_WORK = {
    Makes.REBATE: ("Rebate", "First cut", "Second cut", "Nibble"),
    Makes.GROOVE: ("Groove, ",),
    Makes.STICKING: ("Mould the sight edge",),
    Makes.BAR: ("Mould the edges",),
}


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("makes", EDGE_WORK)
def test_the_edges_that_are_told_are_those_of_the_design(job: str, makes: Makes) -> None:
    of = sheet(job)
    bars = (Role.CROSS_BAR, Role.UPRIGHT_BAR)
    grooved = {Makes.REBATE: False, Makes.GROOVE: True}.get(makes)
    wanted = {
        part.name: edges
        for part in of.joinery.parts
        if (part.role in bars) == (makes is Makes.BAR) and (edges := edges_of(part, grooved))
    }
    parts = {part.name: part for part in of.joinery.parts}
    found: dict[str, set[int]] = {}
    for printed in operations(of):
        if printed.title.startswith(EDGE_WORK[makes]) and "Do" in printed.facts:
            for name in printed.parts:
                assert found.setdefault(name, edges_told(printed, parts[name])) == edges_told(
                    printed, parts[name]
                )
    assert found == wanted


@pytest.mark.parametrize("job", JOBS)
def test_every_mortise_is_chopped_in_its_edge_from_one_mark_to_the_other(job: str) -> None:
    """The outermost centres, less half the tool at either end, are the mortise's own two marks,
    from the blank's end: the horn or the tenon further off than from the leaf's line. All to the
    shop's marks, 1/64 in or 0.5 mm."""
    of, found = sheet(job), set()
    tools = {Unit.IN: r"([\d /]+ in|[\d.]+ mm)", Unit.MM: r"([\d.]+ mm)"}[of.unit]
    for printed in operations(of):
        lines = re.findall(r"^- \*\*Centres\*\* (.*)$", printed.text, re.MULTILINE)
        tool = re.search(tools, printed.facts.get("Cutter", "")) if lines else None
        for words in lines:
            assert tool
            where, _, mortises = words.rpartition(": ")
            name = re.split(r"^Operations? [\d–, ]+: ", where)[-1].partition(", ")[0]
            part, half = of.joinery.part(name), of.length(tool[1].strip()) / 2
            assert ("from the blank's " in where) == bool(part.datum)
            for figures in mortises.split("; "):
                low, high = _span(of, figures)
                for edge in edges_told_in(where, part):
                    found.add((name, edge, low - part.datum - half, high - part.datum + half))
    wanted = [*of.joinery.mortises, *of.joinery.haunches]
    assert len(found) == len({(m.part, m.edge, m.start, m.end) for m in wanted})
    for mortise in wanted:
        assert any(
            (name, edge) == (mortise.part, mortise.edge)
            and abs(start - mortise.start) <= Length("0.5 mm")
            and abs(end - mortise.end) <= Length("0.5 mm")
            for name, edge, start, end in found
        ), mortise


def edges_told_in(words: str, part: Part) -> set[int]:
    if ", sight edge," in words:
        return {0}
    head = words.partition(", from ")[0]
    return {edge for name, edge in NAMES[part.role].items() if re.search(rf"\b{name}\b", head)}


def _span(of: Sheet, words: str) -> tuple[Length, Length]:
    """The least and the greatest figure of a row of centres."""
    figures = [of.length(each) for each in re.findall(r"\d[\d /.]* (?:in|mm)", words)]
    return min(figures), max(figures)


def test_every_built_in_recipe_is_among_the_jobs() -> None:
    """Of ends, edges and mortises; both units have their turn."""
    chosen = {name for number in range(VARIANTS) for name in variant(number).values()}
    for makes in (Makes.COPE, Makes.MORTISE, Makes.HALVING, *EDGE_WORK):
        assert set(recipes_that_make(makes)) <= chosen
    assert len(JOBS) == len(sheet_plans.JOBS) + VARIANTS + 2 and dict(MADE_UP).keys() == set(UNITS)


def test_words_that_are_wrong_do_not_pass() -> None:
    """Both ends told for a bar whose ends differ leave other lengths, as the reader here sees."""
    of = sheet("larder")
    wrong = re.sub(r"one end alone, the one that goes into .*? \(the other end: .*?\)",
                   "both ends", of.text)  # fmt: skip
    assert wrong != of.text
    cut = [(part.name, end) for _, part, end in cut_ends(replace(of, text=wrong), "Back cheek")]
    right = [(part.name, end) for _, part, end in cut_ends(of, "Back cheek")]
    assert len(right) == len(set(right)) == sum(len(part.ends) for part in of.joinery.parts)
    assert len(cut) > len(set(cut))
