"""What ships: it validates, it builds, its names lead somewhere, its sizes fit one another."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import pytest

from setupsheets.files.schemas import check_against_schema
from setupsheets.lengths import Length, Unit
from setupsheets.machining.setting.passes import speed
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.loading import FORMATS, KINDS, made_from
from setupsheets.shop.machine_kinds import MACHINE_KINDS, MachineType
from setupsheets.shop.recipe_checks import recipe_faults
from setupsheets.shop.recipes import Makes, Recipe, RecipeOperation, Work
from setupsheets.shop.sections import Member, Section
from tests.profiles.shipped import FILES, FOLDERS, STARTERS, document, files, recipes, short, things

SHAPES = ("ovolo", "ogee", "cove", "bead", "chamfer")
UNITS = ("inch", "metric")

COUNTS = {"machine": 15, "cutter": 65, "section": 20, "recipe": 32, "timber": 21, "caution": 7}


@pytest.mark.parametrize("path", [*FILES, *STARTERS], ids=short)
def test_every_file_passes_its_schema_and_builds(path: Path) -> None:
    made = document(path)
    unit = Unit.MM if "metric" in path.parts else Unit.IN
    assert check_against_schema(made, unit, FORMATS) == ()
    thing: Any = made_from(made, unit)
    assert thing.name == path.stem
    assert isinstance(thing, KINDS[made.kind][1])


@pytest.mark.parametrize("kind", FOLDERS)
def test_files_lie_in_the_folder_of_their_kind(kind: str) -> None:
    assert {document(path).kind for path in files(kind)} == {kind}
    assert len(files(kind)) == COUNTS[kind]


LENGTHS = ("machine", "cutter", "section", "recipe")
WITHOUT = ("bench", "dry-fit")  # no length stands in these


@pytest.mark.parametrize("path", [p for kind in LENGTHS for p in files(kind)], ids=short)
def test_sizes_never_depend_on_the_shop_that_reads_them(path: Path) -> None:
    """A built-in file with lengths states its unit, and so means the same in every shop."""
    made = document(path)
    assert ("unit" in made.data) is (path.stem not in WITHOUT)
    assert made_from(made, Unit.IN) == made_from(made, Unit.MM)


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("shape", SHAPES)
def test_every_shape_has_its_pair_and_its_sections(shape: str, unit: str) -> None:
    cutters, sections = things("cutter"), things("section")
    sticking, cope = cutters[f"sticking-{shape}-{unit}"], cutters[f"cope-{shape}-{unit}"]
    assert sticking.profile == cope.profile
    assert sticking.profile.shape == shape
    for member in Member:
        section = sections[f"{shape}-{member}-{unit}"]
        assert section.member is member
        assert section.sticking == sticking.profile


MACHINES = [f"{kind.replace('_', '-')}-{unit}" for kind in MachineType for unit in UNITS]


@pytest.mark.parametrize("name", [name for name in MACHINES if not name.startswith("bench")])
def test_every_kind_of_machine_has_a_starter_in_each_unit(name: str) -> None:
    machine = things("machine")[name]
    assert name.startswith(machine.type.replace("_", "-"))


# ------------------------------------------------------------------------------- names that lead on

SECTIONS: list[Section] = list(things("section").values())
CUTTERS: list[Cutter] = list(things("cutter").values())
RECIPES: list[Recipe] = list(recipes().values())
OPERATIONS = [(recipe, operation) for recipe in RECIPES for operation in recipe.operations]


def named(value: Any) -> str:
    return value.name if hasattr(value, "name") else str(value)


@pytest.mark.parametrize("section", SECTIONS, ids=named)
def test_the_cutters_of_a_section_exist_and_fit_it(section: Section) -> None:
    cutters = {kind: things("cutter")[name] for kind, name in section.cutters.items()}
    assert {kind: cutter.type for kind, cutter in cutters.items()} == {
        kind: kind for kind in cutters
    }
    assert set(cutters) == {
        *("sticking_bit", "cope_bit", "moulding_block", "mortise_chisel", "drill_bit")
    }
    for kind in ("sticking_bit", "cope_bit", "moulding_block"):
        assert cutters[kind].profile == section.sticking
        assert cutters[kind].length >= section.sticking.depth
    # Tenon as thick as the tongue, so that one chisel wide is one mortise.
    assert cutters["mortise_chisel"].width == section.tongue_thickness
    assert cutters["drill_bit"].diameter == section.tongue_thickness


@pytest.mark.parametrize("section", SECTIONS, ids=named)
def test_a_section_can_be_made_and_stands_up(section: Section) -> None:
    assert section.tongue_thickness > Length.ZERO
    # About a third of the thickness: common practice.
    share = section.tongue_thickness / section.thickness
    assert 1 / 4 <= share <= 1 / 2
    if section.member is Member.BAR:
        assert section.width is not None
        assert section.tongue_width(section.width) > Length.ZERO
        assert section.face_flat(section.width) > Length.ZERO
    else:
        assert section.width is None


@pytest.mark.parametrize("path", [path for path in STARTERS if path.name == "shop.yaml"], ids=short)
def test_first_choices_lead_to_things_of_the_right_type(path: Path) -> None:
    settings = made_from(document(path), Unit.IN)
    size = path.parent.name
    for kind, name in settings.first_choice.machines.items():
        starters = things("machine")
        assert starters.get(f"{name}-{size}", starters.get(name)).type == kind
    for kind, name in settings.first_choice.cutters.items():
        assert things("cutter")[name].type == kind
    for kind, name in settings.first_choice.recipes.items():
        assert recipes()[name].makes == kind
    instruments = {measure.instrument for recipe in RECIPES for measure in recipe.measures}
    assert instruments <= settings.instruments.keys()


# --------------------------------------------------------------------------------------- recipes


@pytest.mark.parametrize("recipe", RECIPES, ids=named)
def test_every_name_in_a_recipe_leads_somewhere(recipe: Recipe) -> None:
    assert recipe_faults(recipe) == ()


def test_something_makes_everything() -> None:
    assert {recipe.makes for recipe in RECIPES} == set(Makes)


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize(("recipe", "operation"), OPERATIONS, ids=named)
def test_starters_have_the_settings_and_cutters_of_every_operation(
    recipe: Recipe, operation: RecipeOperation, unit: str
) -> None:
    if operation.work is Work.HAND:
        assert not operation.settings
        return
    name = f"{operation.machine.replace('_', '-')}-{unit}"
    assert operation.settings.keys() <= things("machine")[name].settings.keys()
    for kind in operation.cutters:
        assert any(cutter.type is kind for cutter in CUTTERS)


@pytest.mark.parametrize("recipe", RECIPES, ids=named)
def test_whatever_a_machine_is_set_to_is_measured(recipe: Recipe) -> None:
    """A setting that no reading moves with could be wrong unseen. Two need none: a stop for rough
    lengths, and the cheek that leaves its last shaving to the cope cutter."""
    read = {name for measure in recipe.measures for name in measure.reads.names}
    unread = {
        f"{operation.name}.{setting}"
        for operation in recipe.operations
        for setting in operation.settings
    } - read
    along = "fence" if recipe.name == "cope-router-table" else "stop"
    spared = (
        {"rough.stop"} if recipe.makes is Makes.BLANK else {f"face_cheek.{along}", "strip.height"}
    )
    assert unread <= spared


@pytest.mark.parametrize("recipe", RECIPES, ids=named)
def test_every_measure_says_how_and_has_room_for_a_good_part(recipe: Recipe) -> None:
    for measure in recipe.measures:
        assert measure.how.endswith(".")
        assert measure.tolerance.under + measure.tolerance.over >= Length("1/64 in")


# --------------------------------------------------------------------------------------- cutters


@pytest.mark.parametrize("cutter", CUTTERS, ids=named)
def test_every_cutter_has_a_machine_and_a_width_of_cut(cutter: Cutter) -> None:
    assert any(cutter.type in kind.cutters for kind in MACHINE_KINDS.values())
    assert cutter.cut_width > Length.ZERO


STACKS = [cutter for cutter in CUTTERS if cutter.type is CutterType.DADO_STACK]


@pytest.mark.parametrize("cutter", STACKS, ids=named)
def test_a_stack_can_be_made_up_to_its_width(cutter: Cutter) -> None:
    stack = cutter.stack
    assert stack is not None
    inner = (*stack.chippers, *stack.shims)
    widths = {
        sum(chosen, 2 * stack.outside)
        for count in range(len(inner) + 1)
        for chosen in itertools.combinations(inner, count)
    }
    assert cutter.kerf in widths


# Common practice (sources differ up to twofold; the maker's mark governs): the low end of each.
LOW_END = ((1, 18000), (2, 12000), (Length("2 1/2 in") / Length("1 in"), 9000), (4, 6000))
BITS = [
    cutter for cutter in CUTTERS if cutter.type in MACHINE_KINDS[MachineType.ROUTER_TABLE].cutters
]


@pytest.mark.parametrize("cutter", BITS, ids=named)
def test_router_bits_keep_to_the_low_end_of_common_practice(cutter: Cutter) -> None:
    assert cutter.diameter is not None
    inches = cutter.diameter / Length("1 in")
    limit = next(speed for most, speed in LOW_END if inches <= most)
    assert cutter.greatest_speed == limit


@pytest.mark.parametrize(
    "cutter", [c for c in CUTTERS if c.type is CutterType.SAW_BLADE], ids=named
)
def test_saw_blades_may_turn_as_fast_as_the_starters_turn_them(cutter: Cutter) -> None:
    unit = "metric" if cutter.name.endswith("mm") else "inch"
    for saw in (f"table-saw-{unit}", f"crosscut-saw-{unit}"):
        assert max(things("machine")[saw].speeds) <= (cutter.greatest_speed or 0)


BLOCKS = [c for c in CUTTERS if c.type in MACHINE_KINDS[MachineType.SPINDLE_MOULDER].cutters]


@pytest.mark.parametrize("cutter", BLOCKS, ids=named)
def test_blocks_are_told_for_feed_by_hand_and_turn_at_its_speeds(cutter: Cutter) -> None:
    """Rim at 40 to 70 m/s for feed by hand: a machine manual. Limiters: common practice."""
    assert "feed by hand" in cutter.notes and "0.9 to 1.1 mm" in cutter.notes
    assert "national rule or the maker's figure first" in cutter.notes
    unit = "metric" if "m" in cutter.name.split("-")[-1] else "inch"
    found = speed(things("machine")[f"spindle-moulder-{unit}"], cutter)
    assert found is not None and found.within and not found.slow
    assert 40 <= found.rim <= 70


def test_cope_bits_tell_a_flush_top_from_a_bearing() -> None:
    """A long tenon passes a flush top; over a bearing it may go no further than
    (cutting circle - bearing) / 2: plane geometry."""
    cutters = things("cutter")
    with_bearing = cutters["cope-ovolo-bearing-inch"]
    bearing = Length("7/8 in")
    assert with_bearing.reach == (with_bearing.diameter - bearing) / 2
    # Tenons about 1 1/2 in long: common practice, no published source.
    flush = [c for c in CUTTERS if c.type is CutterType.COPE_BIT and c != with_bearing]
    assert len(flush) == 10
    assert all(c.reach is not None and c.reach > Length("1 1/2 in") for c in flush)
    assert with_bearing.reach < Length("1 1/2 in")
