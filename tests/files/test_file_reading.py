"""Reading: what a data file may hold, what it must not, and where each fault stands.

Outside sources: YAML 1.2.2 (yaml.org, 1 October 2021) for scalars and characters; the rest are the
project's own rules about what is refused.
"""

from __future__ import annotations

import os
import re
import stat
import sys
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from setupsheets.files.documents import (
    MOST_BYTES,
    decoded,
    is_there,
    read_document,
    read_text,
    yaml_files,
)
from setupsheets.files.faults import DataFaults, Position
from setupsheets.files.plain_tree import MOST_DEPTH, MOST_NODES
from tests.files.helpers import HERE, document, faults_in

HEAD = "kind: job\nversion: 1\n"

# ------------------------------------------------------------------------------- what is refused

# Text after the head (so its first line is line 3), and for each fault: line, column, words.
REFUSED: list[tuple[str, list[tuple[int, int, str]]]] = [
    (
        "a: &one 1\n",
        [(3, 4, "the anchor &one is not read here: write the value out where it is used")],
    ),
    ("a: *one\n", [(3, 4, "alias *one")]),
    ("a: &one 1\nb: *one\n", [(3, 4, "anchor &one"), (4, 4, "alias *one")]),
    ("a: {x: 1}\nb:\n  <<: {y: 2}\n", [(5, 3, "merge key <<")]),
    ("a: !!str 1\n", [(3, 4, "the tag")]),
    ("a: !inches 1\n", [(3, 4, "tag !inches")]),
    ("a: ! 1\n", [(3, 4, "the tag")]),
    ("a: 1\nb: 2\na: 3\n", [(5, 1, "'a' stands here a second time; the first is in line 3")]),
    ("a: {x: 1, x: 2}\n", [(3, 11, "the first is in line 3")]),
    ("'a': 1\na: 2\n", [(4, 1, "the first is in line 3")]),
    ("kind: job\n", [(3, 1, "the first is in line 1")]),
    ("1: x\n", [(3, 1, "a key is text; found 1")]),
    ("a: {b: 16,5, c: 3}\n", [(3, 8, "'16,5' is no number: a comma parts values here")]),
    ("a: {b: 1, c: 36,25 mm}\n", [(3, 14, "'36,25 mm' is no number: a comma parts")]),
    ("a: {b: 16, 5: 3}\n", [(3, 12, "a key is text; found 5")]),
    ("a: {b: x,5: 3}\n", [(3, 10, "a key is text; found 5")]),
    ("a: 16\n5: 3\n", [(4, 1, "a key is text; found 5")]),
    ("true: x\n", [(3, 1, "a key is text; found true")]),
    ("0.5: x\n", [(3, 1, "a key is text; found 0.5")]),
    ("~: x\n", [(3, 1, "a key is text; found ~")]),
    (": x\n", [(3, 1, "a key is text; found nothing")]),
    ("? [a, b]\n: x\n", [(3, 3, "a key is text; found a list")]),
    ("a: 2024-02-30\n", [(3, 4, "2024-02-30 is no date")]),
    ("a: 2023-02-29\n", [(3, 4, "2023-02-29 is no date")]),
    ("a: 2024-13-01\n", [(3, 4, "2024-13-01 is no date")]),
    (f"a: {'9' * 101}\n", [(3, 4, "number of 101 characters")]),
    ("a: 1e101\n", [(3, 4, "beyond any use")]),
    ("a: 1e-101\n", [(3, 4, "beyond any use")]),
    ("a: '\\u0007'\nb: \"\\u0007\"\n", [(4, 4, "U+0007")]),
    ('a: "\\ud800"\n', [(3, 4, "U+D800")]),
    ("---\na: 1\n", [(3, 1, "a second document begins here")]),
    ("...\n---\na: 1\n", [(4, 1, "a second document begins here")]),
    ("a: b: c\n", [(3, 5, "a ': ' where none can stand")]),
    ("a: 1\n b: 2\n", [(4, 3, "a ': ' where none can stand")]),
    ("a:\n  b: 1\n c: 2\n", [(5, 2, "the indentation does not match")]),
    ("word\n", [(3, 1, "expected 'key: value' here")]),
    ("a: 'open\n", [(3, 4, "opened here and never closed")]),
    ('a: "open\n', [(3, 4, "opened here and never closed")]),
    ("a: [1, 2\nb: 3\n", [(4, 2, "lacks a comma or its closing one")]),
    ("a: {x: 1\nb: 3\n", [(4, 2, "lacks a comma or its closing one")]),
    ("a:\n\t- 1\n", [(4, 1, "a tab")]),
    ("a: @home\n", [(3, 4, "needs quotes")]),
    ("a: `x`\n", [(3, 4, "needs quotes")]),
    ("a: %x\n", [(3, 4, "needs quotes")]),
    ("a: | x\n  y\n", [(3, 6, "needs quotes")]),
    ('a: "\\q"\n', [(3, 6, "unknown escape")]),
    ("a: - 1\n", [(3, 4, "a list item")]),
    ("a: [1,, 2]\n", [(3, 7, "expected a value here")]),
]


