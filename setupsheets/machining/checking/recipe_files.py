"""A shop checked: files against their schemas, jobs worked through, recipes proved."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.documents import read_bytes, read_document, yaml_files
from setupsheets.files.faults import DataFaults, Fault, stop_on
from setupsheets.files.kinds import CURRENT
from setupsheets.joinery.leaf import whole
from setupsheets.joinery.notes import DesignFaults
from setupsheets.machining.checking.doubts import Doubt, doubts
from setupsheets.machining.checking.proof import Proof, prove_plan
from setupsheets.machining.checking.stand_in import stand_in_plan
from setupsheets.machining.conditions import condition_faults
from setupsheets.machining.cutting.planes import CutError
from setupsheets.machining.findings import operation_findings
from setupsheets.machining.obstacles import Obstacle, obstacles_of
from setupsheets.machining.plan import Plan, plan_of, sections_of
from setupsheets.machining.support.operation_order import BestOrder, best_order
from setupsheets.shop.caution_checks import unmade_faults
from setupsheets.shop.cautions import Cautions
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.finding import SHOP_FILE, Shop
from setupsheets.shop.jobs import Job
from setupsheets.shop.listing import misnamed
from setupsheets.shop.loading import KINDS, load, validated
from setupsheets.shop.machines import Machine
from setupsheets.shop.recipe_checks import recipe_notices
from setupsheets.shop.recipes import Recipe
from setupsheets.shop.sections import Section, Sticking
from setupsheets.shop.settings import ShopSettings


class Checked(Struct, frozen=True):
    """One file and what is wrong with it; for a job also with its design, what its set-ups prove,
    and what keeps its operations from being made; for a section or a cutter with an outline of the
    shop's own its ``moulding``, to be drawn back; for a recipe whose operations stand better in
    another ``order``, or spoil wood in their own, that. ``notices`` and ``doubts`` should be looked
    at and leave the file sound, as does an obstacle that another way of holding the part cures."""

    path: Path
    kind: str
    faults: tuple[Fault, ...] = ()
    design: DesignFaults | None = None
    proofs: tuple[Proof, ...] = ()
    notices: tuple[Fault, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    order: BestOrder | None = None
    moulding: Sticking | None = None

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong and nothing impossible."""
        wrong = self.faults or self.design or any(each.impossible for each in self.obstacles)
        return not wrong and all(proof.holds for proof in self.proofs)


def check_shop(shop: Shop) -> Iterator[Checked]:
    """Every file of the shop's own but its records, job by job worked through and proved on
    paper."""
    for folder in _folders(shop):
        try:
            paths = _files_in(folder, shop)
            kinds = [kind for kind, (name, _) in KINDS.items() if shop.folder / name == folder]
            odd = {fault.mark.path: fault for kind in kinds for fault in misnamed(shop, kind)}
        except DataFaults as found:
            yield Checked(folder, "", found.faults)
            continue
        for path in paths:
            checked = check_file(path, shop)
            told = (odd.pop(path),) if path in odd else ()
            yield replace(checked, notices=(*checked.notices, *told))
        for path, fault in odd.items():
            yield Checked(path, "", (fault,))


def shop_files(shop: Shop) -> Iterator[Path]:
    """Every data file of the shop's own, the entries of its records as well. Raises DataFaults for
    a folder that cannot be read."""
    for folder in _folders(shop):
        yield from _files_in(folder, shop)
    for head in yaml_files(shop.folder / "records"):
        yield head
        yield from yaml_files(head.with_suffix(""))


def _folders(shop: Shop) -> Iterator[Path]:
    yield shop.folder
    yield from (shop.folder / folder for folder, _ in KINDS.values() if folder != ".")


def _files_in(folder: Path, shop: Shop) -> list[Path]:
    """What lies in a folder of the shop's; right in its own, where other programs keep theirs as
    well, what says that it is of a kind of ours."""
    return [path for path in yaml_files(folder) if folder != shop.folder or _is_ours(path)]


_our_kind = re.compile(rb"^kind: *['\"]?(%s)\b" % "|".join(CURRENT).encode(), re.MULTILINE).search


def _is_ours(path: Path) -> bool:
    try:
        return path.name == SHOP_FILE or bool(_our_kind(read_bytes(path)))
    except DataFaults:
        return False


