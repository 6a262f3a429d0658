"""The machines' sheets of one metric door: figures, sides, ends and counts worked by hand.

The door is that of `test_a_whole_door`. Sections: 44 mm thick, moulding 10 by 10, rebate 12 wide
and 22 deep from the back, so that a tenon 12 thick lies 10 from the face. Which face lies down is
common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from tests.commands.test_a_whole_door import FIELDS, MORE
from tests.doors import begun, door, operations, printed

Rows = list[dict[str, str]]


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> str:
    shop = begun(tmp_path_factory.mktemp("whole"), "mm")
    return printed(door(shop, "mm", fields=FIELDS, more=MORE))


def tables(text: str) -> list[Rows]:
    """Every table of a block, each row by its heads."""
    found = []
    for lines in re.findall(r"(?:^\|.*\n)+", text, re.MULTILINE):
        cells = [[c.strip() for c in line.strip("|\n").split("|")] for line in lines.splitlines()]
        heads, _, *rows = cells
        found.append([dict(zip(heads, row, strict=True)) for row in rows])
    return found


def block(sheet: str, title: str) -> str:
    (text,) = (text for name, text in operations(sheet) if name == title)
    return text.split("\n# ")[0]


def told(text: str, word: str) -> list[str]:
    return re.findall(rf"^- \*\*{word}\*\* (.*)$", text, re.MULTILINE)


def by_parts(text: str, column: str) -> dict[str, str]:
    """A column of a block's table of parts."""
    (rows,) = (rows for rows in tables(text) if "Parts" in rows[0])
    return {row["Parts"]: row[column] for row in rows}


def set_to(text: str) -> dict[str, list[str]]:
    """The figures to set of a block for each row of its parts, in order; alone for one row."""
    (rows,) = (rows for rows in tables(text) if "SET TO" in rows[0])
    figures = [(row.get("No.", ""), re.findall(r"\*\*(.+?)\*\*", row["SET TO"])[0]) for row in rows]
    parts = (
        {number: parts for parts, number in by_parts(text, "No.").items()} if figures[0][0] else {}
    )
    found: dict[str, list[str]] = {}
    for number, figure in figures:
        found.setdefault(parts.get(number, ""), []).append(figure.removesuffix(" mm"))
    return found


RAILS = "1 × top rail, 1 × lock rail, 1 × bottom rail"
BARS = "2 × end cross bar in 1 length of 470 mm, 2 × upright bar"
MIDDLE = "1 × middle cross bar left 300 mm long"
LAST = "2 × end cross bar, 1 × middle cross bar"
SPACER = 25  # mm, between stop and end while the part is clamped


def test_lengths_and_widths(sheet: str) -> None:
    """Rough 30 longer and 6 wider. Two end cross bars lie in one piece, one at either end, and the
    middle one in a piece of 300 mm, the least that is safe to hold (common practice, no source)."""
    end_bars, uprights = "2 × end cross bar in 1 length of", "2 × upright bar"
    assert set_to(block(sheet, "Cut rough to length")) == {
        "2 × stile": ["2090"], RAILS: ["746"], f"{end_bars} 500 mm": ["500"],
        "1 × middle cross bar left 330 mm long": ["330"], uprights: ["1036"],
    }  # fmt: skip
    assert set_to(block(sheet, "Cut to length")) == {
        "2 × stile": ["2060"], RAILS: ["716"], f"{end_bars} 470 mm": ["470"], MIDDLE: ["300"],
        uprights: ["1006"],
    }  # fmt: skip
    # 600 - 2 x 34 = 532 / 3 = 177.33; + 28 + 13; + 2 x 13. The saw moves by a quarter of a mm.
    assert set_to(block(sheet, "Cut apart, each to its length")) == {
        "2 × end cross bar": ["218.25"], "1 × middle cross bar": ["203.25"],
    }  # fmt: skip
    assert sorted(set_to(block(sheet, "Rip to width")).values()) == [
        ["106"], ["156"], ["206"], ["40"],
    ]  # fmt: skip
    assert sorted(set_to(block(sheet, "Plane the sawn edge to width")).values()) == [
        ["100"], ["150"], ["34"],
    ]  # fmt: skip
    # The planer takes 150 mm on edge: the bottom rail is too wide for it.
    by_hand = block(sheet, "Plane the sawn edge to width by hand")
    assert "1 × bottom rail" in by_hand and "width 200 mm" in by_hand
    assert set_to(block(sheet, "Plane to thickness")) == {"": ["44"]}
    assert set_to(block(sheet, "Plane the panel to thickness")) == {"": ["10"]}
    # 22 of rebate less 2 of bedding, less 6 of glass or 10 of panel.
    assert set_to(block(sheet, "Plane a board to the bead's depth")) == {
        "24 × bead": ["14"], "4 × bead": ["10"],
    }  # fmt: skip


