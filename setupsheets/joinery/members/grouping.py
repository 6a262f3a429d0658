"""Equal pieces as one part with one name, counted over the whole job."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator

from msgspec.structs import replace

from setupsheets.joinery.members.parts import Halving, Mortise, Part, Role
from setupsheets.joinery.members.pieces import Key, Piece


def grouped(
    found: Iterable[Piece], leaves: int
) -> tuple[tuple[Part, ...], tuple[Mortise, ...], tuple[Halving, ...], tuple[Mortise, ...]]:
    """Equal pieces as one part each, counted over all leaves, with their mortises, their halvings
    and the shallow mortises for haunches."""
    groups = _alike(found)
    names = _group_names(groups)
    of_piece = _by_key(groups, names)
    first = [(group[0], name) for group, name in zip(groups, names, strict=True)]

    def called(key: Key) -> str:
        return of_piece.get(key, str(key[0]))

    parts = tuple(
        replace(
            group[0].part,
            name=name,
            count=leaves * sum(each.part.count for each in group),
            into=tuple(tuple(map(called, keys)) for keys in _taken_by(group)),
        )
        for group, name in zip(groups, names, strict=True)
    )
    mortises = tuple(
        replace(mortise, part=name, holds=called(key))
        for piece, name in first
        for key, mortise in piece.mortises
    )
    halvings = tuple(
        replace(halving, part=name, crosses=called(key))
        for piece, name in first
        for key, halving in piece.halvings
    )
    haunches = tuple(
        replace(mortise, part=name, holds=f"haunch of the {called(key)}")
        for piece, name in first
        for key, mortise in piece.haunches
    )
    return parts, mortises, halvings, haunches


def names_of(found: Iterable[Piece]) -> dict[Key, str]:
    """What each piece of a leaf is called on the sheets, which equal ones share."""
    groups = _alike(found)
    return _by_key(groups, _group_names(groups))


def _alike(found: Iterable[Piece]) -> list[list[Piece]]:
    by_sort: dict[Hashable, list[Piece]] = {}
    for piece in found:
        by_sort.setdefault(piece.sort, []).append(piece)
    return list(by_sort.values())


def _by_key(groups: list[list[Piece]], names: list[str]) -> dict[Key, str]:
    return {piece.key: name for group, name in zip(groups, names, strict=True) for piece in group}


def _taken_by(group: list[Piece]) -> Iterator[tuple[Key, ...]]:
    """End by end of the first of equal pieces, all that take such an end of any of them: a piece
    may be turned end for end."""
    for end in group[0].part.ends:
        takes = (
            mate
            for piece in group
            for other, mate in zip(piece.part.ends, piece.mates, strict=True)
            if other == end
        )
        yield tuple(dict.fromkeys(takes))


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
        return (first.part.name,) * 4
    where = f", field {' and '.join(map(str, _fields(group)))}"
    return (
        f"{first.role}",
        f"{first.part.name}",
        f"{first.part.name}{where}",
        f"{first.part.name}{where}, no. {first.key[2] + 1}",
    )
