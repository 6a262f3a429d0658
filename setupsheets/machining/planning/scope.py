"""The names that formulas may use (`shop.formula_names`), filled with one subject's figures.

Everything here is a flat mapping from dotted name to exact value, as `formulas` wants it. A name
is there only when the subject has it: a formula that asks for the mate of a stile is refused with
the name it asked for.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import asdict

from setupsheets.formulas import Affine, Value
from setupsheets.joinery.fits.dry_fit import diagonal
from setupsheets.joinery.frame.layout import Layout, bars_in
from setupsheets.joinery.frame.opening import bevel_loss, far_gap, hinge_recess
from setupsheets.joinery.members.panes import clearance_of
from setupsheets.lengths import Length
from setupsheets.machining.operations import Operation, Setting, Subject
from setupsheets.machining.planning.choices import Equipment, greatest_figure
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.formula_names import BLANK_CAUSES, GREATEST
from setupsheets.shop.jobs import Allowances, Fill, Hinges, Job, Lock, Meeting, Opening
from setupsheets.shop.sections import Section
from setupsheets.shop.settings import rough_mark

Scope = dict[str, Value]
_ENDLESS = Length.millimetres(1_000_000)  # of a dial whose file says no largest figure


def subject_scope(subject: Subject, allowances: Allowances, inputs: Mapping[str, Length]) -> Scope:
    """All names of a subject: its section, part, mate, tenon, mortise or bead, and the inputs."""
    scope: Scope = {f"input.{name}": value for name, value in inputs.items()}
    scope |= {f"allowance.{name}": value for name, value in asdict(allowances).items()}
    scope |= _part_names(subject)
    if subject.section is not None:
        scope |= _section_names(subject.section, subject.width)
    if (end := subject.end) is not None:
        scope |= {f"mate.{name}": value for name, value in _moulding_names(end.mate).items()}
        scope |= {f"tenon.{name}": value for name, value in asdict(end.tenon).items()}
        scope |= {"tenon.each": end.tenon.each, "tenon.twin_gap": end.tenon.twin_gap or Length.ZERO}
        scope |= {"tenon.reach": end.reach, "mortise.depth": end.mortise_depth}
        scope |= {"mortise.gap": end.gap}
    if (mortise := subject.mortise) is not None:
        scope |= {
            "mortise.depth": mortise.depth,
            "mortise.edges": 2 if subject.through else 1,
            "mortise.thickness": mortise.thickness,
            "mortise.from_face": mortise.from_face,
            "mortise.length": mortise.end - mortise.start,
        }
    if (halving := subject.halving) is not None:
        scope |= {
            "halving.from_end": subject.from_end,
            "halving.width": halving.end - halving.start,
            "halving.depth": halving.depth,
            "halving.from_face": halving.from_face,
        }
    if (groove := subject.groove) is not None:
        scope |= {f"panel.groove.{name}": value for name, value in asdict(groove).items()}
    if (bead := subject.bead) is not None:
        scope |= {"bead.width": bead.width, "bead.depth": bead.depth, "bead.length": bead.length}
    if (scarf := subject.scarf) is not None:
        scope |= {"scarf.pieces": scarf.pieces, "scarf.each": scarf.length}
        scope |= {"scarf.joint": scarf.joint}
    if (meeting := subject.meeting) is not None:
        scope |= {f"meeting.{name}": value for name, value in asdict(meeting).items()}
    if (panel := subject.panel) is not None:
        scope |= {"panel.border": panel.border, "panel.tongue": panel.tongue}
        scope |= {"panel.grooved": panel.fill is Fill.GROOVED_PANEL}
    if subject.leaf is not None:
        scope |= _leaf_names(subject.leaf)
    return scope


def cutter_scope(cutter: Cutter | None, prefix: str = "cutter") -> Scope:
    """The names of a cutter's sizes, those it has, under ``prefix``."""
    if cutter is None:
        return {}
    names = {"kerf": cutter.kerf, "diameter": cutter.diameter, "width": cutter.width}
    names |= {"length": cutter.length, "reach": cutter.reach}
    if any((cutter.kerf, cutter.width, cutter.diameter)):
        names["cut_width"] = cutter.cut_width
    if cutter.profile is not None:
        names |= {"profile.width": cutter.profile.width, "profile.depth": cutter.profile.depth}
    return {f"{prefix}.{name}": value for name, value in names.items() if value is not None}


def machine_scope(job: Job, equipment: Equipment) -> Scope:
    """What the shop measures rough wood to, and how far the chosen machines go, where recipes ask
    for that."""
    far: Scope = {
        name: greatest_figure(job, equipment, kind, setting) or _ENDLESS
        for name, (kind, setting, _) in GREATEST.items()
    }
    return far | {"shop.rough_mark": rough_mark(equipment.settings.finest_mark)}


