"""What a maker sees in an editor: asked of a YAML language server over stdio, where node has one.

The server is a program of others (yaml-language-server, named by LANGUAGE_SERVER) and knows nothing
of this one: what it says comes from the files alone that `begin` and `check --upgrade` leave.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from setupsheets.files.documents import read_document
from setupsheets.files.places import data_folder
from setupsheets.shop.editors import FOLDER
from setupsheets.shop.loading import KINDS
from tests.editors.language_server import LanguageServer, language_server
from tests.profiles.schema_trees import resolved, schema
from tests.profiles.test_patterns import BAD, GOOD
from tests.running import run

SHOPS = [("--unit", "in"), ("--example", "vestibule")]
IN = Path("jobs", "first-door.yaml")


def written(shop: Path) -> list[Path]:
    """The files of a shop that a maker writes."""
    return [path for path in sorted(shop.rglob("*.yaml")) if "records" not in path.parts]


@pytest.fixture(scope="module", params=SHOPS, ids=lambda each: each[1])
def shop(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("editor") / "shop"
    assert run("begin", folder, *request.param).code == 0
    return folder


@pytest.fixture(scope="module")
def inch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("editor") / "shop"
    assert run("begin", folder).code == 0
    return folder


def program() -> str:
    path = os.environ.get("LANGUAGE_SERVER", "")
    if not Path(path).is_file():
        pytest.skip("LANGUAGE_SERVER names no yaml-language-server")
    return path


@pytest.fixture(scope="module")
def server(inch: Path) -> Iterator[LanguageServer]:
    with language_server(program(), inch) as running:
        yield running


def keys_in(node: Any, place: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The place of every key of a file."""
    if isinstance(node, Mapping):
        for key, value in node.items():
            yield (*place, key)
            yield from keys_in(value, (*place, key))
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from keys_in(value, (*place, index))


def field_at(place: tuple[Any, ...], kind: str) -> Mapping[str, Any]:
    """What the schema says of a key."""
    field: Mapping[str, Any] = schema(kind)
    for key in place:
        listed = field["items"] if isinstance(key, int) else None
        known = listed or field.get("properties", {}).get(key)
        field = resolved(known or field["additionalProperties"], kind)
    return field


# ------------------------------------------------------------------------- in the language server


def test_every_file_of_a_shop_is_green_and_every_key_tells_what_it_is(shop: Path) -> None:
    with language_server(program(), shop) as server:
        for path in written(shop):
            assert server.diagnostics(path) == [], path
            made = read_document(path)
            keys = list(keys_in(made.data))
            for place in keys:
                field = field_at(place, made.kind)
                mark = made.marks.key_fault("", *place).mark
                told = server.hover(path, mark.line - 1, mark.column)
                assert told.startswith(f"#### {field['title']}\n"), (path.name, place, told)
                flat = " ".join(re.sub(r"\\(\W)", r"\1", told).split())
                assert " ".join(str(field["description"]).split()) in flat, (place, told)
                assert "Example:" in told or "Allowed Values:" in told
            assert len(keys) >= 5


WRONG: list[tuple[Path, str, str, str]] = [
    (IN, "width: 16", "width: hello", "expected a length of more than nought: 14 11/16"),
    (IN, "width: 16", "width: 2 1/x", "expected a length of more than nought: 14 11/16"),
    (IN, "width: 16", "width: '3,5'", "expected a length of more than nought: 14 11/16"),
    (IN, "width: 16", "width: '0'", "expected a length of more than nought: 14 11/16"),
    (IN, "width: 16", "width: 0", "exclusive minimum of 0"),
    (IN, "width: 16", "width: -3", "exclusive minimum of 0"),
    (IN, "width: 16", "width: [16]", "Incorrect type"),
    (IN, "horn: 1", "horn: -1/4", "expected a length of nought or more: 1/16, 2 mm, 0"),
    (IN, "width: 16", "widht: 16", "widht"),
    (IN, "fill: glass", "fill: plywood", "Value is not accepted"),
    (IN, "count: 1", "count: two", "Incorrect type"),
    (IN, "timber: black-cherry", "timber: Black Cherry", "Value is not accepted"),
    (IN, "section: ovolo-bar-inch", "section: ovolo bar", "Value is not accepted"),
    (
        Path("shop.yaml"),
        "finest: 1/64",
        "finest: 1/0",
        "expected a number of more than nought: 1/64",
    ),
    (
        Path("shop.yaml"),
        "finest: 1/64",
        "finest: fine",
        "expected a number of more than nought: 1/64",
    ),
    (Path("shop.yaml"), "finest: 1/64", "finest: 0", "exclusive minimum of 0"),
]


