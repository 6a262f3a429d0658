"""Every JSON document is of the form that its schema describes, and can be computed with.

Validated by jsonschema, which knows nothing of the program; lengths are worked back from words.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from jsonschema import Draft202012Validator

from setupsheets.joinery.leaf import whole, work_out
from setupsheets.joinery.notes import DesignFaults
from setupsheets.json_forms.parts_form import parts_form
from setupsheets.lengths import Unit
from setupsheets.shop.jobs import Job
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS
from tests.joinery.test_any_job import OAK, likely
from tests.running import run

SCHEMAS = Path(__file__).resolve().parents[2] / "schemas" / "json"
FORMS = sorted(path.stem for path in SCHEMAS.glob("*.json"))
PLAIN = re.compile(r"(?:(\d+) )?(?:(\d+)/(\d+) )?in|(\d+(?:\.\d+)?) mm")


def schema(form: str) -> dict[str, Any]:
    read: dict[str, Any] = json.loads((SCHEMAS / f"{form}.json").read_text("utf-8"))
    return read


def sound(text: str, form: str) -> Any:
    """The document, held against its schema."""
    document = json.loads(text)
    assert document["form"] == form
    Draft202012Validator(schema(form)).validate(document)
    return document


def lengths(document: Any) -> Iterator[dict[str, str]]:
    if isinstance(document, dict):
        if set(document) == {"mm", "words"}:
            yield document
        else:
            for item in document.values():
                yield from lengths(item)
    elif isinstance(document, list):
        for item in document:
            yield from lengths(item)


@pytest.mark.parametrize("form", FORMS)
def test_schemas_are_schemas_and_describe_every_key(form: str) -> None:
    Draft202012Validator.check_schema(schema(form))

    def walk(part: Any) -> Iterator[Any]:
        if isinstance(part, dict):
            yield part
            for item in part.values():
                yield from walk(item)
        elif isinstance(part, list):
            for item in part:
                yield from walk(item)

    for part in walk(schema(form)):
        if isinstance(part.get("properties"), dict):
            assert part["additionalProperties"] is False and part["required"]
            assert all(each["description"].endswith(".") for each in part["properties"].values())


@pytest.fixture(params=["larder", "vestibule"])
def job(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> str:
    name: str = request.param
    run("begin", tmp_path / name, "--example", name)
    monkeypatch.chdir(tmp_path / name)
    return name


def test_what_is_read_is_of_its_form(job: str) -> None:
    texts = {
        "parts": run("parts", job, "--json").out,
        "route": run("order", job, "--json").out,
        "order": run("order", "bar-grooved", "--json").out,
        "check": run("check", "--json").out,
        "list": run("list", "--json").out,
        "recall": run("recall", "cope", "--json").out,
        "blocks": run("blocks", "13/32", "--json").out,
    }
    assert run("sheet", job, "--format", "json", "--to", "out").code == 0
    texts["sheet"] = Path("out", f"{job}.json").read_text("utf-8")
    for form, text in texts.items():
        assert text == json.dumps(json.loads(text), indent=2, ensure_ascii=False) + "\n"
        told = [*lengths(sound(text, form))]
        assert told or form in {"route", "order", "check", "list"}
        seen = 0
        for each in told:
            if plain := PLAIN.fullmatch(each["words"]):
                whole_, over, under, mm = plain.groups()
                # 25.4 mm to the inch by definition (international yard, 1959)
                exact = (
                    Fraction(mm)
                    if mm
                    else (Fraction(whole_ or 0) + Fraction(int(over or 0), int(under or 1)))
                    * Fraction("25.4")
                )
                close = Fraction(1, 100) if mm else Fraction(1, 1000)  # of what is a root
                assert abs(Fraction(each["mm"]) - exact) <= close, each
                seen += 1
        assert not told or seen
    sheet = json.loads(texts["sheet"])
    tried = [task for task in sheet["route"] if task["measures"]]
    assert any(task["test_pieces"] for task in tried)
    measured = {task["set_up"] for task in tried} - {"dry-fit", "glue-up", "hanging", "glazing"}
    for task in (task for task in sheet["route"] if task["set_up"] not in measured):
        assert (task["test_pieces"], task["test_pieces_because"]) == (0, ""), task["set_up"]
    rows = [(row["name"], row["rough"]["length"]) for row in sheet["parts"]["cut_list"]]
    cut = [
        (piece["name"].removeprefix("board of the "), piece["length"])
        for need in sheet["parts"]["boards"]
        for board in need["packing"]["boards"]
        for piece in board["pieces"]
        if not piece["name"].endswith(", first")  # longer by what a first error is cut away from
    ]
    assert cut and not [piece for piece in cut if piece not in rows]
    measures = [json.loads(texts["recall"])["recalled"]["record"]["measures"]]
    measures += [task["measures"] for task in tried]
    for each in (each for some in measures for each in some):
        least, target, most = (Fraction(each[key]["mm"]) for key in ("least", "target", "most"))
        assert least <= target <= most and least < most, each


def test_the_pages_of_one_machine_are_of_the_same_form(job: str) -> None:
    assert run("sheet", job, "--machine", "mortiser", "--format", "json", "--to", "out").code == 0
    told = sound(Path("out", f"{job}.mortiser.json").read_text("utf-8"), "sheet")
    assert told["parts"] is None and told["route"]


@pytest.mark.parametrize("job", ["larder"], indirect=True)
def test_advice_is_of_its_form(job: str) -> None:
    long = found(
        **(RIGHT | {"overall": "15 3/8", "back_length": "14 5/8", "face_length": "14 1/2"})
    )
    told = sound(run("correct", job, CROSS_BAR, "--json", *long).out, "correct")
    (move,) = told["answer"]["moves"]
    assert (move["cause"], Fraction(move["by"]["mm"])) == ("blank.length", Fraction("-6.35"))
    kept = sound(run("log", job, CROSS_BAR, "--json", *long).out, "log")
    assert kept["answer"] == told["answer"], "as correct tells of the same readings"
    told = sound(run("log", job, CROSS_BAR, "--json", "--did", "advised").out, "log")
    assert Path(told["record"]).is_file() and told["dials"]
    sound(run("recall", "cross", "--json").out, "recall")
    dry = found(diagonal_from_lower_left="43 7/8", diagonal_from_lower_right="43 7/8")
    sound(run("correct", job, "dry-fit", "--json", *dry, "--sure").out, "correct")
    none = run("blocks", ".0001", "--within", ".00001", "--json")
    assert sound(none.out, "blocks")["stack"] is None and none.code == 1


@given(likely())
def test_the_parts_of_any_job_are_of_their_form(job: Job) -> None:
    try:
        made = whole(work_out(job, SECTIONS, FINEST), OAK, FINEST, Unit.IN)
    except DesignFaults:
        return
    sound(json.dumps(parts_form(made, SIXTY_FOURTHS)), "parts")