def test_table_has_all_its_cases() -> None:
    """A missing comma would join two cases into one."""
    assert len(REFUSED) == 48
    assert len({text for text, _ in REFUSED}) == 48


@pytest.mark.parametrize(("text", "expected"), REFUSED)
def test_refused_with_its_place(text: str, expected: list[tuple[int, int, str]]) -> None:
    faults = faults_in(HEAD + text)
    assert [(fault.mark.line, fault.mark.column) for fault in faults] == [
        (line, column) for line, column, _ in expected
    ]
    for fault, (_, _, words) in zip(faults, expected, strict=True):
        assert words in fault.message
        assert fault.mark.path == HERE


# Whole files.
REFUSED_WHOLE: list[tuple[str, int, int, str]] = [
    ("", 1, 1, "the file is empty"),
    ("\n\n", 1, 1, "the file is empty"),
    ("# only a comment\n", 1, 1, "the file is empty"),
    ("---\n", 1, 1, "the file is empty"),
    ("- a\n- b\n", 1, 1, "found a list of 2"),
    ("[a]\n", 1, 1, "found a list of 1"),
    ("text\n", 1, 1, "found 'text'"),
    ("12\n", 1, 1, "found 12"),
    ("version: 1\n", 1, 1, "missing 'kind'"),
    ("kind: job\n", 1, 1, "missing 'version'"),
    ("kind:\nversion: 1\n", 1, 1, "missing 'kind'"),
    ("kind: jbo\nversion: 1\n", 1, 7, "unknown kind 'jbo'; did you mean 'job'?"),
    ("kind: xyzzy\nversion: 1\n", 1, 7, "known are machine, cutter"),
    ("kind: [job]\nversion: 1\n", 1, 7, "found a list of 1"),
    ("knd: job\nversion: 1\n", 1, 1, "unknown key 'knd'; did you mean 'kind'?"),
    ("kind: job\nvrsion: 1\n", 2, 1, "unknown key 'vrsion'; did you mean 'version'?"),
    ("kind: job\nversion: one\n", 2, 10, "expected a whole number from 1, found 'one'"),
    ("kind: job\nversion: 0\n", 2, 10, "expected a whole number from 1, found 0"),
    ("kind: job\nversion: -1\n", 2, 10, "expected a whole number from 1, found -1"),
    ("kind: job\nversion: 1.0\n", 2, 10, "expected a whole number from 1, found 1.0"),
    ("kind: job\nversion: true\n", 2, 10, "expected a whole number from 1, found true"),
    ("kind: job\nversion: '1'\n", 2, 10, "expected a whole number from 1, found '1'"),
    (HEAD + "<<<<<<< HEAD\na: 1\n=======\na: 2\n>>>>>>> b\n", 3, 1, "a merge is not finished"),
    (HEAD + "a: 2\n>>>>>>> b\n", 4, 1, "a merge is not finished"),
    ("%YAML 1.3\n---\n" + HEAD, 1, 1, "the directive '%YAML 1.3' is not read here: leave it out"),
    ("%YAML 1.1\n---\n" + HEAD, 1, 1, "the directive '%YAML 1.1' is not read here: leave it out"),
    ("# c\n%TAG ! tag:x,2024:\n---\n" + HEAD, 2, 1, "directive '%TAG"),
    ("kind: job\nversion: 1\na: \x00\n", 3, 4, "U+0000 at byte 25"),
    ("kind: job\nversion: 1\na: é\x07\n", 3, 5, "U+0007 at byte 27"),
    ("kind: job\r\nversion: 1\r\na: \x1b\r\n", 3, 4, "U+001B at byte 27"),
    ("kind: job\nversion: 1\na: \ufeff\n", 3, 4, "U+FEFF at byte 25"),
]


