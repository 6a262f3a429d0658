"""What a file may hold, as `list KIND --keys` tells it, against the schemas and jsonschema, which
knows nothing of the program."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from setupsheets.files.documents import read_text
from setupsheets.files.dumping import yaml_text
from setupsheets.files.schema_keys import EACH, Holds, Key, _keys, holds, keys_of
from setupsheets.files.schemas import check_against_schema, schema_of
from setupsheets.formulas import Formula
from setupsheets.formulas.expressions import FUNCTIONS
from setupsheets.lengths import Unit
from setupsheets.shop.file_examples import example_of
from setupsheets.shop.finding import profiles
from setupsheets.shop.formula_names import FORMULA_NAMES, There
from setupsheets.shop.loading import FORMATS, KINDS
from setupsheets.wording.formula_names import CALLS, PLACES, kind_words
from setupsheets.wording.schema_keys import HOLDS, _limits_words
from tests.doors import begun, checked, door
from tests.json_forms.test_forms import sound
from tests.profiles.schema_trees import NAMES, Place, Schema, resolved, schema
from tests.running import run


def raw(field: Schema, name: str, place: Place = ()) -> Iterator[tuple[Place, Schema]]:
    """Every key of a schema as it stands in the file, found without the program."""
    field = resolved(field, name)
    for key, inner in field.get("properties", {}).items():
        yield (*place, key), resolved(inner, name)
        yield from raw(inner, name, (*place, key))
    own = [*field.get("patternProperties", {}).values()]
    own += [each for each in [field.get("additionalProperties")] if isinstance(each, dict)]
    for inner in own:
        yield (*place, EACH), resolved(inner, name)
        yield from raw(inner, name, (*place, EACH))
    listed = field.get("else", field)  # an outline is a list, or the name of a drawing
    if "items" in listed:
        yield from raw(listed["items"], name, (*place, EACH))


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_of_a_kind_is_told_in_its_order(kind: str) -> None:
    wanted = [*raw(schema(kind), kind)]
    assert len(wanted) > 8
    assert [key.path for key in keys_of(kind)] == [place for place, _ in wanted]
    for key, (_, field) in zip(keys_of(kind), wanted, strict=True):
        assert (key.sentence, key.default) == (field["description"], field.get("default"))


@pytest.mark.parametrize(
    ("kind", "columns"),
    [*((kind, columns) for kind in KINDS for columns in (80, 40)), ("record", 80), ("entry", 80)],
)
def test_every_key_is_printed_with_its_sentence_at_any_width(
    kind: str, columns: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("setupsheets.commands.terminal.width", lambda: columns)
    ran = run("list", kind, "--keys")
    assert ran.code == 0 and not ran.err
    assert max(map(len, ran.out.splitlines())) <= columns
    blocks = [" ".join(block.split()) for block in ran.out.split("\n\n")][1:]
    keys = keys_of(kind)
    assert len(blocks) == len(keys)
    for block, key in zip(blocks, keys, strict=True):
        name = ".".join(key.path)
        assert re.match(rf"{re.escape(name)}: {HOLDS[key.holds]}\b.*; ", block)
        assert f" {' '.join(key.sentence.split())} example: " in block
        assert not (key.needed and key.name == EACH), "a name of a maker's own is never asked for"
        assert key.needed == ("; needed " in block.split(key.sentence[:20])[0] + " ") or (
            key.conditions
        )


@pytest.mark.parametrize(
    ("schema", "words"),
    [
        ({"type": "number", "minimum": 0, "exclusiveMaximum": 45}, ", 0 or more and less than 45"),
        ({"type": "number", "exclusiveMinimum": 0, "maximum": 2}, ", more than 0 and 2 or less"),
        ({"type": "integer", "minimum": 1}, ", 1 or more"),
        ({"type": "number"}, ""),
    ],
)
def test_what_a_number_must_lie_between_is_told_to_its_very_end(
    schema: dict[str, Any], words: str
) -> None:
    """JSON Schema 2020-12, Validation, 6.2: the exclusive limits are not reached."""
    kind = Holds.WHOLE if schema["type"] == "integer" else Holds.FRACTION
    assert _limits_words(schema, kind) == words
    assert _limits_words(schema, Holds.SIZE) == ""


def needed_by_jsonschema(kind: str, data: dict[str, Any]) -> set[str]:
    """The keys that jsonschema misses at the top of a file."""
    validator = Draft202012Validator(schema(kind))
    return {
        match[1]
        for error in validator.iter_errors(data)
        if error.validator in ("required", "dependentRequired") and not error.absolute_path
        if (match := re.match("'(.*)' is a (required property|dependency)", error.message))
    }


def refused_by_jsonschema(kind: str, data: dict[str, Any], key: str) -> bool:
    """Whether jsonschema lets a key stand in a file."""
    validator = Draft202012Validator(schema(kind))
    return any(
        [*error.absolute_path] == [key] and error.validator == "type" and "null" in error.message
        for error in validator.iter_errors(data)
    )


TYPES = [
    *(("cutter", {"type": each}) for each in schema("common")["$defs"]["cutter_type"]["enum"]),
    *(("section", {"member": each}) for each in ("frame", "bar")),
    ("timber", {"density": 560}),
    ("timber", {}),
]


@pytest.mark.parametrize(("kind", "data"), TYPES)
def test_what_is_needed_where_is_what_jsonschema_asks_for(kind: str, data: dict[str, Any]) -> None:
    top = [key for key in keys_of(kind) if len(key.path) == 1]
    needed = {key.name for key in top if key.needed_in(data)} - data.keys()
    assert needed == needed_by_jsonschema(kind, data)
    for key in top:
        refused = refused_by_jsonschema(
            kind, {**data, key.name: key.schema["examples"][0]}, key.name
        )
        assert key.allowed_in(data) is not refused, key.name


def test_what_is_needed_in_one_thing_is_not_needed_in_another_that_has_the_same_keys() -> None:
    thing = {"type": "object", "properties": {"size": {"type": "string"}}}
    asked = {"if": {"properties": {"kind": {"const": "x"}}},
             "then": {"properties": {"one": {"required": ["size"]}}}}  # fmt: skip
    own = {"kind": {"enum": ["x", "y"]}, "one": thing, "other": thing, "size": {"type": "string"}}
    needed = {key.path: bool(key.conditions)
              for key in _keys({"properties": own, "allOf": [asked]}, (), ())}  # fmt: skip
    assert needed == {("kind",): False, ("one",): False, ("one", "size"): True,
                      ("other",): False, ("other", "size"): False, ("size",): False}  # fmt: skip


def test_the_dials_of_each_machine_are_asked_for() -> None:
    for each in schema("common")["$defs"]["machine_type"]["enum"]:
        data = {"type": each, "settings": {}}
        validator = Draft202012Validator(schema("machine"))
        missing = {
            error.message.split("'")[1]
            for error in validator.iter_errors(data)
            if error.validator == "required" and [*error.absolute_path] == ["settings"]
        }
        dials = [key for key in keys_of("machine") if key.path[:1] == ("settings",)]
        told = {key.name for key in dials if len(key.path) == 2 and key.needed_in(data)}
        assert told == missing, each


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ("cutter.kerf", "needed where type is saw_blade, dado_stack or slot_cutter, not elsewhere"),
        ("cutter.diameter", "not where type is mortise_chisel or knife, needed elsewhere"),
        ("section.width", "needed where member is bar"),
        (
            "recipe.operations.*.against",
            "needed where work is edge, end, mortise or halving; not where work is hand",
        ),
        ("machine.settings.stop", "needed where type is crosscut_saw"),
        ("timber.density_source", "needed where there is density"),
        ("shop.tolerances.cheek", "1/128 in where it is left out"),
        ("jobs.count", "a whole number, 1 or more and 500 or less; 1 where it is left out"),
        ("job.cutters.*", "the key is RECIPE.OPERATION"),
    ],
)
def test_one_key_is_told_by_itself(
    asked: str, shown: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    assert shown in run("list", asked, "--keys").out


def test_a_metric_shop_reads_millimetres(tmp_path: Path) -> None:
    run("begin", tmp_path / "shop", "--unit", "mm")
    told = run("list", "job.leaf", "--keys", "--shop", tmp_path / "shop").out
    assert "in mm unless the file has a unit: of its own" in told
    assert "width: a length, more than nought, in mm" in told
    assert "example: width: 457" in told  # 18 in is 457.2 mm, by definition of the inch (1959)
    cheek = run("list", "shop.tolerances.cheek", "--keys", "--shop", tmp_path / "shop").out
    assert "0.2 mm where it is left out" in cheek  # as such a shop's sheets give it


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("jop", "unknown kind 'jop'; did you mean 'job'?"),
        ("job.openin", "unknown key 'openin'; did you mean 'opening'?"),
        ("", "of which kind? machine, cutter, section"),
    ],
)
def test_what_is_no_kind_or_key_is_guessed(asked: str, said: str) -> None:
    ran = run("list", *([asked] if asked else []), "--keys")
    assert ran.code == 2 and said in " ".join(ran.err.split())


def test_a_word_that_is_a_key_leads_to_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    run("begin", tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    ran = run("list", "out_of_square")
    assert ran.code == 1
    assert "setupsheets list job.opening.out_of_square --keys" in ran.err


@pytest.mark.parametrize("kind", [*KINDS, "record", "entry"])
def test_the_keys_are_told_to_programs(kind: str) -> None:
    told = sound(run("list", kind, "--keys", "--json").out, "keys")
    assert [each["key"] for each in told["keys"]] == [".".join(key.path) for key in keys_of(kind)]
    assert told["kind"] == kind


@pytest.mark.parametrize("kind", KINDS)
def test_an_example_is_as_good_in_a_metric_shop(kind: str) -> None:
    """The whole example of a kind passes its schema in mm, and names what is built in there."""
    whole = example_of(schema_of(kind), Unit.MM)
    made = read_text(yaml_text(whole), Path("example.yaml"))
    assert check_against_schema(made, Unit.MM, FORMATS) == ()
    assert "inch" not in yaml_text(whole)


def test_named_examples_are_there_in_both_units() -> None:
    there = {path.stem for path in profiles().rglob("*.yaml")}
    there |= {stem.removesuffix("-inch") for stem in there}  # machines, as `begin` names them
    for kind in KINDS:
        for key in keys_of(kind):
            if key.holds is Holds.NAME and key.path[-1] not in ("knife", "moved_to"):
                for unit in Unit:
                    assert example_of(key.schema, unit) in there, key.path


@pytest.mark.parametrize("unit", [*Unit])
def test_what_was_made_by_way_of_example_fits_what_is_built_in(tmp_path: Path, unit: Unit) -> None:
    """Sizes of mates and of grooves go with the built-in cutters: the job is sound with them."""
    keys = {key.path: example_of(key.schema, unit) for key in keys_of("job") if key.path[0]
            in ("as_made", "panels")}  # fmt: skip
    sizes = {path[2]: example for path, example in keys.items() if path[:2] == ("as_made", EACH)
             and len(path) == 3}  # fmt: skip
    groove = {"groove_width": sizes.pop("groove_width")}
    more = {"panels": keys["panels",], "as_made": {"top rail": sizes, "panel of field 1": groove}}
    job = door(begun(tmp_path, unit), unit, fields="[{fill: grooved panel}]", more=yaml_text(more))
    assert len(sizes) == 3 and checked(job).code == 0, checked(job).err


@pytest.mark.parametrize(
    ("shown", "unit", "example"),
    [
        ("machine.settings.height", "in", "title: Blade height"),
        ("machine.settings.stop", "in", "less: stop towards the blade"),
        ("job.seasons", "in", "dry: {celsius: 20, humidity: 30}"),
        ("shop.finest", "in", "finest: 1/64"),
        ("shop.finest", "mm", "finest: 0.5"),
    ],
)
def test_a_key_and_what_it_holds_have_one_example(
    tmp_path: Path, shown: str, unit: str, example: str
) -> None:
    """A blade's height is no rip fence, the driest air is dry, and no rule has 64ths of a mm."""
    out = run("list", shown, "--keys", "--shop", begun(tmp_path, unit)).out
    assert f"example: {example}" in out or example in " ".join(out.split())
    assert "Rip fence" not in out


