"""A new shop and new things in one, asked for at a terminal or given, in inches and in mm.

Figures are invented; what is printed is checked, and what the program's own `check` makes of it.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from setupsheets.files.documents import read_document
from setupsheets.lengths import Unit
from setupsheets.shop.beginning import Steps, named_kind
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.finding import profiles
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.new_files import new_file_text
from setupsheets.shop.starting import _able
from tests.doors import begun
from tests.running import Answers, Ran, run


def tree(path: Path) -> Any:
    return read_document(path).data


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody is there to be asked."""
    monkeypatch.setattr("setupsheets.commands.readings.at_terminal", lambda: True)


def answers(*lines: str, more: int = 60) -> str:
    """What is typed: these lines, and Enter for the rest."""
    return "\n".join(lines) + "\n" * more


def told(ran: Ran) -> str:
    return " ".join((ran.out + ran.err).split())


# ------------------------------------------------------------------------------------- a whole shop


@pytest.mark.usefixtures("terminal")
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_enter_takes_what_is_usual(unit: str, tmp_path: Path) -> None:
    ran = run("begin", tmp_path / "asked", typed=answers(unit))
    assert ran.code == 0, ran.err
    assert run("begin", tmp_path / "usual", "--unit", unit, "--yes").code == 0
    usual = {p.relative_to(tmp_path / "usual"): p for p in (tmp_path / "usual").rglob("*.yaml")}
    assert len(usual) == 10
    for name, path in usual.items():
        assert (tmp_path / "asked" / name).read_bytes() == path.read_bytes()


QUESTIONS = (
    "Do you work in inches or in mm (in, mm)? [in]:",
    "Finest mark [1/64]:",
    "Rule: the finest division that is read, in inches [1/64]:",
    "Set-up blocks (with commas between, or none), in inches [1/16, 1/8,",
    "Is there a table saw? [Y/n]:",
    "Rip fence: finest move, in inches [1/64]:",
    "Saw blade (combination-blade-10-inch, crosscut-blade-10-inch,",
    "Moulding (ovolo, bead, chamfer, cove, ogee) [ovolo]:",
)


def asked_with(folder: Path, unit: str, said: Mapping[str, str]) -> Ran:
    """A new shop with answers by what their questions begin with."""
    typed = Answers(said)
    ran = run("begin", folder, "--unit", unit, typed=typed)
    assert ran.code == 0, ran.err
    assert not typed.unasked
    return ran


@pytest.mark.usefixtures("terminal")
def test_what_a_shop_has_is_asked_and_written(tmp_path: Path) -> None:
    said = {
        "What is the shop called?": "Mill Lane",
        "Finest mark": "1/32",
        "Rule: the finest": "1/32",
        "Caliper: the finest": "0.0005",
        "Set-up blocks": "1/4, 1/2, 1",
        "Shims": "none",
        "Is there a drill press?": "n",
        "Is there a spindle moulder?": "n",
        "Rip fence: finest move": "1/32",
        "Bit height: finest move": "0.002",
        "Saw blade": "rip-blade-10-inch",
        "Straight bit": "none",
        "Moulding": "ogee",
    }
    ran = asked_with(tmp_path / "shop", "in", said)
    shop = tree(tmp_path / "shop" / "shop.yaml")
    assert (shop["title"], shop["finest"], shop["blocks"], shop["shims"]) == (
        *("Mill Lane", "1/32", ["1/4", "1/2", 1]),
        [],
    )
    rule, caliper = shop["instruments"]["rule"], shop["instruments"]["caliper"]
    assert (rule["resolution"], rule["spread"]) == ("1/32", "1/64 in")  # twice as coarse, as wide
    assert str(caliper["resolution"]) == "0.0005" and str(caliper["spread"]) == "0.001"
    choice = shop["first_choice"]
    assert choice["cutters"]["saw_blade"] == "rip-blade-10-inch"
    assert not {"straight_bit", "drill_bit", "rebate_block"} & choice["cutters"].keys()
    assert not {"drill_press", "spindle_moulder"} & choice["machines"].keys()
    machines = {path.stem for path in (tmp_path / "shop" / "machines").iterdir()}
    assert machines == {"bench", "crosscut-saw", "mortiser", "planer", "router-table", "table-saw"}
    saw = tree(tmp_path / "shop" / "machines" / "table-saw.yaml")["settings"]
    assert (saw["fence"]["finest"], saw["height"]["finest"]) == ("1/32", "1/64")
    job = (tmp_path / "shop" / "jobs" / "first-door.yaml").read_text("utf-8")
    assert "section: ogee-frame-inch" in job and "section: ogee-bar-inch" in job
    assert "ovolo" not in re.sub(r"(?m)#.*$", "", job)
    checked = run("check", "--shop", tmp_path / "shop")
    assert checked.code == 0, checked.err
    assert "4. setupsheets sheet" in ran.out
    for question in QUESTIONS:
        assert question in ran.out + ran.err or question.startswith("Do you work")