def test_ends(sheet: str) -> None:
    """A tenon reaches 58, 28 or 13 past the sight edge; its shoulder at the back 12, at the face
    10, and the face cheek stops 1.25 short of that for the cope. Face down the blade leaves 10 +
    12; back down 44 - 10."""
    back, face, cope = (
        block(sheet, "Back cheek and shoulder, face down"),
        block(sheet, "Face cheek, back down"),
        block(sheet, "Cope the face over the mate's moulding, face down"),
    )
    assert set_to(back) == {
        RAILS: ["46", "22"], BARS: ["16", "22"],
        MIDDLE: [f"{1 + SPACER}", "22"], LAST: [f"{1 + SPACER}", "22"],
    }  # fmt: skip
    assert set_to(face) == {
        RAILS: ["46.75", "34"], BARS: ["16.75", "34"],
        MIDDLE: [f"{1.75 + SPACER}", "34"], LAST: [f"{1.75 + SPACER}", "34"],
    }  # fmt: skip
    assert set_to(cope) == {
        RAILS: ["58", "10"], BARS: ["28", "10"], MIDDLE: ["13", "10"], LAST: ["13", "10"],
    }  # fmt: skip
    assert (told(back, "Down"), told(face, "Down"), told(cope, "Down")) == (
        ["FACE on the table"], ["BACK on the table"], ["FACE on the table"],
    )  # fmt: skip
    for text in (back, face):
        against = by_parts(text, "Against")
        assert against[RAILS] == against[BARS] == "END to the stop"
        assert against[MIDDLE] == against[LAST] == "END to the 25 mm spacer, and that to the stop"
        does = by_parts(text, "Do")
        assert does[RAILS] == "both ends" and does[MIDDLE].startswith(
            "one end alone, the left end,"
        )
        assert does[BARS].endswith("upright bar: both ends")
    # The blade is 3.2 mm wide and each pass takes less: (46 + 3.2) / 15 and (16 + 3.2) / 6.
    assert by_parts(back, "Passes")[RAILS] == "15" and by_parts(back, "Passes")[BARS] == "6"


def test_mortises(sheet: str) -> None:
    """As deep as the job says; a haunch 12 into the rebate, 12 past the shoulder, and the gap."""
    text = block(sheet, "Chop the mortises, sight edge up")
    parts, settings = (next(r for r in tables(text) if c in r[0]) for c in ("Parts", "SET TO"))
    figures = [re.findall(r"\*\*(.+?) mm\*\*", row["SET TO"])[0] for row in settings]
    assert set(figures[::2]) == {"10"}
    assert sorted(zip((row["Parts"] for row in parts), figures[1::2], strict=True)) == [
        ("2 × stile", "26"),
        ("2 × stile", "60"),
        ("2 × stile, 1 × top rail, 1 × lock rail", "30"),
        ("2 × upright bar", "15"),
    ]
    assert told(text, "Against") == ["FACE to the fence"]


