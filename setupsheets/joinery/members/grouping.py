"""Equal pieces as one part with one name, counted over the whole job."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import replace

from setupsheets.joinery.members.parts import Halving, Mortise, Part, Role
from setupsheets.joinery.members.pieces import Key, Notch, Piece, Pocket


def grouped(
    found: Iterable[Piece], leaves: int
) -> tuple[tuple[Part, ...], tuple[Mortise, ...], tuple[Halving, ...], tuple[Mortise, ...]]:
    """Equal pieces as one part each, counted over all leaves, with their mortises, their halvings
    and the shallow mortises for haunches."""
    by_sort: dict[Hashable, list[Piece]] = {}
    for piece in found:
        by_sort.setdefault(piece.sort, []).append(piece)
    groups = list(by_sort.values())
    names = _group_names(groups)
    of_piece = {
        piece.key: name for group, name in zip(groups, names, strict=True) for piece in group
    }
    named = list(zip(groups, names, strict=True))
    parts = tuple(
        _part(group[0], name, leaves * sum(piece.count for piece in group)) for group, name in named
    )
    mortises = tuple(
        _mortise(name, pocket, of_piece) for group, name in named for pocket in group[0].pockets
    )
    halvings = tuple(
        _halving(name, notch, of_piece) for group, name in named for notch in group[0].notches
    )
    haunches = tuple(
        replace(shallow, holds=f"haunch of the {shallow.holds}")
        for group, name in named
        for pocket in group[0].haunches
        for shallow in (_mortise(name, pocket, of_piece),)
    )
    return parts, mortises, halvings, haunches


def _group_names(groups: list[list[Piece]]) -> list[str]:
    """For each role the shortest names that tell its groups apart, all of one form."""
    names: dict[int, str] = {}
    for role in Role:
        mine = [index for index, group in enumerate(groups) if group[0].role is role]
        one_field = len({_fields(groups[index]) for index in mine}) == 1
        choices = list(zip(*(_names(groups[index]) for index in mine), strict=True))
        for choice in choices if one_field else choices[2:]:
            names.update(zip(mine, choice, strict=True))
            if len(set(choice)) == len(choice):
                break
    return [names[index] for index in range(len(groups))]


def _fields(group: list[Piece]) -> tuple[int, ...]:
    return tuple(sorted({piece.key[1] for piece in group}))


def _names(group: list[Piece]) -> tuple[str, ...]:
    """Names of equal pieces from the shortest; a stile and a rail have only one."""
    first = group[0]
    if first.role in (Role.STILE, Role.RAIL):
        return (first.name,) * 4
    where = f", field {' and '.join(map(str, _fields(group)))}"
    return (
        f"{first.role}",
        f"{first.name}",
        f"{first.name}{where}",
        f"{first.name}{where}, no. {first.key[2] + 1}",
    )


def _part(piece: Piece, name: str, count: int) -> Part:
    return Part(
        name=name,
        role=piece.role,
        section=piece.section,
        count=count,
        width=piece.width,
        sight=piece.sight,
        sight_edges=piece.sight_edges,
        ends=piece.ends,
        stile_length=piece.stile_length,
        horn=piece.horn,
        stretches=piece.stretches,
    )


def _mortise(part: str, pocket: Pocket, names: Mapping[Key, str]) -> Mortise:
    return Mortise(
        part=part,
        holds=names.get(pocket.holds, str(pocket.holds[0])),
        edge=pocket.edge,
        start=pocket.start,
        end=pocket.end,
        thickness=pocket.thickness,
        from_face=pocket.from_face,
        depth=pocket.depth,
    )


def _halving(part: str, notch: Notch, names: Mapping[Key, str]) -> Halving:
    return Halving(
        part=part,
        crosses=names.get(notch.crosses, str(notch.crosses[0])),
        from_face=notch.from_face,
        start=notch.start,
        end=notch.end,
        depth=notch.depth,
    )


def doubled_names(parts: Iterable[Part]) -> Iterator[str]:
    """Names that two different parts have: only rails of the job's own naming can."""
    seen: set[str] = set()
    for part in parts:
        if part.name in seen:
            yield part.name
        seen.add(part.name)