@pytest.mark.usefixtures("terminal")
@pytest.mark.parametrize(
    ("unit", "said"),
    [
        ("in", {"Is there a crosscut saw (radial arm)?": "n", "Dado stack": "none"}),
        ("in", {"Is there a hollow chisel mortiser?": "n", "Slot cutter": "none"}),
        ("mm", {"Is there a thickness planer?": "n", "Rebate bit": "none"}),
        ("mm", {"Is there a hollow chisel mortiser?": "n", "Dado stack": "none"}),
    ],
)
def test_a_shop_that_lacks_something_is_sound(
    unit: str, said: dict[str, str], tmp_path: Path
) -> None:
    asked = asked_with(tmp_path / "shop", unit, said)
    assert "is left out" not in asked.out + asked.err  # beads are made by hand without a planer
    ran = run("check", "--shop", tmp_path / "shop")
    assert ran.code == 0, ran.err
    assert "shapes come out on paper as designed" in ran.out


@pytest.mark.parametrize(("unit", "moulding"), [(Unit.IN, "bead"), (Unit.MM, "ogee")])
@pytest.mark.usefixtures("terminal")
def test_a_shop_with_another_moulding_is_sound(unit: Unit, moulding: str, tmp_path: Path) -> None:
    asked_with(tmp_path / "shop", unit, {"Moulding": moulding})
    ran = run("check", tmp_path / "shop" / "jobs" / "first-door.yaml")
    assert ran.code == 0, ran.err


@pytest.mark.usefixtures("terminal")
def test_an_own_blade_is_begun_with_the_shop(tmp_path: Path) -> None:
    said = {"Saw blade": "own", "What is its file to be called": "our-blade"}
    asked_with(
        tmp_path / "shop",
        "in",
        {**said, "diameter": "12", "kerf": "0.118", "greatest_speed": "5000"},
    )
    blade = tree(tmp_path / "shop" / "cutters" / "our-blade.yaml")
    assert (blade["type"], blade["diameter"], str(blade["kerf"])) == ("saw_blade", 12, "0.118")
    shop = tree(tmp_path / "shop" / "shop.yaml")
    assert shop["first_choice"]["cutters"]["saw_blade"] == "our-blade"
    assert run("check", "--shop", tmp_path / "shop").code == 0


@pytest.mark.usefixtures("terminal")
def test_a_wrong_answer_is_told_and_asked_again(tmp_path: Path) -> None:
    typed = answers("feet", "in", "", "0", "1/64", "-1", "1/64")
    ran = run("begin", tmp_path / "shop", typed=typed)
    assert ran.code == 0
    assert "'feet' is not a valid Unit" in told(ran) or "expected in or mm" in told(ran)
    assert told(ran).count("Finest mark [1/64]") == 2
    assert told(ran).count("Rule: the finest division") == 2


def test_where_nobody_is_asked_the_usual_is_taken_and_that_is_said(tmp_path: Path) -> None:
    ran = run("begin", tmp_path / "a")
    assert ran.code == 0 and "Nobody is here to ask: what is usual is taken" in ran.err
    ran = run("begin", tmp_path / "b", "--yes")
    assert ran.code == 0 and not ran.err
    ran = run("begin", tmp_path / "c", "--example", "larder")
    assert ran.code == 0 and not ran.err


