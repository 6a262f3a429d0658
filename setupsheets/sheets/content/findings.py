"""What is worked out beside a plan and stands on its sheets, in words and pictures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from setupsheets.machining.support.runs import Support
from setupsheets.sheets.drawings.drawing import Drawing


@dataclass(frozen=True)
class JointFit:
    """How an end closes on its mate: the picture, and what there is to say of it."""

    drawing: Drawing
    words: tuple[str, ...]


@dataclass(frozen=True)
class StopMarks:
    """A stopped cut in plan, once for each way it is fed, and its tape marks in words."""

    drawings: tuple[Drawing, ...]
    words: tuple[str, ...]


@dataclass(frozen=True)
class Findings:
    """Whatever is absent is not shown.

    ``proofs``: by set-up name, whether it proves and what to say; ``unproved`` pictures of those
    that do not; ``worst`` the reading that rounded dials take furthest of its tolerance. By
    operation number: ``support`` (bearing and cures in words) and ``stands`` (what the drawing
    shows of it), ``stops``, ``speeds``, ``passes``, ``reach`` (what does not reach), ``centres``
    (where a chisel or bit goes down), ``stacks`` (what a dado stack is made up from) and ``fits``.
    ``only``: by set-up name, parts of which one edge alone is worked. ``blocks``: by operation
    number and setting name, the set-up blocks that make the figure.
    """

    proofs: Mapping[str, tuple[bool, str]] = field(default_factory=dict)
    unproved: tuple[Drawing, ...] = ()
    worst: str = ""
    support: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    stands: Mapping[int, tuple[Support, ...]] = field(default_factory=dict)
    stops: Mapping[int, StopMarks] = field(default_factory=dict)
    speeds: Mapping[int, str] = field(default_factory=dict)
    passes: Mapping[int, str] = field(default_factory=dict)
    reach: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    centres: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    fits: Mapping[int, JointFit] = field(default_factory=dict)
    stacks: Mapping[int, str] = field(default_factory=dict)
    only: Mapping[str, str] = field(default_factory=dict)
    blocks: Mapping[tuple[int, str], str] = field(default_factory=dict)
