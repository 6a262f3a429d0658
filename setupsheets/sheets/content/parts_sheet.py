"""The parts sheets of a job from all that its joinery comes to: which blocks, in which order."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from setupsheets.joinery.frame.lights import Lights
from setupsheets.joinery.leaf import About, Whole
from setupsheets.joinery.members.parts import Part
from setupsheets.joinery.notes import NoteKind
from setupsheets.lengths import Notation
from setupsheets.sheets.content.finished_parts import PartsBlock, PartsPage, PartsSheet, Table
from setupsheets.sheets.content.fits_sheet import dry_fit_block, fits_block
from setupsheets.sheets.content.glass_sheet import bead_block, glass_block, panel_block
from setupsheets.sheets.content.opening_sheet import opening_block, planing_block
from setupsheets.sheets.content.sticks import spacers_block, stick_blocks
from setupsheets.sheets.content.timber_sheet import (
    boards_block,
    cut_list_block,
    movement_block,
)
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.shop.jobs import Job
from setupsheets.wording.joinery_notes import note_texts

OF_LIGHTS = frozenset({NoteKind.LIGHTS_OFF_THE_MARK, NoteKind.LIGHTS_TO_BE_CURED})


def parts_sheet(
    job: Job, whole: Whole, notation: Notation, door: tuple[Drawing, ...] = ()
) -> PartsSheet:
    """Everything about the parts, lengths in the shop's notation; what is not there is left out.

    ``door`` are drawings of the door, where these pages stand by themselves: else they are on the
    cover.
    """
    made = (
        ("parts", "Parts", _parts(job, whole, notation, door)),
        ("sticks", "Story sticks", stick_blocks(whole.sticks, whole.joinery, notation)),
        ("timber", "Cut list and timber", _timber(job, whole, notation)),
        ("glass", "Glass, panels and beads", _glass(whole, notation)),
        ("dry-fit", "Dry fit", _dry_fit(job, whole, notation)),
    )
    pages = (
        PartsPage(name, title, tuple(_tidy(block) for block in blocks if block.shows))
        for name, title, blocks in made
    )
    return PartsSheet(job.title, tuple(page for page in pages if page.blocks))


def _tidy(block: PartsBlock) -> PartsBlock:
    return replace(block, table=block.table.without_empty) if block.table else block


def _parts(
    job: Job, whole: Whole, notation: Notation, door: tuple[Drawing, ...]
) -> Iterator[PartsBlock]:
    told = whole.notes[About.JOINERY]
    yield PartsBlock(
        "lengths",
        "Three lengths",
        "Face is between the cope tips, back between the back shoulders, overall over the tenons.",
        table=Table(
            ("Part", "How many", "Wide", "Thick", "Face", "Back", "Overall"),
            tuple(_part_row(part, notation) for part in whole.joinery.parts),
            (1,),
        ),
        notes=note_texts((note for note in told if note.kind not in OF_LIGHTS), notation),
    )
    yield from (PartsBlock(each.name, each.title, drawing=each) for each in door)
    yield PartsBlock(
        "lights",
        "Lights, between rebates",
        table=Table(
            ("Field", "Direction", "Lights between rebates", "Sight size", "Edges of the tongues"),
            tuple(_light_row(light, notation) for light in whole.joinery.lights),
            (0,),
        ),
        notes=note_texts((note for note in told if note.kind in OF_LIGHTS), notation),
    )
    if whole.fitting is not None and job.opening is not None:
        yield opening_block(whole.fitting, job.opening, notation)
        yield planing_block(whole.fitting, notation)
    yield spacers_block(whole.spacers, job, notation)
    notes = note_texts(whole.notes[About.TIMBER], notation)
    yield PartsBlock("weight", "Weight, hinges, timber", notes=notes)


def _timber(job: Job, whole: Whole, notation: Notation) -> Iterator[PartsBlock]:
    yield cut_list_block(whole.rows, notation)
    notes = note_texts(whole.notes[About.BOARDS], notation)
    yield boards_block(whole.needs, job.stock, notes, notation)
    yield movement_block(whole.moved, whole.moistures, notation)


def _glass(whole: Whole, notation: Notation) -> Iterator[PartsBlock]:
    notes = note_texts(whole.notes[About.GLASS], notation)
    yield glass_block(whole.order, whole.joinery.panes, notes, notation)
    yield panel_block(whole.order, whole.joinery.panes, notation)
    yield bead_block(whole.joinery.beads, whole.bead_boards, notation)


def _dry_fit(job: Job, whole: Whole, notation: Notation) -> Iterator[PartsBlock]:
    yield dry_fit_block(whole.dry_fit, job, notation)
    joints = frozenset(part.name for part in whole.joinery.parts if part.ends)
    yield fits_block(whole.stacks, joints, note_texts(whole.notes[About.FITS], notation), notation)


def _part_row(part: Part, notation: Notation) -> tuple[str, ...]:
    spans = bool(part.ends)
    return (
        part.name,
        str(part.count),
        notation.show(part.width),
        notation.show(part.thickness),
        notation.show(part.face) if spans else "",
        notation.show(part.back) if spans else "",
        notation.show(part.overall),
    )


def _light_row(light: Lights, notation: Notation) -> tuple[str, ...]:
    across = light.direction == "columns"
    openings = light.openings or (light.opening,) * (light.bars + 1)
    equal = len(set(openings)) == 1
    return (
        str(light.field),
        "across, from the left sight edge" if across else "up, from the lower sight edge",
        f"{len(openings)} × {notation.show(light.opening)}"
        if equal
        else ", ".join(notation.show(item) for item in openings),
        notation.show(light.sight_size) if equal else "",
        ", ".join(notation.show(edge) for edge in light.tongue_edges),
    )