@pytest.mark.usefixtures("terminal")
def test_a_folder_that_is_not_empty_is_refused_before_anything_is_asked(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", "utf-8")
    ran = run("begin", tmp_path, typed=answers())
    assert ran.code == 1 and "empty folder" in ran.err and "Finest mark" not in ran.err


@pytest.mark.usefixtures("terminal")
@pytest.mark.parametrize("lines", [0, 1, 5, 30])
def test_what_is_broken_off_leaves_nothing(lines: int, tmp_path: Path) -> None:
    ran = run("begin", tmp_path / "shop", typed="\n" * lines)
    assert ran.code == 1 and not (tmp_path / "shop").exists()


@pytest.mark.usefixtures("terminal", "shop")
def test_a_cutter_that_is_broken_off_leaves_nothing() -> None:
    before = sorted(Path.cwd().rglob("*"))
    ran = run("begin", "--cutter", "x", typed="sticking_bit\nA bit\n")
    assert ran.code == 1 and sorted(Path.cwd().rglob("*")) == before


@pytest.mark.skipif(sys.platform == "win32", reason="a terminal of POSIX")
def test_ctrl_c_at_a_terminal_leaves_nothing(tmp_path: Path) -> None:
    """At a terminal of its own, as a maker has it, in the middle of the questions."""
    import pty  # noqa: PLC0415

    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(tmp_path)
        os.execv(sys.executable, [sys.executable, "-m", "setupsheets", "begin", "shop"])
    seen = b""
    for wait, typed in ((b"inches or in mm", b"mm\n"), (b"called?", b"\n"), (b"Finest", b"\x03")):
        until = time.monotonic() + 60
        while wait not in seen and time.monotonic() < until:
            seen += os.read(terminal, 4096)
        os.write(terminal, typed)
    _, status = os.waitpid(pid, 0)
    os.close(terminal)
    assert os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGINT
    assert not (tmp_path / "shop").exists()


# ----------------------------------------------------------------------------------- one new thing


@pytest.fixture(params=["in", "mm"])
def shop(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A usual shop of either unit, in which one stands."""
    unit: str = request.param
    monkeypatch.chdir(begun(tmp_path, unit))
    return unit


BIT = {
    "in": ("1 1/2", "5/8", "3/8", "7/16", "3/8, 1/16; 1/32, 7/16 round 3/8; 0, 7/16", "16000"),
    "mm": ("40", "15", "10", "11", "10, 1.5; 0.5, 11 round 9.5; 0, 11", "16000"),
}
"""What is measured on a bit bought today: diameter, length, profile, and the speed marked on it."""
WOOD = {
    "in": ("1 1/4", "1 1/8", "7/16", "7/16", "3"),
    "mm": ("44", "28", "12", "21", "60"),
}
"""Thickness, a bar's width, rebate, and how far past the cope bit a tenon may go."""


@pytest.mark.usefixtures("terminal")
def test_from_a_bit_bought_today_to_the_first_sheet(shop: str) -> None:
    """All of it by what the program itself says to do next."""
    across, length, wide, deep, outline, speed = BIT[shop]
    thick, bar, over, down, reach = WOOD[shop]
    typed = answers("sticking_bit", "", across, length, "ovolo", wide, deep, "", outline, speed)
    ran = run("begin", "--cutter", "lamb", typed=typed)
    assert ran.code == 0, ran.err
    cope, frame, bars = re.findall(r"^  setupsheets (begin .*)$", ran.out, re.M)
    ran = run(*cope.split(), typed=answers(*[""] * 8, reach))
    assert ran.code == 0, ran.err
    ran = run(*frame.split(), typed=answers("", "lamb-cope", thick, over, down))
    assert ran.code == 0, ran.err
    tongue = {"in": "3/8 in", "mm": "12 mm"}[shop]  # 1 1/4 - 7/16 - 7/16; 44 - 11 - 21
    assert f"Between its moulding and its rebate {tongue} stands" in ran.out
    (job,) = re.findall(r"^  setupsheets (begin .*)$", ran.out, re.M)
    ran = run(*bars.split(), typed=answers("", "lamb-cope", thick, bar, over, down))
    assert ran.code == 0, ran.err
    ran = run(*job.replace("NAME", "lamb-door").split(), typed=answers(*[""] * 7, "lamb-bar"))
    assert ran.code == 0, ran.err
    check, sheet = re.findall(r"^  setupsheets (.*)$", ran.out, re.M)
    checked = run(*check.split())
    assert checked.code == 0, checked.err
    assert "shapes come out on paper as designed" in checked.out
    assert run(*sheet.removesuffix("--open").split()).code == 0
    page = Path("sheets", "lamb-door.md").read_text("utf-8")
    assert "Lamb" in page and "Lamb cope" in page
    drawn = run("check", "sections/lamb-frame.yaml", "--draw", "drawings")
    assert drawn.code == 0 and Path("drawings", "outline-lamb-frame.svg").is_file()


def given(*pairs: str) -> list[str]:
    return [each for pair in pairs for each in ("--with", pair)]


def test_the_same_without_being_asked(shop: str) -> None:
    across, length, wide, deep, outline, speed = BIT[shop]
    of_bit = given("type=sticking_bit", f"diameter={across}", f"length={length}")
    of_bit += given("profile.shape=ovolo", f"profile.width={wide}", f"profile.depth={deep}")
    of_bit += given(f"profile.outline={outline}", f"greatest_speed={speed}")
    assert run("begin", "--cutter", "lamb", *of_bit).code == 0
    bit = tree(Path("cutters/lamb.yaml"))
    assert bit["greatest_speed"] == 16000 and len(bit["profile"]["outline"]) == 3
    to_cope = given("type=cope_bit", f"reach={WOOD[shop][4]}")
    assert run("begin", "--cutter", "lamb-cope", "--like", "lamb", *to_cope).code == 0
    cope = tree(Path("cutters/lamb-cope.yaml"))
    assert cope["profile"] == bit["profile"] and cope["title"] == "Lamb cope"
    assert run("check").code == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ["--cutter", "new", *given("type=saw_blade", "kerf=1/8")],
            '--with "diameter=..." (Across',
        ),
        (["--cutter", "new", *given("profile.outline=[{to: ")], "expected"),
        (["--cutter", "new", *given("type=saw_blade", "reach=3")], "a saw_blade has no reach"),
        (["--cutter", "new", *given("typ=saw_blade")], "unknown key 'typ'; did you mean 'type'?"),
        (["--cutter", "new", *given("type=saw")], "'saw'"),
        (["--cutter", "new", *given("type=saw_blade", "diameter=big")], "'big' is no length"),
        (["--cutter", "new", *given("diameter=-3")], "expected more than 0"),
        (["--cutter", "new", *given("diameter")], "expected KEY=VALUE, found 'diameter'"),
        (["--cutter", "New"], "'New' cannot be asked for by name"),
        (["--cutter", "new", "--like", "no-such-bit"], "unknown cutter 'no-such-bit'"),
        (["--section", "new", *given("cutters.sticking_bit=lam")], "unknown cutter 'lam'"),
        (
            ["--section", "new", *given("cutters.sticking_bit=rip-blade-10-inch")],
            "rip-blade-10-inch is a saw_blade, not a sticking_bit",
        ),
        (
            ["--cutter", "new", "--like", "sticking-ovolo-inch", *given("unit=mm")],
            "say it before any length, or a unit behind each",
        ),
        (["--recipe", "new"], "a recipe is begun as a copy of another: give --like NAME"),
        (["--cutter", "new", "--machine", "other"], "give a folder for a new shop, or one thing"),
        ([], "give a folder for a new shop, or one thing"),
        (["folder", "--like", "x"], "--like and --with are for one thing"),
        (["--cutter", "new", *given("profile.outline=3/8, 1/16")], "say the moulding's width"),
    ],
)
@pytest.mark.parametrize("shop", ["in"], indirect=True)
@pytest.mark.usefixtures("shop")
def test_what_is_wrong_is_told_and_nothing_written(arguments: list[str], said: str) -> None:
    before = sorted(Path.cwd().rglob("*"))
    ran = run("begin", *arguments)
    assert ran.code in (1, 2) and said in told(ran), told(ran)
    assert sorted(Path.cwd().rglob("*")) == before