@pytest.mark.parametrize(("name", "right", "wrong", "says"), WRONG, ids=[row[2] for row in WRONG])
def test_what_is_wrong_is_red_where_it_stands(
    name: Path, right: str, wrong: str, says: str, inch: Path, server: LanguageServer
) -> None:
    text = (inch / name).read_text("utf-8")
    assert right in text
    slipped = inch / name.with_name(f"slip-{abs(hash(wrong))}.yaml")
    found = server.diagnostics(slipped, text.replace(right, wrong, 1))
    line = text[: text.index(right)].count("\n")
    here = [each for each in found if each["range"]["start"]["line"] == line]
    assert any(says in each["message"] for each in here), found


@pytest.mark.parametrize(
    ("key", "red"),
    [
        ("aim: section.rebate.depth", False),
        ("aim: section.rebate.depth +", True),
        ("aim: Section.rebate.depth", True),
        ("aim: 3 4", True),
        ("aim: min(section.rebate.depth, 3/8 in)", False),
    ],
)
def test_a_formula_is_seen_to_be_none(
    key: str, red: bool, inch: Path, server: LanguageServer
) -> None:
    text = (data_folder("profiles") / "recipes" / "rebate-rebate-bit.yaml").read_text("utf-8")
    assert "aim: section.rebate.depth\n" in text or "aim: section.rebate.depth}" in text
    led = f"# yaml-language-server: $schema=../{FOLDER}/recipe.json\n" + text
    path = inch / "recipes" / f"try-{abs(hash(key))}.yaml"
    found = server.diagnostics(path, led.replace("aim: section.rebate.depth", key, 1))
    assert bool(found) is red, found


def test_every_way_of_writing_a_length_is_as_in_the_program(
    inch: Path, server: LanguageServer
) -> None:
    """In quotes and, where YAML lets it stand so, without; each on a line of its own."""
    text = (inch / IN).read_text("utf-8") + "stock:\n  kerf: 1/8\n  lengths:\n"
    quoted = [json.dumps(each, ensure_ascii=False) for each in (*GOOD, *BAD)]
    plain = [each for each in GOOD if not re.search(r"[\"'\u00a0]|^ | $|^[+-]", each)]
    lines = "".join(f"    - {each}\n" for each in (*quoted, *plain))
    found = server.diagnostics(inch / "jobs" / "lengths.yaml", text + lines)
    first = text.count("\n") + len(GOOD)
    red = sorted({each["range"]["start"]["line"] for each in found})
    assert red == [*range(first, first + len(BAD))]
    assert len(plain) > 20


def test_keys_choices_and_names_are_offered(inch: Path) -> None:
    own = inch / "cutters" / "my-old-blade.yaml"
    own.parent.mkdir()
    own.write_text(
        "kind: cutter\nversion: 2\ntitle: My old blade\ntype: saw_blade\nunit: in\n"
        "diameter: 10\nkerf: 0.11\n"
    )
    ran = run("check", "--upgrade", own, "--shop", inch)
    assert ran.code == 0, ran.err
    assert own.read_text().startswith(f"# yaml-language-server: $schema=../{FOLDER}/cutter.json\n")
    text = (
        f"# yaml-language-server: $schema=../{FOLDER}/job.json\n"
        "kind: job\ntimber: \nstiles:\n  section: \nbars:\n  section: \ncutters:\n  saw_blade: \n"
        "machines:\n  table_saw: \nrecipes:\n  cope: \nfields:\n  - fill: \n\n"
    )
    path = inch / "jobs" / "offered.yaml"
    with language_server(program(), inch) as server:
        server.diagnostics(path, text)
        lines = text.splitlines()
        offered = [{*server.completions(path, at, len(lines[at]))} for at in range(len(lines))]
    assert {"black-cherry", "white-oak"} <= offered[2]
    assert "ovolo-frame-inch" in offered[4] and "ovolo-bar-inch" not in offered[4]
    assert "ovolo-bar-inch" in offered[6] and "ovolo-frame-inch" not in offered[6]
    assert {"my-old-blade", "rip-blade-10-inch"} <= offered[8]
    assert "straight-bit-3-4-inch" not in offered[8]
    assert "table-saw" in offered[10] and "mortiser" not in offered[10]
    assert {"cope-crosscut-saw", "cope-table-saw"} <= offered[12] and "dry-fit" not in offered[12]
    assert {"glass", "panel", "grooved panel"} <= offered[14]
    assert {"title", "leaf", "opening", "joints", "glazing", "hinges"} <= offered[15]


# --------------------------------------------------------------------------- what stands in a shop


