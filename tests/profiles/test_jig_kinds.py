"""What a jig does is told by its kind: recipes of version 1, and names that say otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from setupsheets.files.documents import read_document
from setupsheets.files.faults import DataFaults
from setupsheets.files.kinds import CURRENT
from setupsheets.files.upgrades import upgrade_file
from setupsheets.lengths import Unit
from setupsheets.shop.loading import load
from setupsheets.shop.older_versions import JIGS_OF_VERSION_1, STEPS
from setupsheets.shop.recipe_checks import recipe_notices
from setupsheets.shop.recipes import JIG_SIZES, JigKind, Recipe, RecipeOperation
from tests.profiles.shipped import recipes

SAMPLES = Path(__file__).parent / "samples"
VERSION_1 = SAMPLES / "recipe-v1.yaml"
"""The grooved bar as it shipped at version 1, never changed since."""

TOOLS = ("rule", "caliper")


def test_every_older_version_has_its_sample() -> None:
    wanted = {f"recipe-v{number}.yaml" for number in range(1, CURRENT["recipe"])}
    assert {path.name for path in SAMPLES.glob("recipe-*.yaml")} == wanted


def recipe(path: Path) -> Recipe:
    found = load(path, "recipe", Unit.IN)
    assert isinstance(found, Recipe)
    return found


def done(found: Recipe) -> list[RecipeOperation]:
    """Its operations, but for what they are called on the sheet today."""
    return [replace(operation, title="") for operation in found.operations]


def kinds(found: Recipe) -> dict[str, set[JigKind]]:
    return {operation.name: {jig.kind for jig in operation.jigs} for operation in found.operations}


def test_a_recipe_that_shipped_at_version_1_is_what_it_is_today() -> None:
    old = recipe(VERSION_1)
    assert done(old) == done(recipes()["bar-grooved"])
    assert kinds(old)["strip"] == {
        *(JigKind.FILLS, JigKind.PRESSES, JigKind.HOLDS_DOWN, JigKind.PUSHES)
    }
    assert recipe_notices(old, TOOLS) == ()


@pytest.mark.parametrize(
    ("name", "called"),
    [
        ("name: hold-down", "name: no clamp needed"),
        ("name: hold-down", "name: sled of our own"),
        ("name: filler strip", "name: packing strip"),
    ],
)
def test_a_jig_of_an_older_file_with_a_name_of_its_own_holds_nothing_and_says_so(
    name: str, called: str, tmp_path: Path
) -> None:
    path = tmp_path / "ours.yaml"
    path.write_text(VERSION_1.read_text().replace(name, called))
    found = recipe(path)
    (jig,) = (jig for operation in found.operations for jig in operation.jigs
              if jig.name == called.removeprefix("name: "))  # fmt: skip
    assert jig.kind is JigKind.UNSAID
    assert not jig.kind.steadies and not jig.kind.keeps_hands_off
    (notice,) = recipe_notices(found, TOOLS)
    assert notice.field.endswith("kind") and jig.name in notice.message
    assert "counts as holding nothing" in notice.message


def test_a_strip_of_an_older_file_without_its_sizes_fills_nothing(tmp_path: Path) -> None:
    sizes = "\n        sizes: {width: section.sticking.depth, height: section.sticking.width}"
    path = tmp_path / "ours.yaml"
    path.write_text(VERSION_1.read_text().replace(sizes, ""))
    assert JigKind.FILLS not in kinds(recipe(path))["strip"]


def test_an_older_recipe_is_rewritten_with_its_kinds_and_keeps_its_comments(
    tmp_path: Path,
) -> None:
    path = tmp_path / "bar-grooved.yaml"
    path.write_bytes(VERSION_1.read_bytes())
    kept = upgrade_file(path, STEPS)
    assert kept is not None and kept.read_bytes() == VERSION_1.read_bytes()
    assert read_document(path).version == CURRENT["recipe"]
    assert done(recipe(path)) == done(recipes()["bar-grooved"])
    assert "# Half a kerf into the groove" in path.read_text()


@pytest.mark.parametrize("kind", JIG_SIZES)
def test_a_jig_without_the_sizes_that_it_works_by_is_refused(kind: JigKind, tmp_path: Path) -> None:
    path = tmp_path / "ours.yaml"
    text = VERSION_1.read_text().replace("version: 1", "version: 2", 1)
    for name, told in JIGS_OF_VERSION_1.items():
        text = text.replace(f"name: {name},", f"name: {name}, kind: {told},")
        text = text.replace(f"name: {name}\n", f"name: {name}\n        kind: {told}\n")
    path.write_text(text)
    assert done(recipe(path)) == done(recipes()["bar-grooved"])
    path.write_text(text.replace("kind: holds_down", f"kind: {kind}"))
    with pytest.raises(DataFaults) as found:
        recipe(path)
    said = [(fault.field, fault.message) for fault in found.value.faults]
    assert [field.split(".")[-1] for field, _ in said] == sorted(JIG_SIZES[kind])
    path.write_text(text.replace("kind: holds_down, ", ""))
    with pytest.raises(DataFaults, match="kind"):
        recipe(path)


def test_no_jig_that_ships_leaves_open_what_it_does() -> None:
    assert all(recipe_notices(found, TOOLS) == () for found in recipes().values())
    names = {jig.name: jig.kind for found in recipes().values()
             for operation in found.operations for jig in operation.jigs}  # fmt: skip
    assert {name: names[name] for name in JIGS_OF_VERSION_1} == JIGS_OF_VERSION_1