def test_nothing_that_is_there_is_overwritten(shop: str) -> None:
    machine = Path("machines/table-saw.yaml")
    before = machine.read_bytes()
    ran = run("begin", "--machine", "table-saw", *given("type=table_saw"))
    assert ran.code == 2 and machine.read_bytes() == before
    assert "there is a machine of this name already, machines/table-saw.yaml" in told(ran)
    ran = run("begin", "--timber", "black-cherry", "--like", "black-cherry")
    assert ran.code == 0 and "takes the place of the built-in timber of that name" in ran.out


def test_an_outline_that_ends_wrong_is_told_and_nothing_written(shop: str) -> None:
    _, _, wide, deep, *_ = BIT[shop]
    of_bit = given("type=sticking_bit", f"diameter={wide}", f"length={wide}", "profile.shape=ovolo")
    of_bit += given(f"profile.width={wide}", f"profile.depth={deep}", f"profile.outline=0, {wide}")
    ran = run("begin", "--cutter", "lamb", *of_bit)
    assert ran.code == 1 and "an outline must end on the sight edge" in ran.err
    assert not Path("cutters").exists()


@pytest.mark.usefixtures("terminal")
def test_what_does_not_fit_is_asked_once_more(shop: str) -> None:
    across, length, wide, deep, outline, speed = BIT[shop]
    wrong = ["sticking_bit", "", across, length, "ovolo", wide, deep, "", f"0, {wide}", speed]
    ran = run("begin", "--cutter", "lamb", typed=answers(*wrong, *[""] * 8, outline))
    assert ran.code == 0, ran.err
    assert "That does not fit yet" in ran.err
    assert len(tree(Path("cutters/lamb.yaml"))["profile"]["outline"]) == 3


