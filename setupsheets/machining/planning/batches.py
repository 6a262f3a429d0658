"""Who shares a set-up: equal ends, mortises and sections go through the machine together."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.joinery.members.parts import (
    End,
    Groove,
    Halving,
    Joinery,
    MeetingRebate,
    Part,
    Role,
)
from setupsheets.joinery.stock.cutlist import part_scarf
from setupsheets.lengths import Length
from setupsheets.machining.cutting.shapes import worked_edges
from setupsheets.machining.operations import Subject, WorkedAt
from setupsheets.machining.planning.fitted_ends import (
    as_set,
    fitted_ends,
    fitted_panels,
    panel_name,
)
from setupsheets.shop.jobs import Fill, Job, Meeting
from setupsheets.shop.recipes import Makes
from setupsheets.shop.sections import Rebate

BARS = frozenset({Role.CROSS_BAR, Role.UPRIGHT_BAR})


class Batch(Struct, frozen=True):
    """What goes through one set-up: the subject that stands for all, and how many of each part.

    ``label`` tells it from the recipe's other set-ups in the job; ``subjects`` are those of each
    part, for hand work that differs; ``places`` where on each part it works. A ``late`` one has its
    like earlier in the route.
    """

    subject: Subject
    counts: Mapping[str, int]
    label: str
    subjects: Mapping[str, Subject] = field(default_factory=dict)
    places: tuple[WorkedAt, ...] = ()
    late: bool = False


class Item(Struct, frozen=True):
    """One candidate: items of equal ``key`` share a set-up. ``place`` is where on its part it is;
    None for what is no part."""

    key: Hashable
    subject: Subject
    name: str
    count: int
    label: str
    place: WorkedAt | None = None


def batched(items: Iterable[Item]) -> tuple[Batch, ...]:
    """Items of equal key in one batch, in the order in which they first come."""
    grouped: dict[Hashable, list[Item]] = {}
    for item in items:
        grouped.setdefault(item.key, []).append(item)
    return tuple(
        Batch(
            subject=group[0].subject,
            counts={item.name: item.count for item in group},
            label=group[0].label,
            subjects={item.name: item.subject for item in group},
            places=joined(item.place for item in group if item.place is not None),
        )
        for group in grouped.values()
    )


def _item(
    part: Part, key: Hashable, subject: Subject, label: str, place: WorkedAt | None = None
) -> Item:
    """A part as a candidate; without a ``place`` all of it is worked."""
    return Item(key, subject, part.name, part.count, label, place or WorkedAt(part.name))


def joined(places: Iterable[WorkedAt]) -> tuple[WorkedAt, ...]:
    """Places with those on one part brought together, in the order in which parts first come."""
    found: dict[str, WorkedAt] = {}
    for place in places:
        found[place.part] = found.get(place.part, place).joined(place)
    return tuple(found.values())


def part_subject(part: Part) -> Subject:
    """A whole part as the subject of work along its edges or on its blank."""
    return Subject(
        width=part.width,
        thickness=part.thickness,
        length=part.overall,
        section=part.section,
        sight_edges=part.sight_edges,
        part=part,
    )


def piece_subject(part: Part) -> Subject:
    """What is got out for a part: itself, or the longer piece that it is made in."""
    return replace(part_subject(part), length=part.piece_length)


def _blanks(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    return batched(
        _item(part, part.name, replace(piece_subject(part), scarf=part_scarf(part, job)), part.name)
        for part in joinery.parts
    )


def _partings(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Short parts of one length, cut off the pieces that they were moulded in."""
    return batched(
        _item(part, part.overall, part_subject(part), part.name)
        for part in joinery.parts
        if part.long
    )


