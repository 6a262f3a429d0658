"""Who shares a set-up: equal ends, mortises and sections go through the machine together."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace

from setupsheets.joinery.parts import Joinery, Part, Role
from setupsheets.machining.operations import Subject
from setupsheets.shop.jobs import Job
from setupsheets.shop.recipes import Makes

BARS = frozenset({Role.CROSS_BAR, Role.UPRIGHT_BAR})


@dataclass(frozen=True)
class Batch:
    """What goes through one set-up: the subject that stands for all, and how many of each."""

    subject: Subject
    counts: Mapping[str, int]

    @property
    def first(self) -> str:
        """The first part's name, as it stands in a set-up's name."""
        return next(iter(self.counts), "leaf").replace(" ", "-")


def batched(
    items: Sequence[tuple[Hashable, Subject, str, int]],
) -> tuple[Batch, ...]:
    """Items of equal key in one batch, in the order in which they first come."""
    grouped: dict[Hashable, tuple[Subject, dict[str, int]]] = {}
    for key, subject, name, count in items:
        counts = grouped.setdefault(key, (subject, {}))[1]
        counts[name] = counts.get(name, 0) + count
    return tuple(Batch(subject, counts) for subject, counts in grouped.values())


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


def _blanks(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    return batched(
        [(part.name, part_subject(part), part.name, part.count) for part in joinery.parts]
    )


def _mortises(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    items = []
    for mortise in joinery.mortises:
        part = joinery.part(mortise.part)
        subject = replace(part_subject(part), mortise=mortise)
        length = mortise.end - mortise.start
        key = (part.section.thickness, mortise.thickness, mortise.from_face, mortise.depth, length)
        items.append((key, subject, part.name, part.count))
    return batched(items)


def _ends(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    """Equal ends share their settings. The part that stands for them has both ends alike."""
    items = []
    for part in joinery.parts:
        for end in dict.fromkeys(part.ends):
            subject = replace(part_subject(replace(part, ends=(end, end))), end=end)
            items.append(((part.section, end), subject, part.name, part.count))
    return batched(items)


def _edges(bars: bool) -> Callable[[Job, Joinery], tuple[Batch, ...]]:
    def batches(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
        parts = [part for part in joinery.parts if (part.role in BARS) == bars]
        keyed = [((part.section, part.width if bars else None), part) for part in parts]
        return batched([(key, part_subject(part), part.name, part.count) for key, part in keyed])

    return batches


def _beads(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    return batched(
        [
            (
                (bead.width, bead.depth),
                Subject(width=bead.width, thickness=bead.depth, length=bead.length, bead=bead),
                "bead",
                bead.count,
            )
            for bead in joinery.beads
        ]
    )


def _leaf(job: Job, joinery: Joinery) -> tuple[Batch, ...]:
    leaf, section = job.size, joinery.parts[0].section
    subject = Subject(width=leaf.width, thickness=section.thickness, length=leaf.height)
    return (Batch(subject, {"leaf": job.count}),)


BATCHES: Mapping[Makes, Callable[[Job, Joinery], tuple[Batch, ...]]] = {
    Makes.BLANK: _blanks,
    Makes.MORTISE: _mortises,
    Makes.COPE: _ends,
    Makes.REBATE: _edges(bars=False),
    Makes.STICKING: _edges(bars=False),
    Makes.BAR: _edges(bars=True),
    Makes.BEAD: _beads,
    Makes.FIT: _leaf,
}