def test_a_machine_has_the_dials_of_its_kind(shop: str) -> None:
    finest = {"in": "1/32", "mm": "1"}[shop]
    kind = given("type=router_table", "title=Small table", f"settings.*.finest={finest}")
    assert run("begin", "--machine", "small", *kind, *given("settings.fence.greatest=2")).code == 0
    machine = tree(Path("machines/small.yaml"))
    assert machine["title"] == "Small table" and machine["settings"]["fence"]["greatest"] == 2
    assert {str(each["finest"]) for each in machine["settings"].values()} == {finest}
    assert set(machine["settings"]) == {"fence", "height"}


@pytest.mark.parametrize("shop", ["mm"], indirect=True)
@pytest.mark.usefixtures("shop", "terminal")
def test_every_kind_of_cutter_and_machine_can_be_begun() -> None:
    """Each of a built-in cutter's sizes is asked for, and no other; what comes of it is sound."""
    sizes = ("diameter", "kerf", "width", "length", "profile", "reach", "stack", "greatest_speed")
    met = set()
    for path in sorted((profiles() / "cutters").glob("*.yaml")):
        like = tree(path)
        if like["type"] in met or like["unit"] != "mm":
            continue
        met.add(like["type"])
        said = {"type (": like["type"], "title [": "Of ours"}
        for key in [key for key in like if key in sizes]:
            inner = like[key] if isinstance(like[key], dict) else {"": like[key]}
            for below, value in inner.items():
                text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
                said[f"{key}.{below}".rstrip(".")] = text
        answering = Answers(said)
        name = like["type"].replace("_", "-")
        ran = run("begin", "--cutter", name, typed=answering)
        assert ran.code == 0 and not answering.unasked, (like["type"], answering.unasked, ran.err)
        new = tree(Path(f"cutters/{name}.yaml"))
        assert {key: new[key] for key in like if key in sizes} == {
            key: like[key] for key in like if key in sizes
        }
        assert not (new.keys() & set(sizes)) - like.keys()
    assert met == {*CutterType} - {CutterType.KNIFE}  # of which none is built in
    for kind in MachineType:
        name = f"our-{kind.replace('_', '-')}"
        assert run("begin", "--machine", name, typed=Answers({"type (": kind})).code == 0
    assert run("check", *Path("cutters").glob("*.yaml"), *Path("machines").glob("*.yaml")).code == 0


