"""`check [FILE...]`: files against their schemas, jobs and recipes worked through and proved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from msgspec.structs import replace

from setupsheets.commands.shared import JsonOption, ShopOption, open_shop, print_json
from setupsheets.files.faults import listed
from setupsheets.json_forms.document import form

if TYPE_CHECKING:
    from setupsheets.lengths import Notation
    from setupsheets.machining.checking.recipe_files import Checked
    from setupsheets.shop.finding import Shop


def check(
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[FILE...]", help="Files of the shop; else all that it has."),
    ] = None,
    upgrade: Annotated[
        bool,
        typer.Option(
            "--upgrade",
            help="Rewrite files of an older version (the old one stays beside it), and make anew "
            "what an editor helps with: the schemas in .schemas, the names of what the shop has.",
        ),
    ] = False,
    draw: Annotated[
        Path | None,
        typer.Option(
            "--draw",
            metavar="FOLDER",
            help="Draw here, as SVG, what does not prove, and every outline as it was read.",
        ),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Check files; prove every job and recipe.

    Every file is checked against its schema; jobs and recipes are worked through on paper, every
    cut is taken from the blank, and what results is compared with the section that is asked for.

    Example: setupsheets check jobs/larder.yaml
    """
    from setupsheets.machining.checking.recipe_files import (  # noqa: PLC0415
        check_file,
        check_shop,
        shop_files,
    )

    opened = open_shop(shop, str(files[0]) if files else None)
    if upgrade:
        _upgrade(files or list(shop_files(opened)), opened)
    found = [check_file(path, opened) for path in files] if files else list(check_shop(opened))
    if not files or any(item.kind == "record" for item in found):
        found = _with_records(found, opened, whole=not files)
    notation = opened.settings.notation
    if draw is not None:
        _draw(found, draw, notation)
    if as_json:
        print_json(form("check", files=[_plain(item, notation) for item in found]))
    else:
        told: set[str] = set()
        for item in found:
            _print(item, notation, told)
    if not all(item.sound for item in found):
        raise typer.Exit(1)


def _with_records(found: Sequence[Checked], shop: Shop, *, whole: bool) -> list[Checked]:
    """With the records as the other commands read them, of the ``whole`` shop those that it has;
    one that lies elsewhere is read by itself."""
    from setupsheets.files.faults import DataFaults  # noqa: PLC0415
    from setupsheets.machining.checking.recipe_files import Checked  # noqa: PLC0415
    from setupsheets.records.folder import FOLDER, read_record  # noqa: PLC0415

    try:
        records = {item.path.resolve(): item for item in _records(shop)}
    except DataFaults as wrong:
        return [*found, Checked(shop.folder / FOLDER, "", wrong.faults)]
    if whole:
        return [*found, *records.values()]
    checked = []
    for item in found:
        faults, notices = item.faults, item.notices
        if item.kind == "record" and (here := records.get(item.path.resolve())) is not None:
            faults, notices = here.faults, here.notices
        elif item.kind == "record" and not faults:
            try:
                read_record(item.path, shop)
            except DataFaults as wrong:
                faults = wrong.faults
        checked.append(replace(item, faults=faults, notices=notices))
    return checked


def _records(shop: Shop) -> Iterator[Checked]:
    """The records of a shop with all that is wrong with them and their entries, and what is to be
    known of them; then what lies among them and is none. Raises DataFaults for the folder."""
    from setupsheets.files.documents import yaml_files  # noqa: PLC0415
    from setupsheets.files.faults import Fault, whole_file  # noqa: PLC0415
    from setupsheets.machining.checking.recipe_files import Checked  # noqa: PLC0415
    from setupsheets.records.shop_records import ShopRecords  # noqa: PLC0415
    from setupsheets.wording.open_together import beside_words  # noqa: PLC0415

    records = ShopRecords(shop)
    notices = {
        each.path: whole_file(
            each.path, beside_words(each.facts.job, each.facts.set_up, [one.name for one in group])
        )
        for group in records.open_together()
        for each in group[1:]
    }
    heads = dict.fromkeys(yaml_files(records.folder), ())
    wrong: dict[Path, list[Fault]] = {}
    for path, told in records.passed_over().items():
        head = path.parent.with_suffix(".yaml")
        wrong.setdefault(head if head in heads else path, []).extend(told.faults)
    for path in (*heads, *(path for path in wrong if path not in heads)):
        told_of = (notices[path],) if path in notices else ()
        yield Checked(path, "record", faults=tuple(wrong.get(path, ())), notices=told_of)