def setting_scope(operation: str, settings: tuple[Setting, ...]) -> Scope:
    """An operation's settings as later operations may refer to them."""
    return {f"{operation}.{setting.name}": setting.aim for setting in settings}


def reading_scope(operations: tuple[Operation, ...], subject: Subject) -> Scope:
    """The names of a reading: settings and blank as causes, each with sensitivity 1 to itself."""
    causes = {
        setting.cause: item.from_part(setting) for item in operations for setting in item.settings
    }
    causes |= dict(
        zip(BLANK_CAUSES, (subject.length, subject.width, subject.thickness), strict=True)
    )
    scope: Scope = {name: Affine.cause(name, value) for name, value in causes.items()}
    for item in operations:
        scope |= cutter_scope(item.cutter, f"{item.name}.cutter")
    return scope


def _part_names(subject: Subject) -> Scope:
    names: Scope = {
        "part.width": subject.width,
        "part.thickness": subject.thickness,
        "part.length": subject.length,
    }
    if (part := subject.part) is not None and part.ends:
        names |= {"part.face": part.face, "part.back": part.back, "part.sight": part.sight}
    return names


def _moulding_names(section: Section) -> Scope:
    return {
        "thickness": section.thickness,
        "sticking.width": section.sticking.width,
        "sticking.depth": section.sticking.depth,
        "sticking.quirk": section.sticking.quirk,
        "rebate.width": section.rebate.width,
        "rebate.depth": section.rebate.depth,
        "tongue.thickness": section.tongue_thickness,
    }


def _section_names(section: Section, width: Length) -> Scope:
    names = _moulding_names(section)
    if section.width is not None:
        names |= {
            "tongue.width": section.tongue_width(width),
            "face_flat": section.face_flat(width),
        }
    return {f"section.{name}": value for name, value in names.items()}


def _leaf_names(layout: Layout) -> Mapping[str, Value]:
    """A leaf, its opening, hinges, lock and glazing; nought, or not so, what the job leaves out."""
    job, thick = layout.job, layout.stile.thickness
    fills = {field.fill for field in job.fields}
    names: dict[str, Value] = {
        "leaf.width": job.size.width,
        "leaf.height": job.size.height,
        "leaf.diagonal": diagonal(job.size),
        "leaf.horn": job.stiles.horn,
        "leaf.bars": any(map(bars_in, job.fields)),
        "leaf.halved": layout.halved and layout.crossing,
        "leaf.panels": Fill.GROOVED_PANEL in fills,
        "leaf.glass": Fill.GLASS in fills,
        "leaf.wedged": layout.wedged,
        "glazing.bedding": job.glazing.bedding,
        "glazing.clearance": clearance_of(
            layout, Fill.GLASS if Fill.GLASS in fills else Fill.PANEL
        ),
    }
    return (
        names
        | _opening(job.opening, thick)
        | _hinges(job.hinges, job.opening)
        | _lock(job.lock, thick)
    )


def _opening(opening: Opening | None, thick: Length) -> dict[str, Value]:
    gaps = opening.clearances if opening else None
    covered = opening is not None and opening.pair in (Meeting.ASTRAGAL, Meeting.STRIP)
    return {
        "opening.known": opening is not None,
        "opening.top": gaps.top if gaps else Length.ZERO,
        "opening.hinge": gaps.hinge if gaps else Length.ZERO,
        "opening.leading": far_gap(opening) if opening else Length.ZERO,
        "opening.bottom": gaps.bottom if gaps else Length.ZERO,
        "opening.strip_width": opening.strip_width if opening and covered else Length.ZERO,
        "opening.strip_thickness": opening.strip_thickness if opening and covered else Length.ZERO,
        "opening.hinge_bevel": bevel_loss(thick, opening.hinge_bevel) if opening else Length.ZERO,
        "opening.lock_bevel": bevel_loss(thick, opening.lock_bevel) if opening else Length.ZERO,
    }


def _hinges(hinges: Hinges | None, opening: Opening | None) -> dict[str, Value]:
    length = hinges.length if hinges else Length.ZERO
    top, bottom = (hinges.from_top, hinges.from_bottom) if hinges else (Length.ZERO, Length.ZERO)
    return {
        "hinge.length": length,
        "hinge.recess": hinge_recess(hinges, opening) if hinges else Length.ZERO,
        "hinge.from_top": length if top is None else top,
        "hinge.from_bottom": length if bottom is None else bottom,
    }


def _lock(lock: Lock | None, thick: Length) -> dict[str, Value]:
    return {
        "lock.low": lock.above - lock.height / 2 if lock else Length.ZERO,
        "lock.high": lock.above + lock.height / 2 if lock else Length.ZERO,
        "lock.depth": lock.depth if lock else Length.ZERO,
        "lock.thickness": lock.thickness if lock else Length.ZERO,
        "lock.wall": (thick - lock.thickness) / 2 if lock else Length.ZERO,
    }