def test_what_happened_to_the_old_one_did_not_happen_to_the_new(shop: str) -> None:
    saw = Path("machines/table-saw.yaml")
    old = "events:\n  - {date: 2024-05-31, what: Fence re-aligned}\n"
    saw.write_text(saw.read_text("utf-8") + old, "utf-8")
    assert run("begin", "--machine", "new-saw", "--like", "table-saw").code == 0
    assert "events" in tree(saw) and "events" not in tree(Path("machines/new-saw.yaml"))


def test_a_profile_of_the_other_unit_keeps_its_size(shop: str) -> None:
    """3/8 in stays 3/8 in in a section of a metric shop: a bit is what it is."""
    like, bit = {
        "in": ("ovolo-frame-inch", "sticking-ovolo-metric"),
        "mm": ("ovolo-frame-metric", "sticking-ovolo-inch"),
    }[shop]
    ran = run("begin", "--section", "odd", "--like", like, *given(f"cutters.sticking_bit={bit}"))
    assert ran.code == 0, ran.err
    wide = tree(Path("sections/odd.yaml"))["sticking"]["width"]
    assert wide == {"in": "10 mm", "mm": "3/8 in"}[shop]


def test_a_bit_measured_in_the_other_unit_is_said_to_be(shop: str) -> None:
    other = {"in": "mm", "mm": "in"}[shop]
    drill = given(f"unit={other}", "type=drill_bit", "diameter=8", "length=60")
    assert run("begin", "--cutter", "drill", *drill).code == 0
    assert tree(Path("cutters/drill.yaml"))["unit"] == other


@pytest.mark.parametrize("kind", ["sticking_bit", "moulding_block"])
def test_a_section_takes_the_moulding_of_its_new_cutter(kind: str, shop: str) -> None:
    """And cutters of the one that it is like, which do not fit any more, are told."""
    size = {"in": "inch", "mm": "metric"}[shop]
    like = ("--like", f"ovolo-frame-{size}")
    ogee = {"sticking_bit": "sticking-ogee", "moulding_block": "moulding-block-ogee"}[kind]
    ran = run("begin", "--section", "ours", *like, *given(f"cutters.{kind}={ogee}-{size}"))
    assert ran.code == 0
    assert tree(Path("sections/ours.yaml"))["sticking"]["shape"] == "ogee"
    (others,) = re.findall(r"Of another profile than it: (.*)\. Begin those", ran.out)
    every = {f"{each}-ovolo-{size}" for each in ("sticking", "cope", "moulding-block")}
    assert {*others.split(", ")} == every - {f"{ogee.replace('ogee', 'ovolo')}-{size}"}
    ran = run("begin", "--section", "same", *like)
    assert ran.code == 0 and "another profile" not in ran.out


def test_rails_go_with_the_stiles_but_where_it_is_said(shop: str) -> None:
    size = {"in": "inch", "mm": "metric"}[shop]
    sections = given(f"stiles.section=ogee-frame-{size}", f"bars.section=ogee-bar-{size}")
    assert run("begin", "--job", "one", *sections).code == 0
    job = tree(Path("jobs/one.yaml"))
    assert {rail["section"] for rail in job["rails"]} == {f"ogee-frame-{size}"}
    ran = run("check", "jobs/one.yaml")
    assert ran.code == 0, ran.err
    odd = given(f"rails.1.section=bead-frame-{size}")
    assert run("begin", "--job", "two", *sections, *odd).code == 0
    rails = [rail["section"] for rail in tree(Path("jobs/two.yaml"))["rails"]]
    assert rails == [f"bead-frame-{size}", f"ogee-frame-{size}"]


def test_a_copy_of_something_in_the_other_unit_keeps_its_size(shop: str) -> None:
    like, size = {
        "in": ("sticking-ovolo-metric", "35 mm"),
        "mm": ("sticking-ovolo-inch", "1 3/8 in"),
    }[shop]
    assert run("begin", "--cutter", "other", "--like", like, *given("length=13")).code == 0
    bit = tree(Path("cutters/other.yaml"))
    assert (bit["unit"], bit["diameter"], bit["length"]) == (shop, size, 13)