def _upgrade(paths: list[Path], shop: Shop) -> None:
    from setupsheets.files.upgrades import upgrade_file  # noqa: PLC0415
    from setupsheets.shop.editors import add_schema_line, write_schemas  # noqa: PLC0415
    from setupsheets.shop.older_versions import STEPS  # noqa: PLC0415

    write_schemas(shop)
    for path in paths:
        if (old := upgrade_file(path, STEPS)) is not None:
            typer.echo(f"{path}: brought up to date; the old one is {old}", err=True)
        if add_schema_line(path, shop):
            typer.echo(f"{path}: its first line leads an editor to its schema", err=True)


def _draw(found: list[Checked], folder: Path, notation: Notation) -> None:
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415
    from setupsheets.sheets.drawings.joint_drawing import proof_drawing  # noqa: PLC0415
    from setupsheets.sheets.full_size.plate_svg import plate_drawing  # noqa: PLC0415
    from setupsheets.sheets.full_size.templates import moulding_plate  # noqa: PLC0415
    from setupsheets.wording.proofs import proof_title  # noqa: PLC0415

    failed = [proof for item in found for proof in item.proofs if not proof.holds]
    drawn = {
        f"{drawing.name}.svg": (drawing.svg, proof_title(proof))
        for number, proof in enumerate(failed, 1)
        if (drawing := proof_drawing(f"proof-{number}", proof_title(proof), proof, notation.show))
    }
    for item in found:
        if item.moulding is not None:
            plate = moulding_plate(item.path.stem, item.moulding, notation)
            drawn[f"{plate.name}.svg"] = plate_drawing(plate).svg, plate.title
    write_all(folder, {name: svg for name, (svg, _) in drawn.items()})
    for name, (_, title) in drawn.items():
        typer.echo(f"{folder / name}: {title}", err=True)


def _print(item: Checked, notation: Notation, told: set[str]) -> None:
    """What there is to say of a file; a fault of another one that is ``told`` is not told again."""
    from setupsheets.wording.proofs import proof_line  # noqa: PLC0415
    from setupsheets.wording.readiness import obstacle_lines  # noqa: PLC0415

    faults = _faults(item, notation)
    new = [line for line in dict.fromkeys(faults) if line not in told]
    for line in (*new, *_notices(item, notation)):
        typer.echo(line, err=True)
    told.update(faults)
    if faults and not new:
        others = sorted({str(fault.mark.path) for fault in item.faults} - {str(item.path)})
        then = f"cannot be worked through until {listed(others)} is put right"
        typer.echo(f"{item.path}: {then}", err=True)
    unproved = (proof_line(each, notation.show) for each in item.proofs if not each.holds)
    for line in (*unproved, *obstacle_lines(item.obstacles, notation)):
        typer.echo(f"{item.path}: {line}", err=True)
    if standing := _standing(item):
        typer.echo(f"{item.path}: {standing}", err=not item.sound)


def _standing(item: Checked) -> str:
    """Whether the file is sound and its job ready; nothing where what is wrong has been said."""
    from setupsheets.wording.proofs import proved_words  # noqa: PLC0415
    from setupsheets.wording.readiness import not_ready  # noqa: PLC0415

    unproved = sum(not proof.holds for proof in item.proofs)
    if item.obstacles:
        return not_ready(item.obstacles, unproved)
    return f"sound{proved_words(len(item.proofs))}" if item.sound else ""


def _faults(item: Checked, notation: Notation) -> list[str]:
    from setupsheets.wording.joinery_faults import faults_in_words  # noqa: PLC0415

    design = faults_in_words(item.design, notation).faults if item.design else ()
    return [str(fault) for fault in (*item.faults, *design)]


def _notices(item: Checked, notation: Notation) -> list[str]:
    from setupsheets.wording.doubts import doubt_words  # noqa: PLC0415
    from setupsheets.wording.support import order_notice  # noqa: PLC0415

    doubts = [each.marks.fault(doubt_words(each, notation), *each.place) for each in item.doubts]
    order = [f"{item.path}: {order_notice(item.order)}"] if item.order else []
    return [*(str(fault) for fault in (*item.notices, *doubts)), *order]


def _plain(item: Checked, notation: Notation) -> dict[str, Any]:
    from setupsheets.wording.proofs import proof_line, proof_title  # noqa: PLC0415
    from setupsheets.wording.readiness import obstacle_lines  # noqa: PLC0415

    return {
        "path": str(item.path),
        "kind": item.kind,
        "sound": item.sound,
        "ready": item.sound and not item.obstacles,
        "faults": _faults(item, notation),
        "notices": _notices(item, notation),
        "in_the_way": obstacle_lines(item.obstacles, notation),
        "proofs": [
            {
                "name": proof_title(proof),
                "holds": proof.holds,
                "words": proof_line(proof, notation.show),
            }
            for proof in item.proofs
        ],
    }
