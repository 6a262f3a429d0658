"""The schemas in the hands of two checkers of others: check-jsonschema, from a folder that is none
of ours, and ajv (named by AJV) in its strict mode, which is a reader of ECMA-262 patterns as well.
"""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path
from typing import Any

import check_jsonschema
import pytest

from setupsheets.shop.editors import FOLDER
from setupsheets.shop.loading import KINDS
from tests.editors.test_editors import SHOPS, written
from tests.profiles.schema_trees import SCHEMAS
from tests.profiles.shipped import FILES, document
from tests.profiles.test_patterns import BAD, GOOD
from tests.profiles.written_schemas import every_schema
from tests.running import run

STRICT = """
const [, home, input] = process.argv
const Ajv = require(home + "/dist/2020")
const { schemas, values, keywords } = JSON.parse(require("fs").readFileSync(input, "utf8"))
const said = []
const logger = { log: m => said.push(m), warn: m => said.push(m), error: m => said.push(m) }
for (const schema of schemas) {
  try { new Ajv({ strict: true, logger, keywords }).compile(schema) }
  catch (wrong) { said.push(wrong.message) }
}
const length = new Ajv({ strict: true, logger, keywords }).compile(schemas[0].$defs.length)
console.log(JSON.stringify({ said, fits: values.map(value => length(value)) }))
"""


def strict(schemas: list[Any], values: list[Any], tmp_path: Path, *keywords: str) -> Any:
    """What ajv says of schemas in strict mode, ``keywords`` known beside the standard's, and which
    values are lengths of the first."""
    home = os.environ.get("AJV", "")
    if not Path(home, "dist", "2020.js").is_file():
        pytest.skip("AJV names no folder of ajv")
    asked = tmp_path / "asked.json"
    asked.write_text(json.dumps({"schemas": schemas, "values": values, "keywords": keywords}))
    ran = subprocess.run(
        ["node", "-e", STRICT, home, asked], capture_output=True, text=True, check=True
    )
    return json.loads(ran.stdout)


def read(path: Path) -> Any:
    return json.loads(path.read_text("utf-8"))


def test_every_schema_is_one_in_strict_mode_and_every_pattern_is_read(tmp_path: Path) -> None:
    told = strict([read(path) for path in every_schema()], [*GOOD, *BAD], tmp_path)
    assert told["said"] == []
    assert told["fits"] == [True] * len(GOOD) + [False] * len(BAD)


def test_the_schemas_of_a_shop_are_strict_too(tmp_path: Path) -> None:
    """But for the one word by which an editor says what a pattern wants."""
    run("begin", tmp_path / "shop", *SHOPS[-1])
    copied = [read(tmp_path / "shop" / FOLDER / f"{kind}.json") for kind in KINDS]
    job = next(each for each in copied if "length" in each["$defs"])
    assert strict([job, *copied], [], tmp_path, "patternErrorMessage")["said"] == []


def checked(schema: Path, files: list[Path]) -> None:
    """By check-jsonschema, as its command line has it."""
    with pytest.raises(SystemExit) as ended:
        check_jsonschema.main(["--schemafile", str(schema), *map(str, files)])
    assert ended.value.code == 0


@pytest.mark.parametrize("kind", sorted({document(path).kind for path in FILES}))
def test_what_is_built_in_passes_from_any_folder(
    kind: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    checked(SCHEMAS / f"{kind}.json", [path for path in FILES if document(path).kind == kind])


def test_what_is_wrong_does_not_pass(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text("kind: shop\nversion: 1\ntitle: A\nunit: in\nfinest: fine\n")
    with pytest.raises(SystemExit) as ended:
        check_jsonschema.main(["--schemafile", str(SCHEMAS / "shop.json"), str(wrong)])
    assert ended.value.code == 1


@pytest.mark.parametrize("begun", SHOPS, ids=lambda each: each[1])
def test_a_shop_passes_by_its_own_schemas(
    begun: tuple[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir("/")
    shop = tmp_path / "shop"
    run("begin", shop, *begun)
    for kind, (folder, _) in KINDS.items():
        files = [path for path in written(shop) if path.parent == (shop / folder).resolve()]
        if files:
            checked(shop / FOLDER / f"{kind}.json", files)