@pytest.mark.usefixtures("terminal")
def test_a_faulty_file_of_the_shop_spoils_no_question(shop: str) -> None:
    Path("cutters").mkdir()
    Path("cutters/broken.yaml").write_text("kind: cutter\nversion: 2\n", "utf-8")
    like = {"in": "ovolo-frame-inch", "mm": "ovolo-frame-metric"}[shop]
    ran = run("begin", "--section", "ours", "--like", like, typed=answers("", "", "broken"))
    assert ran.code == 0 and "broken" not in ran.out
    assert "missing 'title'" in ran.err or "missing 'type'" in ran.err


def test_any_other_thing_is_begun_like_one_there_is(shop: str) -> None:
    recipe, timber = ("rebate-rebate-bit", "white-oak")
    assert run("begin", "--recipe", "our-rebate", "--like", recipe).code == 0
    assert run("begin", "--timber", "bog-oak", "--like", timber).code == 0
    assert run("begin", "--caution", "ours", "--like", "boring").code == 0
    door = given("leaf.width=410", "fields.1.rows=1") if shop == "mm" else given("fields.1.rows=1")
    assert run("begin", "--job", "second-door", *door).code == 0
    ran = run("check")
    assert ran.code == 0, ran.err
    assert "our-rebate.yaml: sound" in ran.out and "second-door.yaml: sound" in ran.out


def test_begin_is_gone_on_with_where_a_machine_was_taken_away(tmp_path: Path) -> None:
    assert run("begin", tmp_path / "a", "--yes").code == 0
    shutil.rmtree(tmp_path / "a" / "machines")
    assert run("begin", tmp_path / "a", "--yes").code == 0
    assert len([*(tmp_path / "a" / "machines").iterdir()]) == 8


@pytest.mark.parametrize(
    ("kind", "steps", "named"),
    [
        ("job", ("machines", "planer"), "machine"),
        ("job", ("cutters", "saw_blade"), "cutter"),
        ("job", ("recipes", "cope"), "recipe"),
        ("section", ("cutters", "cope_bit"), "cutter"),
        ("job", ("rails", 0, "section"), "section"),
        ("job", ("timber",), "timber"),
        ("job", ("machines",), None),
        ("machine", ("cutters", "saw_blade"), None),
        ("job", ("leaf", "width"), None),
    ],
)
def test_what_is_named_at_a_place_is_known_by_its_kind(
    kind: str, steps: Steps, named: str | None
) -> None:
    assert named_kind(kind, steps) == named


SAWN: dict[str, Any] = {
    "operations": [{"machine": "table_saw", "cutters": ["saw_blade", "dado_stack"]}]
}
BOTH = {"operations": [*SAWN["operations"], {"machine": "bench"}]}


@pytest.mark.parametrize(
    ("recipe", "cutters", "machines", "able"),
    [
        (SAWN, {"dado_stack"}, {"table_saw"}, True),
        (SAWN, {"rebate_bit"}, {"table_saw"}, False),
        (SAWN, {"saw_blade"}, {"bench"}, False),
        (BOTH, {"saw_blade"}, {"table_saw", "bench"}, True),
        (BOTH, {"saw_blade"}, {"table_saw"}, False),
        (BOTH, {"saw_blade"}, {"bench"}, False),
    ],
)
def test_a_recipe_can_be_worked_with_a_machine_and_a_cutter_for_each_of_its_operations(
    recipe: dict[str, Any], cutters: set[str], machines: set[str], able: bool
) -> None:
    assert _able(recipe, cutters, machines) is able


@pytest.mark.parametrize(
    ("kind", "has", "offered"),
    [
        ("table_saw", "fence", {"height", "stop"}),
        ("router_table", "fence", {"height"}),
        ("mortiser", "fence", {"depth"}),
        ("planer", "thickness", set()),
    ],
)
def test_a_new_machine_is_offered_the_dials_of_its_like_alone(
    kind: str, has: str, offered: set[str]
) -> None:
    """Common practice, no source: a planer has a thickness and nothing else to set."""
    dial = {"title": "Ours", "finest": "1/64", "set_by": "rule"}
    data = {"kind": "machine", "version": 1, "title": "Ours", "type": kind, "settings": {has: dial}}
    text = new_file_text(data, Unit.IN)
    assert {str(each) for each in SettingName if re.search(rf"# +{each}:", text)} == offered