def check_file(path: Path, shop: Shop) -> Checked:
    """One file: read, checked against its schema, made; a job planned and proved as well."""
    kind = ""
    try:
        document, unit = read_document(path), shop.settings.unit
        kind = document.kind
        if kind not in KINDS:
            validated(document, kind, unit)
            return Checked(path, kind)
        thing = load(path, kind, unit, shop.trees)
        if isinstance(thing, ShopSettings):
            stop_on(_choice_faults(thing, shop))
        if isinstance(thing, Machine):
            stop_on(_moved_faults(thing, shop))
        if isinstance(thing, Cautions):
            stop_on(_unmade(thing, shop))
        if isinstance(thing, Job):
            return _job_checked(path, thing, shop)
        if isinstance(thing, Recipe):
            plans = tuple(_recipe_plans(thing, shop))
            return Checked(
                path,
                kind,
                proofs=tuple(proof for plan in plans for proof in prove_plan(plan)),
                notices=recipe_notices(thing, shop.settings.instruments),
                order=_order(plans),
            )
        return Checked(path, kind, moulding=_own_moulding(thing))
    except DataFaults as found:
        return Checked(path, kind, found.faults)
    except DesignFaults as found:
        return Checked(path, kind, design=found)


def _own_moulding(thing: object) -> Sticking | None:
    """The moulding of a section or a cutter, where its outline is the shop's own."""
    found = thing.sticking if isinstance(thing, Section) else None
    found = thing.profile if isinstance(thing, Cutter) else found
    return found if found is not None and found.outline else None


def _unmade(file: Cautions, shop: Shop) -> tuple[Fault, ...]:
    """Conditions of cautions that name an operation of no recipe; none is told of while a recipe is
    itself wrong."""
    try:
        recipes = [shop.recipe(found.name) for found in shop.everything("recipe")]
    except DataFaults:
        return ()
    return tuple(unmade_faults(file, recipes))


def _recipe_plans(recipe: Recipe, shop: Shop) -> Iterator[Plan]:
    """A recipe by itself: on every section that the shop's jobs use and that it is meant for."""
    jobs = [shop.job(found.name) for found in shop.everything("job")]
    sections = {name: section for job in jobs for name, section in sections_of(job, shop).items()}
    for section in sections.values():
        if section.member in recipe.members:
            yield stand_in_plan(recipe, section, shop)


def _order(plans: Iterable[Plan]) -> BestOrder | None:
    """The first order of a recipe's operations that is better than its own, or that spoils wood;
    None where each stands as well as any."""
    for set_up in (set_up for plan in plans for set_up in plan.set_ups):
        try:
            found = best_order(set_up.operations, set_up.subject)
        except (CutError, ValueError):
            continue  # told by its proof; or more operations than are searched
        if found.better or found.given.worst.spoils:
            return found
    return None


def _job_checked(path: Path, job: Job, shop: Shop) -> Checked:
    """A job worked out from end to end, as `sheet` does it, short of its pages."""
    timber = shop.timber_of(job)
    plan, unit = plan_of(job, shop), shop.settings.unit
    stop_on(condition_faults(plan, shop))
    whole(plan.joinery, timber, shop.settings.finest_mark, unit)
    found = (operation_findings(task, plan.joinery, timber.hard, unit=unit) for task in plan.tasks)
    return Checked(
        path,
        "job",
        proofs=prove_plan(plan),
        doubts=tuple(doubts(plan, shop.settings)),
        obstacles=obstacles_of(found),
    )


def _moved_faults(machine: Machine, shop: Shop) -> Iterator[Fault]:
    """Names under which a machine goes on that there are not, or that lead back to itself."""
    names = [machine.name]
    for index, event in enumerate(machine.events):
        place = ("events", index, "moved_to")
        if event.moved_to:
            try:
                shop.find("machine", event.moved_to)
            except DataFaults as found:
                yield from (machine.marks.fault(each.message, *place) for each in found.faults)
                return
            names = [machine.name, event.moved_to]
    while names[-1] not in names[:-1]:
        try:
            moved = [each.moved_to for each in shop.machine(names[-1]).events if each.moved_to]
        except DataFaults:
            return  # what is wrong with that file is told at it
        if not moved:
            return
        names.append(moved[-1])
    way = " to ".join(names)
    message = f"this leads back, from {way}: a machine goes on under one name in the end"
    yield machine.marks.fault(message, "events", len(machine.events) - 1, "moved_to")


def _choice_faults(settings: ShopSettings, shop: Shop) -> Iterator[Fault]:
    """First choices that there are not."""
    choices = settings.first_choice
    for kind, named in (
        ("machine", choices.machines),
        ("cutter", choices.cutters),
        ("recipe", choices.recipes),
    ):
        for key, name in named.items():
            try:
                shop.find(kind, name)
            except DataFaults as found:
                for fault in found.faults:
                    yield settings.marks.fault(fault.message, "first_choice", f"{kind}s", key)