def _mortises(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Mortises of one thickness, depth and place across the thickness, those for haunches as well;
    their lengths may differ."""
    items = []
    for mortise in (*joinery.mortises, *joinery.haunches):
        part = joinery.part(mortise.part)
        subject = replace(part_subject(part), mortise=mortise)
        sizes = (mortise.thickness, mortise.from_face, mortise.depth)
        key = (part.section.thickness, *sizes, subject.through and part.width)
        place = WorkedAt(part.name, edges=(mortise.edge,))
        items.append(_item(part, key, subject, f"{part.name} for {mortise.holds}", place))
    return batched(items)


def _ends(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Ends that go equally far into equal mates; how their tenons are cut across their width, which
    is done by hand, may differ. The part that stands for them has both ends alike. The last end of
    a part that is made in a longer piece is not there yet."""
    return _ends_of(job, joinery, last=False)


def last_ends(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """The ends that parts have once they are cut off the piece that they were moulded in."""
    return tuple(replace(each, late=True) for each in _ends_of(job, joinery, last=True))


def _ends_of(job: Job, joinery: Joinery, last: bool) -> tuple[Batch, ...]:
    """Each fitted to its mate as made; raises DataFaults for what cannot be."""
    items, made = [], fitted_ends(job, joinery)
    for part in joinery.parts:
        meant = [at for at in range(len(part.ends)) if _is_last(part, at) is last]
        for designed in dict.fromkeys(part.ends[at] for at in meant):
            end, fitted_to = made[part.name, designed]
            subject = replace(part_subject(replace(part, ends=(end, end))), end=end)
            subject = replace(subject, fitted_to=fitted_to)
            key = (part.thickness, as_set(end))
            into = f"{part.name} into {_mate(part, designed, joinery)}"
            ends = tuple(at for at in meant if part.ends[at] == designed)
            label = f"last end of {part.name}" if last else into
            items.append(_item(part, key, subject, label, WorkedAt(part.name, ends)))
    return batched(items)


def _is_last(part: Part, end: int) -> bool:
    return part.long is not None and end != part.long.outer


def _halvings(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Notches of one size as far from the nearer end of their bars, which are turned end for end
    where two of them are."""
    found = [(joinery.part(halving.part), halving) for halving in joinery.halvings]
    places: dict[str, set[Length]] = {}
    for part, halving in found:
        places.setdefault(part.name, set()).add(_from_end(part, halving))
    items = []
    for part, halving in found:
        at = _from_end(part, halving)
        subject = replace(part_subject(part), halving=halving, from_end=at)
        key = (part.thickness, halving.from_face, halving.end - halving.start, halving.depth, at)
        apart = sorted(places[part.name])
        number = f" {apart.index(at) + 1}" if len(apart) > 1 else ""
        place = _at_the_stop(part, halving)
        items.append(_item(part, key, subject, f"{part.name}{number}", place))
    return batched(items)


def _from_end(part: Part, halving: Halving) -> Length:
    """From the nearer end of a bar to the nearer wall of its notch; from its outer end where it
    lies in a longer piece, for its other end is not there yet."""
    low, high = _from_ends(part, halving)
    return low if part.long else min(low, high)


def _from_ends(part: Part, halving: Halving) -> tuple[Length, Length]:
    """From the lower or left end to the notch, and from the other."""
    return part.datum + halving.start, part.overall - part.datum - halving.end


def _at_the_stop(part: Part, halving: Halving) -> WorkedAt:
    """The end that comes to the stop: the nearer one, either for a notch in the middle; the outer
    one of a part in a longer piece."""
    if part.long:
        return WorkedAt(part.name, (part.long.outer,))
    from_low, from_high = _from_ends(part, halving)
    low, high = (1, 0) if part.role.upright else (0, 1)
    end = low if from_low <= from_high else high
    return WorkedAt(part.name, (end,), middle=from_low == from_high)


def _mate(part: Part, end: End, joinery: Joinery) -> str:
    """The part whose mortise takes the end, by the best of what is known of it."""
    fits = [
        mortise
        for mortise in joinery.mortises
        if mortise.depth == end.mortise_depth and joinery.part(mortise.part).section == end.mate
    ]
    named = [mortise.part for mortise in fits if mortise.holds == part.name]
    return next(iter([*named, *(mortise.part for mortise in fits)]), end.mate.name)


def _rebates(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Frame members that have a rebate anywhere, by section."""
    return batched(
        _item(part, part.section, subject, part.section.name, _edges(part, Makes.REBATE))
        for part in _members(joinery)
        if (subject := _worked(part, Makes.REBATE)) is not None
    )


def _grooves(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Frame members that have a groove anywhere, by where it is and how large."""
    return batched(
        _item(
            *(part, (part.thickness, subject.groove), subject),
            *(part.name, _edges(part, Makes.GROOVE)),
        )
        for part in _members(joinery)
        if (subject := _worked(part, Makes.GROOVE)) is not None
    )


def _stickings(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Frame members by section, whatever is behind their moulding."""
    none = Rebate(Length.ZERO, Length.ZERO)
    return batched(
        _item(
            *(part, replace(part.section, rebate=none), _along(part, part.grooves[0])),
            *(part.section.name, _edges(part, Makes.STICKING)),
        )
        for part in _members(joinery)
    )


def _bars(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    return batched(
        _item(
            *(part, (part.section, part.width), part_subject(part)),
            *(part.section.name, _edges(part, Makes.BAR)),
        )
        for part in joinery.parts
        if part.role in BARS
    )


def _meetings(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Where the leaves of a rebated pair meet: one stile of each pair from either side."""
    opening, part = job.opening, joinery.part("stile")
    if opening is None or opening.pair is not Meeting.REBATED:
        return ()
    return tuple(
        Batch(
            replace(part_subject(part),
                    meeting=MeetingRebate(opening.rebate, part.thickness / 2, from_face)),
            {part.name: job.count // 2},
            "out of the face" if from_face else "out of the back",
        )
        for from_face in (True, False)
    )  # fmt: skip


def _edges(part: Part, makes: Makes) -> WorkedAt:
    """The sight edges of a part that work of a sort goes along anywhere."""
    subjects = (_along(part, grooves) for grooves in part.grooves)
    edges = {edge for subject in subjects for edge in worked_edges(makes, subject)}
    return WorkedAt(part.name, edges=tuple(sorted(edges)))


def _members(joinery: Joinery) -> tuple[Part, ...]:
    """The parts of the frame."""
    return tuple(part for part in joinery.parts if part.role not in BARS)


def _along(part: Part, grooves: tuple[Groove | None, ...]) -> Subject:
    """A part as the subject of work along its edges where it has these grooves."""
    return replace(part_subject(part), grooves=grooves)


def _worked(part: Part, makes: Makes) -> Subject | None:
    """The part where work of this sort has most edges to go along; None where it has none."""
    subjects = [_along(part, grooves) for grooves in part.grooves]
    most = max(subjects, key=lambda subject: len(worked_edges(makes, subject)))
    return most if worked_edges(makes, most) else None


def _beads(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    items = []
    for bead in joinery.beads:
        subject = Subject(width=bead.width, thickness=bead.depth, length=bead.length, bead=bead)
        key = (bead.width, bead.depth)
        alike = [each.count for each in joinery.beads if (each.width, each.depth) == key]
        items.append(Item(key, subject, "bead", sum(alike), f"field {bead.field}"))
    return batched(items)


def _panels(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Panels of wood by their sizes; their grain stands upright."""
    made, items = fitted_panels(job, joinery), []
    for each in joinery.panes:
        name = panel_name(each)
        pane, fitted_to = made.get(each, (each, {}))
        subject = Subject(
            pane.width, pane.thickness, pane.height, sight_edges=2, panel=pane, fitted_to=fitted_to
        )
        key = (pane.width, pane.height, pane.thickness, pane.border)
        if pane.fill is not Fill.GLASS:
            items.append(Item(key, subject, name, pane.count, f"field {pane.field}"))
    return batched(items)


def _leaf(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    leaf, thickness = job.size, joinery.parts[0].thickness
    subject = Subject(leaf.width, thickness, leaf.height, leaf=joinery.layout)
    return (Batch(subject, {"leaf": job.count}, "leaf"),)


def _glazed(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """The leaf where panes lie in a rebate behind beads."""
    return _leaf(job, joinery) if joinery.beads else ()


BATCHES: Mapping[Makes, Callable[[Job, Joinery], tuple[Batch, ...]]] = {
    Makes.BLANK: _blanks,
    Makes.MORTISE: _mortises,
    Makes.COPE: _ends,
    Makes.HALVING: _halvings,
    Makes.REBATE: _rebates,
    Makes.GROOVE: _grooves,
    Makes.STICKING: _stickings,
    Makes.BAR: _bars,
    Makes.MEETING: _meetings,
    Makes.PARTING: _partings,
    Makes.PANEL: _panels,
    Makes.BEAD: _beads,
    Makes.FIT: _leaf,
    Makes.GLUE_UP: _leaf,
    Makes.HANGING: _leaf,
    Makes.GLAZING: _glazed,
}

"""Who shares the set-ups of each thing that is made."""


def route() -> Iterator[tuple[Makes, Callable[[Job, Joinery], tuple[Batch, ...]]]]:
    """All that is made, in the order in which parts go through it: the last ends of short parts are
    coped when these have been cut apart."""
    for makes in Makes:
        yield makes, BATCHES[makes]
        if makes is Makes.PARTING:
            yield Makes.COPE, last_ends
