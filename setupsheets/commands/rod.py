"""`rod JOB`: the height rod, the width rod and the templates of a leaf at full size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.shared import JobArgument, ShopOption, of_these, open_job, printed
from setupsheets.files.faults import extra_needed

if TYPE_CHECKING:
    from setupsheets.lengths import Unit
    from setupsheets.sheets.full_size.plate import Plate

FORMATS = ("svg", "dxf", "pdf")
PAPERS = ("roll", "A4", "Letter")


def rod(
    job: JobArgument,
    to: Annotated[
        Path | None, typer.Option("--to", help="Where to write; else rods/ in the shop folder.")
    ] = None,
    formats: Annotated[
        str, typer.Option("--format", help="Any of svg, dxf, pdf, with commas between.")
    ] = "svg",
    paper: Annotated[
        str,
        typer.Option(
            "--paper", help="For pdf: roll (one long page to each), or tiles of A4 or Letter."
        ),
    ] = "roll",
    shop: ShopOption = None,
) -> None:
    """Draw the leaf's height rod and width rod at full size.

    Sections, mortises and tenons stand in their places, and every shoulder is marked and named from
    one datum edge. A pair's width rod shows both leaves as they meet. Templates of sections, copes
    and mouldings come with them.

    Example: setupsheets rod larder --format pdf --paper A4
    """
    wanted = of_these(formats, FORMATS, "--format")
    (chosen,) = of_these(paper, PAPERS, "--paper", one=True)
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415
    from setupsheets.joinery.members.rods import rods  # noqa: PLC0415
    from setupsheets.machining.plan import joinery_of  # noqa: PLC0415
    from setupsheets.sheets.full_size.rod_drawing import rod_plates  # noqa: PLC0415
    from setupsheets.sheets.full_size.templates import templates_plates  # noqa: PLC0415
    from setupsheets.wording.joinery_faults import design_faults_worded  # noqa: PLC0415

    opened, found = open_job(job, shop)
    notation = opened.settings.notation
    with design_faults_worded(notation):
        joinery = joinery_of(found, opened)
    both = rods(joinery.layout)
    plates = [
        *rod_plates(both, found.title, notation),
        *templates_plates(joinery, both, found.title, notation),
    ]
    folder = to or opened.folder / "rods"
    files = dict(_files(plates, wanted, chosen, notation.unit))
    write_all(folder, {f"{found.name}-{name}": content for name, content in files.items()})
    for name in files:
        typer.echo(folder / f"{found.name}-{name}")


def _files(
    plates: Sequence[Plate], wanted: Sequence[str], paper: str, unit: Unit
) -> Iterator[tuple[str, str | bytes]]:
    """What to write, by what follows the job's name."""
    from setupsheets.sheets.full_size.plate_svg import plate_drawing  # noqa: PLC0415
    from setupsheets.sheets.full_size.tiles import PlatePaper, pages_html  # noqa: PLC0415

    if "svg" in wanted:
        yield from ((f"{plate.name}.svg", plate_drawing(plate).svg) for plate in plates)
    if "dxf" in wanted:
        yield from ((f"{plate.name}.dxf", _dxf(plate, unit)) for plate in plates)
    if "pdf" in wanted:
        chosen = PlatePaper(paper)
        tiled = "" if chosen is PlatePaper.ROLL else f"-{paper}"
        try:
            pages = pages_html(plates, chosen)
        except ValueError as error:
            message = f"{error}: take --paper A4 or Letter, or --format svg"
            raise typer.BadParameter(message, param_hint="--paper") from None
        yield f"rods{tiled}.pdf", printed(pages)


def _dxf(plate: Plate, unit: Unit) -> str:
    try:
        from setupsheets.sheets.full_size.plate_dxf import plate_dxf  # noqa: PLC0415
    except ImportError:
        message = extra_needed("DXF", "drawings")
        raise typer.BadParameter(message, param_hint="--format") from None
    return plate_dxf(plate, unit)
