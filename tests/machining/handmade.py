"""Sections, machines, cutters and operations made by hand, in inches, for the machining tests."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from msgspec.structs import replace

from setupsheets.joinery.members.parts import End, Mortise, Tenon
from setupsheets.lengths import Length
from setupsheets.machining.operations import FittedJig, Operation, Setting, Subject
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import Machine, MachineSetting, SetBy, SettingName
from setupsheets.shop.outlines import Shape
from setupsheets.shop.recipes import MeasuredTo, RecipeOperation, Surface, Work
from setupsheets.shop.sections import Member, Rebate, Section, Sticking

OVOLO = Sticking(Shape.OVOLO, Length("3/8 in"), Length("7/16 in"), quirk=Length("1/16 in"))


def inches(text: str) -> Length:
    return Length(f"{text} in")


def millimetres(text: str) -> Length:
    return Length(f"{text} mm")


def mm(text: str) -> float:
    """Inches as the float of mm that polygons have."""
    return float(inches(text).mm)


def section(
    member: Member = Member.FRAME,
    sticking: Sticking = OVOLO,
    thickness: str = "1 3/8",
    rebate: tuple[str, str] = ("7/16", "11/16"),
) -> Section:
    return Section(
        name="hand",
        title="Hand-made",
        member=member,
        thickness=inches(thickness),
        sticking=sticking,
        rebate=Rebate(*map(inches, rebate)),
        width=inches("1 1/8") if member is Member.BAR else None,
    )


def subject(of: Section | None = None, width: str = "2 1/4", **more: Any) -> Subject:
    of = of or section()
    edges = 2 if of.member is Member.BAR else 1
    sizes = {"width": inches(width), "thickness": of.thickness, "length": inches("24")}
    return Subject(**{**sizes, "section": of, "sight_edges": edges, **more})


def end(mate: Section | None = None) -> End:
    """A tenon as thick as the tongue, 1/4 in, that goes 1 1/4 in past the mate's sight edge."""
    tenon = Tenon(inches("1/4"), inches("7/16"), inches("1 1/2"))
    return End(mate or section(), inches("1 5/16"), inches("1/16"), tenon)


def mortise() -> Mortise:
    sizes = map(inches, ("2", "3 1/2", "1/4", "7/16", "1 5/16"))
    return Mortise("stile", "rail", 0, *sizes)


def machine(kind: MachineType, **more: Any) -> Machine:
    return Machine(kind.value, kind.value.replace("_", " "), kind, {}, **more)


def blade(kerf: str = "1/8", diameter: str = "10") -> Cutter:
    return Cutter(
        "blade", "Blade", CutterType.SAW_BLADE, diameter=inches(diameter), kerf=inches(kerf)
    )


def bit(kind: CutterType, diameter: str = "1 1/2", **more: Any) -> Cutter:
    return Cutter(kind.value, kind.value, kind, diameter=inches(diameter), **more)


def operation(
    name: str,
    on: MachineType | Machine,
    cutter: Cutter | None = None,
    work: Work = Work.EDGE,
    down: Surface | None = None,
    against: Surface | None = None,
    settings: Sequence[Any] = (),
    *,
    jigs: tuple[FittedJig, ...] = (),
    finest: str = "1/64",
    **asks: Any,
) -> Operation:
    where = on if isinstance(on, Machine) else machine(on)
    dial = MachineSetting("dial", inches(finest), SetBy.RULE, "up", "down")
    asked = RecipeOperation(name, name, where.type, work, (), down, against, **asks)
    figures = tuple(
        Setting(
            SettingName(item[0]),
            f"{name}.{item[0]}",
            inches(item[1]),
            (*item, MeasuredTo.NEAR)[2],
            dial,
        )
        for item in settings
    )
    return Operation(1, asked, where, cutter, figures, jigs=jigs)


def with_figures(made: Operation, **figures: Length) -> Operation:
    """The operation with exact settings, each measured to the far side of the cutter."""
    template = operation("any", MachineType.BENCH, settings=[("fence", "1", MeasuredTo.FAR)])
    return replace(
        made,
        settings=tuple(
            replace(
                template.settings[0], name=SettingName(name), cause=f"{made.name}.{name}", aim=aim
            )
            for name, aim in figures.items()
        ),
    )