@pytest.mark.parametrize("kind", KINDS)
def test_no_name_is_wrong_for_not_being_offered(kind: str, inch: Path) -> None:
    """The schemas of a shop let through what the program's own do: whatever name is in a file."""
    copied = json.loads((inch / FOLDER / f"{kind}.json").read_text("utf-8"))
    Draft202012Validator.check_schema(copied)
    example = schema(kind)["examples"][0]
    named = json.dumps(example).replace("-inch", "-of-my-own").replace("black-cherry", "bog-oak")
    for text in (json.dumps(example), named):
        found = [
            each.message for each in Draft202012Validator(copied).iter_errors(json.loads(text))
        ]
        assert found == []


def test_upgrade_leads_an_older_shop_to_its_schemas_and_keeps_what_was_written(
    inch: Path, tmp_path: Path
) -> None:
    """What a maker wrote stays to the letter: comments, odd spacing, line ends, a byte order mark,
    a line of his own to another schema."""
    run("begin", tmp_path / "old")
    old = tmp_path / "old"
    texts = {path: path.read_bytes().split(b"\n", 1)[1] for path in written(old)}
    job, saw, bench = (
        old / name
        for name in ("jobs/first-door.yaml", "machines/table-saw.yaml", "machines/bench.yaml")
    )
    texts[job] = b"\xef\xbb\xbf" + texts[job].replace(b"\n", b"\r\n") + b"# the end   \r\n"
    texts[bench] = b"# yaml-language-server: $schema=/mine/bench.json\n" + texts[bench]
    for path, text in texts.items():
        path.write_bytes(text)
    for path in (old / FOLDER).iterdir():
        path.unlink()
    (old / FOLDER).rmdir()
    ran = run("check", "--upgrade", "--shop", old)
    assert ran.code == 0, ran.err
    line = f"# yaml-language-server: $schema=../{FOLDER}/job.json\r\n".encode()
    assert job.read_bytes() == b"\xef\xbb\xbf" + line + texts[job].removeprefix(b"\xef\xbb\xbf")
    assert saw.read_bytes().split(b"\n", 1)[1] == texts[saw]
    assert bench.read_bytes() == texts[bench]
    assert {path.name for path in (old / FOLDER).iterdir()} == {f"{kind}.json" for kind in KINDS}
    once = {path: path.read_bytes() for path in sorted(old.rglob("*")) if path.is_file()}
    again = run("check", "--upgrade", "--shop", old)
    assert "leads an editor" in ran.err and "leads an editor" not in again.err
    assert {path: path.read_bytes() for path in once if path.name != ".lock"} == {
        path: held for path, held in once.items() if path.name != ".lock"
    }


def test_a_metric_shop_sees_millimetres_and_metric_names(tmp_path: Path) -> None:
    """18 in, the example of the program's own schema, is 457.2 mm, by definition of the inch."""
    run("begin", tmp_path / "shop", "--yes", "--unit", "mm")
    job = json.loads((tmp_path / "shop" / FOLDER / "job.json").read_text("utf-8"))
    assert schema("job")["properties"]["leaf"]["properties"]["width"]["examples"] == [18]
    assert job["properties"]["leaf"]["properties"]["width"]["examples"] == [457]
    assert job["properties"]["stiles"]["properties"]["section"]["examples"] == [
        "ovolo-frame-metric"
    ]
    assert not re.search(r'"examples": \[\s*"[0-9 ]+/', json.dumps(job["properties"]["opening"]))


def test_a_thing_begun_later_is_led_and_offered_at_once(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    run("begin", shop, "--yes")
    ran = run("begin", "--cutter", "our-blade", "--like", "rip-blade-10-inch", "--shop", shop)
    assert ran.code == 0, ran.err
    held = (shop / "cutters" / "our-blade.yaml").read_text("utf-8")
    assert held.startswith(f"# yaml-language-server: $schema=../{FOLDER}/cutter.json\n")
    job = json.loads((shop / FOLDER / "job.json").read_text("utf-8"))
    blades = job["$defs"]["cutters"]["properties"]["saw_blade"]["anyOf"][0]["enum"]
    assert {"our-blade", "rip-blade-10-inch"} <= {*blades}
    recipe = json.loads((shop / FOLDER / "recipe.json").read_text("utf-8"))
    instruments = recipe["$defs"]["instrument_name"]["anyOf"][0]["enum"]
    assert {"rule", "caliper"} <= {*instruments}


def test_a_record_gets_no_line(tmp_path: Path) -> None:
    run("begin", tmp_path / "shop", "--example", "larder")
    records = [*(tmp_path / "shop" / "records").rglob("*.yaml")]
    assert records
    run("check", "--upgrade", "--shop", tmp_path / "shop")
    assert not any(b"yaml-language-server" in path.read_bytes() for path in records)