def test_table_of_whole_files_has_all_its_cases() -> None:
    assert len(REFUSED_WHOLE) == 31
    assert len({text for text, *_ in REFUSED_WHOLE}) == 31


@pytest.mark.parametrize(("text", "line", "column", "words"), REFUSED_WHOLE)
def test_whole_file_refused(text: str, line: int, column: int, words: str) -> None:
    (fault,) = faults_in(text)
    assert fault.mark == Position(HERE, line, column)
    assert words in fault.message


def test_all_faults_of_a_file_at_once() -> None:
    faults = faults_in("kind: job\nversion: 1\na: &x 1\nb: 2024-02-30\na: 2\nc: {1: 2}\nd: b: c\n")
    assert [fault.mark.line for fault in faults] == [3, 4, 5, 6, 7]


def test_a_fault_prints_its_place_first() -> None:
    (fault,) = faults_in(HEAD + "list:\n- a: 1\n- a: 2024-02-30\n")
    assert (
        str(fault)
        == "sample.yaml:5:6: list.2.a: 2024-02-30 is no date: day is out of range for month"
    )


# ---------------------------------------------------------------------------------- what is read

# YAML 1.2.2, section 10.3.2, core schema, with the examples of its tag resolution table. Decimals
# stay exact, `.inf` and `.nan` stay text: those two are the project's own rule.
SCALARS: list[tuple[str, object]] = [
    ("null", None),
    ("Null", None),
    ("NULL", None),
    ("~", None),
    ("", None),
    ("true", True),
    ("True", True),
    ("TRUE", True),
    ("false", False),
    ("False", False),
    ("FALSE", False),
    ("0", 0),
    ("-19", -19),
    ("+12", 12),
    ("0o7", 7),
    ("0x3A", 58),
    ("007", 7),
    ("0.", Decimal("0")),
    ("-0.0", Decimal("-0.0")),
    (".5", Decimal("0.5")),
    ("+12e03", Decimal("1.2E+4")),
    ("-2E+05", Decimal("-2E+5")),
    ("0.10", Decimal("0.10")),
    (".inf", ".inf"),
    ("-.Inf", "-.Inf"),
    (".nan", ".nan"),
    ("nULL", "nULL"),
    ("yes", "yes"),
    ("no", "no"),
    ("on", "on"),
    ("off", "off"),
    ("y", "y"),
    ("1/64", "1/64"),
    ("14 11/16", "14 11/16"),
    ("1_000", "1_000"),
    ("1:30", "1:30"),
    ("0b1", "0b1"),
    ("0o8", "0o8"),
    ("0xG", "0xG"),
    ("--", "--"),
    ("+", "+"),
    (".", "."),
    ("1e", "1e"),
    ("2024-02-29", "2024-02-29"),
    ("2024-2-30", "2024-2-30"),
    ("'12'", "12"),
    ('"true"', "true"),
    ("''", ""),
    ("'2024-02-30'", "2024-02-30"),
    ("12 mm", "12 mm"),
    ("9" * 100, int("9" * 100)),
    ("1e100", Decimal("1E+100")),
    ("1e-100", Decimal("1E-100")),
]


def test_table_of_scalars_has_all_its_cases() -> None:
    assert len(SCALARS) == 53
    assert len({text for text, _ in SCALARS}) == 53


@pytest.mark.parametrize(("text", "value"), SCALARS)
def test_scalar(text: str, value: object) -> None:
    found = document(f"a:\n- {text}\n").data["a"]
    assert isinstance(found, list)
    assert (found, type(found[0])) == ([value], type(value))
    assert str(found[0]) == str(value)  # Decimal("0.10") equals Decimal("0.1")


def test_a_decimal_is_kept_as_written() -> None:
    assert str(document("a: 0.10\n").data["a"]) == "0.10"


def test_places_of_values_and_keys() -> None:
    found = document("list:\n  - name: saw   # c\n    size: {width: 1/2}\n  - two\nlast:\n")
    assert found.marks.mark("list", 0, "name") == Position(HERE, 4, 11)
    assert found.marks.key("list", 0, "name") == Position(HERE, 4, 5)
    assert found.marks.mark("list", 0, "size", "width") == Position(HERE, 5, 19)
    assert found.marks.key("list", 0, "size", "width") == Position(HERE, 5, 12)
    assert found.marks.mark("list", 0) == Position(HERE, 4, 5)
    assert found.marks.mark("list", 1) == Position(HERE, 6, 5)
    assert found.marks.mark("list") == Position(HERE, 4, 3)
    assert found.marks.key("list") == Position(HERE, 3, 1)
    assert found.marks.mark("last") == Position(HERE, 7, 1)  # nothing stands where its key does