def test_everything_that_a_key_may_hold_is_worded() -> None:
    assert set(HOLDS) == set(Holds)
    held = {holds(key.schema) for kind in KINDS for key in keys_of(kind)}
    assert held >= set(Holds) - {Holds.DATE, Holds.FORMULA} and isinstance(keys_of("job")[0], Key)


# ---------------------------------------------------------------------------------------- formulas


def test_every_name_of_formulas_is_told() -> None:
    out = run("list", "formulas").out
    for each in FORMULA_NAMES:
        assert f"  {each.name}: {each.what} ({kind_words(each)})" in out
    assert set(PLACES) == set(There)
    works = schema("common")["$defs"]["work"]["enum"]  # the same words that an operation gives
    assert f"mortise ... (one of {', '.join(works)})" in out
    told = sound(run("list", "formula", "--json").out, "formulas")
    assert [each["name"] for each in told["names"]] == [each.name for each in FORMULA_NAMES]


def test_every_function_is_told_as_it_is_called() -> None:
    assert set(CALLS) == {*FUNCTIONS, "choose"}
    for name, words in CALLS.items():
        call, _, what = words.partition(": ")
        assert call.startswith(f"{name}(") and what
        call = call.replace(" ...", "").replace("condition", "1 < 2")
        for word, value in (("a", "5/2"), ("b", "4"), ("step", "3")):
            call = re.sub(rf"\b{word}\b", value, call)
        Formula.parse(call)


def test_no_schema_sends_a_maker_to_a_source_file() -> None:
    texts = [json.dumps(schema(name)) for name in NAMES]
    assert not any(".py" in text for text in texts)
    assert any("setupsheets list formulas" in text for text in texts)
