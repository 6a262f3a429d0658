"""Where on a part: its ends by what takes them, its edges by their names, and from which line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from setupsheets.joinery.members.parts import Part, Role
from setupsheets.joinery.members.plunges import Plunges
from setupsheets.lengths import Length, Notation
from setupsheets.machining.findings import MortisePlunges, PartPlace
from setupsheets.machining.operations import WorkedAt
from setupsheets.shop.recipes import Makes, Work
from setupsheets.wording.lists import either, in_a_row, listed, many, numbers


class Lie(Struct, frozen=True):
    """How a part lies, seen from outside: its edges in the order of a mortise's ``edge``, its ends
    in the order of its ``ends``, the line that mortises and marks along it count from, and the end
    of the blank, cut to length with horn or tenon, that lies beyond that."""

    edges: tuple[str, str]
    ends: tuple[str, str]
    datum: str
    blank_end: str


_UPRIGHT, _ACROSS = ("upper end", "lower end"), ("left end", "right end")
_LOWER, _LEFT = "the lower sight edge of the opening", "the left sight edge of the opening"
_LIES_ACROSS = Lie(("lower edge", "upper edge"), _ACROSS, _LEFT, "left end")
_STANDS = Lie(("left edge", "right edge"), _UPRIGHT, _LOWER, "lower end")

LIES: Mapping[Role, Lie] = {
    Role.STILE: Lie(("sight edge", "outer edge"), _UPRIGHT, "the leaf's bottom line", "lower end"),
    Role.RAIL: _LIES_ACROSS,
    Role.CROSS_BAR: _LIES_ACROSS,
    Role.UPRIGHT_BAR: _STANDS,
    Role.MIDDLE_STILE: _STANDS,
}


def edge_name(part: Part, edge: int) -> str:
    """`upper edge`; a part with one moulded edge has the sight edge and no other."""
    return "sight edge" if part.sight_edges == 1 else LIES[part.role].edges[edge]


def edges_words(part: Part, edges: Iterable[int]) -> str:
    """`sight edge`, `upper edge`, `both edges, lower and upper`."""
    names = [edge_name(part, edge) for edge in edges]
    if len(names) < 2:
        return "".join(names)
    return f"both edges, {' and '.join(name.partition(' ')[0] for name in names)}"


def parts_words(counts: Mapping[str, int], places: Iterable[PartPlace], notation: Notation) -> str:
    """`4 × end cross bar in 2 lengths of 370 mm, 2 × top rail left 300 mm long`: what comes to the
    machine."""
    lying = {each.part.name: each for each in places if each.apart is not None}

    def words(name: str, count: int) -> str:
        place = lying.get(name)
        if place is None or place.part.long is None:
            return f"{count} × {name}"
        so_long = notation.show(place.place.length or place.part.long.length)
        if place.part.long.holds == 1:
            return f"{count} × {name} left {so_long} long"
        return f"{count} × {name} in {many(place.part.pieces, 'length')} of {so_long}"

    return in_a_row([words(name, count) for name, count in counts.items()])


def lengths_words(places: Iterable[PartPlace]) -> str:
    """How short parts lie in the longer pieces that they are made in; empty where none do.

    `end cross bar: two in each length, one from either end; cut apart at operation 57`,
    `top rail: cut to its own length at operation 58`.
    """
    said = []
    for each in places:
        if each.apart is None or each.part.long is None:
            continue
        part, holds = each.part, each.part.long.holds
        spare = " and one to spare" if part.count % holds else ""
        words = (
            "cut to its own length at"
            if holds == 1
            else f"two in each length, one from either end{spare}; cut apart at"
        )
        said.append(f"{part.name}: {words} operation {each.apart}")
    return "; ".join(said)


def plunge_words(found: Iterable[MortisePlunges], notation: Notation) -> Iterator[str]:
    """Where the chisel or bit goes down along every mortise, in the order to do it: from the end of
    the blank that lies beyond the line that the story stick counts from, told once for all that
    lie in the same edges of a part."""
    alike: dict[str, list[str]] = {}
    for each in found:
        part, at = each.part, each.at
        end = f"the blank's {LIES[part.role].blank_end}" if part.datum else LIES[part.role].datum
        where = f"{part.name}, {edges_words(part, each.edges)}, from {end}"
        told = _centres(at, part.datum, notation) if at else "the tool is longer than the mortise"
        alike.setdefault(where, []).append(f"for the {each.mortise.holds} {told}")
    for where, mortises in alike.items():
        yield f"{where}: {'; '.join(mortises)}"


def _centres(at: Plunges, more: Length, notation: Notation) -> str:
    ends, between, webs = (
        [notation.mark(centre + more) for centre in group]
        for group in (at.ends, at.between, at.webs)
    )
    then = f", then {', '.join(between)}" if between else ""
    last = f", last the web{'s' * (len(webs) > 1)} at {', '.join(webs)}" if webs else ""
    return f"{listed(ends)}{then}{last}"


def where_words(places: Iterable[PartPlace], work: Work, makes: Makes | None = None) -> str:
    """What to do on which parts, parts of which the same holds told together; ``makes`` is what the
    operation's recipe makes.

    `cross bar: both ends; end upright bar: one end alone, the one that goes into the top rail (the
    other end: operation 38)`.
    """
    parts: dict[str, list[str]] = {}
    for each in places:
        if words := _place_words(each, work, makes):
            parts.setdefault(words, []).append(each.part.name)
    if len(parts) == 1:
        return next(iter(parts))
    return "; ".join(f"{listed(names)}: {words}" for words, names in parts.items())


def _place_words(each: PartPlace, work: Work, makes: Makes | None) -> str:
    place, part = each.place, each.part
    if work is Work.HALVING or makes is Makes.HALVING:
        return _stop_words(each) if work is Work.HALVING else _notches(place)
    if place.edges:
        return _edge_words(each, work)
    if not place.ends:
        return ""
    if len(place.ends) == len(part.ends):
        return "both ends"
    takes = either(f"the {name}" for name in part.into[place.ends[0]])
    into, rest = f"the one that goes into {takes}", _rest("the other end", each.elsewhere)
    if part.long is None:
        return f"one end alone, {into} ({rest})"
    if each.apart is None:
        return f"the end cut last, {into} ({rest})"
    if part.long.holds > 1:
        between = _rest("the ends between the two parts", each.elsewhere)
        return f"either end of each length, {into} ({between})"
    return f"one end alone, the {LIES[part.role].ends[place.ends[0]]}, {into} ({rest})"


def _edge_words(each: PartPlace, work: Work) -> str:
    part, edges = each.part, each.place.edges
    words = edges_words(part, edges)
    if each.from_both_edges:
        return f"half way from the {words}, then from the edge opposite, until both meet"
    if part.sight_edges == 1:
        return f"the {words}, the other stays square" if work is Work.EDGE else f"the {words}"
    if len(edges) == 2:
        return words
    return f"the {words} alone"


def _stop_words(each: PartPlace) -> str:
    """Which end of a bar comes to the stop for a notch."""
    if each.place.middle:
        return "one notch, in the middle: either end to the stop"
    if each.apart is not None and each.part.long and each.part.long.holds > 1:
        return "one notch in each part, its end of the length to the stop"
    names = [LIES[each.part.role].ends[end] for end in each.place.ends]
    if len(names) > 1:
        return f"two notches: the {names[0]} to the stop for one, the {names[1]} for the other"
    return f"one notch, with the {names[0]} to the stop"


def _notches(place: WorkedAt) -> str:
    if place.middle:
        return "the notch in the middle"
    return "both notches" if len(place.ends) > 1 else "the notch"


def _rest(what: str, elsewhere: tuple[int, ...]) -> str:
    return f"{what}: {numbers(elsewhere) if elsewhere else 'no such cut'}"