def test_edges(sheet: str) -> None:
    """Flat on the back a wall 12 from the sight edge, 22 high; on edge 22 from the face, and so
    high that the strip falls, 12 less the blade's kerf on the fence's side. Mouldings 10 by 10."""
    flat = block(sheet, "First cut, flat on the back")
    assert set_to(flat) == {"": ["12", "22"]} and told(flat, "Down") == ["BACK on the table"]
    edge = block(sheet, "Second cut, on edge; the strip falls free")
    assert set_to(edge)[""][0] == "22" and told(edge, "Down") == ["SIGHT EDGE on the table"]
    assert told(edge, "Against") == ["FACE to the fence"]
    groove = block(sheet, "Groove the back, a strip left outside")
    assert set_to(groove) == {"": ["12", "22"]} and told(groove, "Against") == [
        "SIGHT EDGE to the fence"
    ]
    for title, which in (
        ("Mould the sight edge, face down", "the sight edge, the other stays square"),
        ("Mould the edges, face down", "both edges, lower and upper"),
    ):
        text = block(sheet, title)
        assert set_to(text) == {"": ["10", "10"]}
        assert told(text, "Down") == ["FACE on the table"]
        assert which in told(text, "Do")[0]
        (passes,) = told(text, "Passes")
        assert passes == "3: fence 4.5 mm, 9.25 mm, then as set"
    (frame,) = told(flat, "Do")
    assert frame.startswith("stile, top rail and bottom rail: the sight edge, the other stays squ")
    assert frame.endswith("lock rail: both edges, lower and upper")


def test_what_is_measured(sheet: str) -> None:
    """On a test piece of 300 mm, or the parts themselves: 300 less twice 46, 16 or 1."""
    back = block(sheet, "Back cheek and shoulder, face down")
    (rows,) = (rows for rows in tables(back) if "Measure on the test piece" in rows[0])
    names = {number: parts for parts, number in by_parts(back, "No.").items()}
    should = {
        (names[row["No."]], row["Measure on the test piece"][3:7]): row["Should be"] for row in rows
    }
    for parts, shoulder in ((RAILS, 208), (BARS, 268), (MIDDLE, 298), (LAST, 298)):
        assert should[parts, "Over"] == "**300 mm** ± 1.5 mm"
        assert should[parts, "Back"] == f"**{shoulder} mm** \\+ 0.4, − 0.8 mm"
    hang = block(sheet, "Hang it and read the gaps")
    (rows,) = (rows for rows in tables(hang) if "Should be" in rows[0])
    assert [row["Should be"].split(" ±")[0] for row in rows] == [
        "**3 mm**", "**2 mm**", "**4 mm**", "**7 mm**",
    ]  # fmt: skip


def test_speeds(sheet: str) -> None:
    """Rim speed is pi D n: .25 m at 2800 and 4000 turns a minute, 37 and 52 m/s."""
    speeds = [line for line in sheet.splitlines() if line.startswith("- **Speed**")]
    assert "- **Feed** right to left along the fence, against the rotation\n" in sheet
    rims = [re.findall(r"(\d+) rpm, rim (\d+) m/s", line) for line in speeds]
    assert [("2800", "37")] in rims and [("4000", "52")] in rims


def test_parts_are_counted(sheet: str) -> None:
    """Every part by every machine that works it: as often as the job has it."""
    have = {"stile": 2, "top rail": 1, "lock rail": 1, "bottom rail": 1, "end cross bar": 2,
            "middle cross bar": 1, "upright bar": 2, "panel of field 2": 1, "leaf": 1}  # fmt: skip
    seen = 0
    for title, text in operations(sheet):
        of = " ".join(re.findall(r"\d+ × [^|\n]*", text.split("| Setting")[0]))
        for count, name in re.findall(
            r"(\d+) × ([a-z][a-z ]*?(?: \d)?)(?= in 1| left|,|$| \|)", of
        ):
            if name in have:
                assert int(count) == have[name], (title, name)
                seen += 1
    assert seen > 60