def test_places_fall_back_to_the_nearest_parent() -> None:
    found = document("list:\n  - name: saw\n")
    assert found.marks.mark("list", 0, "width", "left") == Position(HERE, 4, 5)
    assert found.marks.mark("list", 7) == Position(HERE, 4, 3)
    assert found.marks.mark("other") == Position(HERE, 1, 1)
    assert found.marks.under("list", 0).fault("m", "name").field == "list.1.name"


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_mark_change_no_place(
    ends: str, mark: str, tmp_path: Path
) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes((mark + "kind: job\nversion: 1\na: [1,\n  2]\n").replace("\n", ends).encode())
    found = read_document(path)
    assert found.data == {"kind": "job", "version": 1, "a": [1, 2]}
    assert found.marks.mark("a", 1) == Position(path, 4, 3)


# -------------------------------------------------------------------------------- hostile files


def test_alias_bomb_is_refused_and_not_expanded() -> None:
    """The shape known as "billion laughs": nine lists, each of nine aliases of the one before."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 10)]
    faults = faults_in(HEAD + "\n".join(lines) + "\n")
    assert len(faults) == 10 + 81


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
@pytest.mark.parametrize("depth", [MOST_DEPTH + 5, 5_000])
def test_deep_nesting_is_a_fault_and_no_crash(opening: str, depth: int) -> None:
    assert "nested more than 40 deep" in " ".join(
        str(fault) for fault in faults_in(opening * depth)
    )


def test_deep_nesting_by_indentation() -> None:
    text = "".join(" " * n + "a:\n" for n in range(500))
    (fault,) = faults_in(text)
    assert (fault.mark.line, fault.message) == (MOST_DEPTH + 1, "nested more than 40 deep")


def test_depth_up_to_the_limit_is_read() -> None:
    brackets = MOST_DEPTH - 1  # the document itself is the first mapping
    assert document(f"a: {'[' * brackets}{']' * brackets}\n").data["a"]
    assert faults_in(f"{HEAD}a: {'[' * (brackets + 1)}{']' * (brackets + 1)}\n")


def test_number_of_values_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    assert MOST_NODES == 50_000
    monkeypatch.setattr("setupsheets.files.plain_tree.MOST_NODES", 500)
    items = 500 - 4  # the document, two values and this list
    assert document(f"a: [{'1,' * items}]\n")
    (fault,) = faults_in(f"{HEAD}a: [{'1,' * (items + 1)}]\n")
    assert fault.message == "more than 500 values in one file"


def test_size_is_limited(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    head = HEAD.encode()
    path.write_bytes(head + b"#" * (MOST_BYTES - len(head)))
    assert read_document(path).kind == "job"
    path.write_bytes(head + b"#" * (2 * MOST_BYTES))
    with pytest.raises(DataFaults, match="larger than 1000 KB"):
        read_document(path)


# Bytes, and the fault: line, column, words.
BINARY: list[tuple[bytes, int, int, str]] = [
    (b"\xff\xfea\x00", 1, 1, "UTF-16"),
    (b"\xfe\xff\x00a", 1, 1, "UTF-16"),
    (b"kind: \xff", 1, 7, "byte 0xff at byte 7 is no UTF-8"),
    (b"kind: job\nname: M\xfcller\n", 2, 8, "byte 0xfc at byte 18 is no UTF-8"),
    (b"kind: job\nname: \xc3\n", 2, 7, "byte 0xc3 at byte 17"),
    (b"\x89PNG\r\n\x1a\n", 1, 1, "byte 0x89 at byte 1"),
    (b"PK\x03\x04", 1, 3, "U+0003 at byte 3"),
    (b"kind: job\nversion: 1\n\x00\x00", 3, 1, "U+0000 at byte 22"),
]


@pytest.mark.parametrize(("data", "line", "column", "words"), BINARY)
def test_binary_files(data: bytes, line: int, column: int, words: str, tmp_path: Path) -> None:
    assert len(BINARY) == 8
    path = tmp_path / "a.yaml"
    path.write_bytes(data)
    with pytest.raises(DataFaults) as found:
        read_document(path)
    (fault,) = found.value.faults
    assert fault.mark == Position(path, line, column)
    assert words in fault.message


def soundly_read(data: bytes) -> None:
    """Any bytes are a document or faults, never another exception, and faults lie in the file."""
    try:
        read_text(decoded(HERE, data), HERE)
    except DataFaults as found:
        assert found.faults
        for fault in found.faults:
            assert fault.mark.line >= 1
            assert fault.mark.column >= 1
            assert re.match(r"sample\.yaml:\d+:\d+: \S", str(fault))


@given(st.binary(max_size=200))
@example(b'kind: job\na: "\\U00110000"')
@example(b"kind: job\na: !<%ff> x")
@example(b"%YAML 1.3\n---\na")
@example(b"? ")
@example(b"\xef\xbb\xbf\xef\xbb\xbfa: 1")
def test_any_bytes(data: bytes) -> None:
    soundly_read(data)


_fragments = st.sampled_from(
    [
        *(
            "a: ",
            "b:",
            "- ",
            "? ",
            "\n",
            "\n  ",
            " ",
            ": ",
            ":",
            "#",
            " # c",
            "|",
            ">-",
            "&a ",
            "*a",
        ),
        *("!t ", "<<: ", "[", "]", "{", "}", ", ", "'", '"', "\\", "%", "@", "---\n", "...\n", "~"),
        *(
            "1",
            "0.5",
            "1e9999",
            "2024-02-30",
            "word",
            "é",
            "\t",
            "\r",
            "\x00",
            "\u2028",
            "kind: job",
        ),
    ]
)


@given(st.lists(_fragments, max_size=14).map("".join))
def test_any_pieces_of_yaml(text: str) -> None:
    soundly_read(text.encode())


# ------------------------------------------------------------------------------------ the disk


def test_missing_file_names_its_neighbour(tmp_path: Path) -> None:
    (tmp_path / "frame.yaml").write_text(HEAD)
    with pytest.raises(DataFaults, match=r"no such file; did you mean 'frame.yaml'\?"):
        read_document(tmp_path / "fraem.yaml")
    for other in ("zzz.yaml", "nope.yaml"):  # alike in its ending alone
        with pytest.raises(DataFaults, match=r"no such file$"):
            read_document(tmp_path / other)
    for ending in ("frame.yml", "frame"):
        with pytest.raises(DataFaults, match=r"did you mean 'frame.yaml'\?"):
            read_document(tmp_path / ending)
    with pytest.raises(DataFaults, match="there is no folder"):
        read_document(tmp_path / "nowhere" / "frame.yaml")
    (tmp_path / "link.yaml").symlink_to(tmp_path / "frame-that-was.yaml")
    said = "this is a link that leads nowhere: remove it, or put back what it led to$"
    with pytest.raises(DataFaults, match=said):
        read_document(tmp_path / "link.yaml")


def test_what_lies_in_the_place_of_a_folder_is_told_and_never_taken_for_an_empty_one(
    tmp_path: Path,
) -> None:
    assert yaml_files(tmp_path / "nowhere") == []
    (tmp_path / "file").write_text(HEAD)
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    for name, said in (
        ("file", "this is a file, where a folder is expected: move it away"),
        ("link", "this is a link that leads nowhere"),
    ):
        with pytest.raises(DataFaults) as found:
            yaml_files(tmp_path / name)
        assert str(found.value) == f"{tmp_path / name}: {said}"


def test_a_name_is_there_whatever_it_leads_to(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to("nowhere")
    (tmp_path / "file").touch()
    names = {"link": True, "file": True, "none": False, "file/x": False, "x" * 300: False,
             "nul\0": False}  # fmt: skip
    assert {name: is_there(tmp_path / name) for name in names} == names


def test_folder_in_place_of_a_file(tmp_path: Path) -> None:
    with pytest.raises(DataFaults, match="this is a folder; expected a YAML file"):
        read_document(tmp_path)


@pytest.mark.skipif(sys.platform == "win32", reason="no named pipes")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    with pytest.raises(DataFaults, match="no regular file"):
        read_document(tmp_path / "pipe.yaml")


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As root no file can be closed to reading, so the refusal is simulated."""
    path = tmp_path / "a.yaml"
    path.write_text(HEAD)

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(DataFaults, match="no permission to read this file"):
        read_document(path)
    assert stat.S_ISREG(path.stat().st_mode)
