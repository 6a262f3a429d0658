"""The house rules: imports go one way, files and functions stay short, slow libraries wait.

No outside source: these are the project's own rules, told in DEVELOPERS.md.
"""

import ast
import re
import sys
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

from setupsheets.shop.machines import SettingName

ROOT = Path(__file__).resolve().parent.parent
ORDER = (
    *("lengths", "files", "formulas", "shop", "joinery", "machining"),
    *("corrections", "records", "wording", "bench", "sheets", "json_forms", "phone", "commands"),
)
SLOW = (
    *("jsonschema", "jinja2", "markdown_it", "shapely", "numpy", "ruamel", "yaml"),
    *("highspy", "weasyprint", "ezdxf", "svgelements", "openpyxl"),
    *("starlette", "uvicorn", "segno"),
)
OPTIONAL = {
    "weasyprint": {"setupsheets.commands.shared"},
    "ezdxf": {"setupsheets.sheets.full_size.plate_dxf", "setupsheets.shop.drawn_outlines"},
    "svgelements": {"setupsheets.shop.drawn_outlines"},
    "openpyxl": {"setupsheets.sheets.pages.workbook"},
    "yaml": {"setupsheets.files.libyaml"},
    "starlette": {"setupsheets.phone.server"},
    "uvicorn": {"setupsheets.phone.server"},
    "segno": {"setupsheets.sheets.drawings.phone_code"},
}
"""Libraries that the program can do without, each with the modules that use it."""
SOLVERS = ("highspy", "scipy")
VALUES_ONLY = ("joinery", "machining", "corrections")
"""Folders that give values: sentences and the way a shop writes lengths stand above them."""
WORDS_A_FAULT = "setupsheets.machining.planning.evaluation"
"""What is wrong with a file is worded with its place: here, two lengths of a recipe that differ."""
LONGEST_FILE = 400
LONGEST_FUNCTION = 60


@dataclass(frozen=True)
class Module:
    """One file of Python, read."""

    name: str
    text: str
    is_package: bool = False

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text)

    @property
    def room(self) -> str:
        """The folder or file right under setupsheets/ that the module lies in."""
        return room(self.name)


def read(path: Path) -> Module:
    parts = path.relative_to(ROOT).with_suffix("").parts
    is_package = parts[-1] == "__init__"
    name = ".".join(parts[:-1] if is_package else parts)
    return Module(name, path.read_text(encoding="utf-8"), is_package)


SOURCES = [read(path) for path in sorted((ROOT / "setupsheets").rglob("*.py"))]
TESTS = [read(path) for path in sorted((ROOT / "tests").rglob("*.py"))]
NAMES = frozenset(module.name for module in SOURCES)

Faults = Iterator[str]


def room(name: str) -> str:
    return name.split(".")[1] if "." in name else ""


def imports_of(module: Module) -> Iterator[tuple[int, str, str]]:
    """Line, module and name of every import wherever it stands: at the top, in a function, for
    types only."""
    package = module.name.split(".") if module.is_package else module.name.split(".")[:-1]
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            source = ".".join([*above, *([node.module] if node.module else [])])
            yield from ((node.lineno, source, alias.name) for alias in node.names)


def own_imports(module: Module) -> Iterator[tuple[int, str]]:
    """The project's modules that a module imports, each with its line."""
    for line, source, name in imports_of(module):
        if source.split(".")[0] == "setupsheets":
            below = f"{source}.{name}"
            yield line, below if below in NAMES else source


def wrong_way(module: Module) -> Faults:
    """Imports from a folder further down; corrections are pure numbers and know lengths alone."""
    if module.room == "__main__":
        return
    allowed = set(ORDER[: ORDER.index(module.room) + 1]) | {""} if module.room else set()
    if module.room == "corrections":
        allowed = {"lengths", "corrections"}
    for line, source in own_imports(module):
        if room(source) not in allowed:
            yield f"{module.name}:{line}: imports {source}"


def long_files(module: Module) -> Faults:
    if (count := len(module.text.splitlines())) > LONGEST_FILE:
        yield f"{module.name}: {count} lines"


def long_functions(module: Module) -> Faults:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            count = (node.end_lineno or node.lineno) - node.lineno + 1
            if count > LONGEST_FUNCTION:
                yield f"{module.name}:{node.lineno}: {node.name} has {count} lines"


def private_names(module: Module) -> Faults:
    """Internals of another library break at its next release."""
    for line, source, name in imports_of(module):
        parts = [*source.split("."), name]
        if parts[0] not in ("setupsheets", "__future__") and any(
            part.startswith("_") for part in parts
        ):
            yield f"{module.name}:{line}: imports {source} {name}"


def solvers_at_the_top(module: Module) -> Faults:
    """A solver is loaded by the function that has something to solve, or every command waits."""
    waiting = list[ast.AST](module.tree.body)
    while waiting:
        node = waiting.pop()
        types_only = isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING"
        if not types_only and not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            waiting.extend(ast.iter_child_nodes(node))
        named = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        source = (node.module or "") if isinstance(node, ast.ImportFrom) else ""
        if {each.partition(".")[0] for each in (*named, source)} & set(SOLVERS):
            yield f"{module.name}: loads a solver at its top"


def scipy_anywhere(module: Module) -> Faults:
    """It takes eight times as long to load as numpy; the tests hold our own against it."""
    for line, source, _ in imports_of(module):
        if source.partition(".")[0] == "scipy":
            yield f"{module.name}:{line}: imports {source}"


def changing_tables(module: Module) -> Faults:
    """`global`, or a table at a module's top that is added to, taken from or stored into."""
    changing = {
        *("append", "extend", "insert", "remove", "pop", "popitem", "clear", "sort", "reverse"),
        *("add", "discard", "update", "setdefault"),
    }
    tables = set(tables_at_the_top(module.tree))
    for node in ast.walk(module.tree):
        lines = [node.lineno] if isinstance(node, ast.Global) else []
        if (isinstance(node, ast.Attribute) and node.attr in changing) or (
            isinstance(node, ast.Subscript) and isinstance(node.ctx, ast.Store | ast.Del)
        ):
            changed = isinstance(node.value, ast.Name) and node.value.id in tables
            lines = [node.lineno] if changed else []
        yield from (f"{module.name}:{line}: changes what stands at its top" for line in lines)


def tables_at_the_top(tree: ast.Module) -> Iterator[str]:
    """Names bound at a module's top to a list, dict or set."""
    makers = {"list", "dict", "set", "defaultdict", "deque", "Counter"}
    shown = ast.List | ast.Dict | ast.Set | ast.ListComp | ast.DictComp | ast.SetComp
    for node in tree.body:
        if isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            called = node.value.func if isinstance(node.value, ast.Call) else None
            if isinstance(node.value, shown) or getattr(called, "id", None) in makers:
                yield from (item.id for item in targets if isinstance(item, ast.Name))


def words_in_the_domain(module: Module) -> Faults:
    """The way a shop writes lengths, where values are worked out."""
    if module.room in VALUES_ONLY and module.name != WORDS_A_FAULT and notation_in(module):
        yield f"{module.name}: takes a notation"


def notation_in(module: Module) -> bool:
    """Whether a module imports, takes or reads a shop's way of writing lengths."""
    for node in ast.walk(module.tree):
        names = {getattr(node, each, None) for each in ("id", "attr", "arg")}
        if isinstance(node, ast.ImportFrom):
            names = {alias.name for alias in node.names}
        if names & {"notation", "Notation"}:
            return True
    return False


def kinds_asked_for(module: Module) -> Faults:
    """A kind of machine or cutter compared with: what kinds differ in stands in their tables."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Compare):
            asked = {
                each.value.id
                for each in ast.walk(node)
                if isinstance(each, ast.Attribute) and isinstance(each.value, ast.Name)
            }
            if asked & {"MachineType", "CutterType"}:
                yield f"{module.name}:{node.lineno}: asks for a kind of machine or cutter"


def settings_spelt_out(module: Module) -> Faults:
    """The name of a setting compared with as text: it is a member of the enumeration."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            texts = {
                each.value
                for side in sides
                for each in (side.elts if isinstance(side, ast.Tuple | ast.Set) else [side])
                if isinstance(each, ast.Constant)
            }
            if texts & set(SettingName):
                yield f"{module.name}:{node.lineno}: a setting spelt out"


def named_twice(names: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Names that stand for two things, each with where: from pairs of name and place."""
    places: dict[str, list[str]] = {}
    for name, place in names:
        places.setdefault(name, []).append(place)
    for name, found in places.items():
        if len(found) > 1:
            yield f"{name}: {', '.join(found)}"


def classes_of(module: Module) -> Iterator[tuple[str, str]]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.ClassDef):
            yield node.name, f"{module.name}:{node.lineno}"


def own_name(module: Module) -> Iterator[tuple[str, str]]:
    """A module's name, but a command's, which is the command's own, and one of wording, which may
    be called after what it words."""
    if not module.is_package and module.room not in ("commands", "wording"):
        yield module.name.rpartition(".")[2], module.name


Rule = Callable[[Module], Faults]


@pytest.mark.parametrize(
    ("rule", "modules"),
    [
        (wrong_way, SOURCES),
        (long_files, SOURCES),
        (long_functions, SOURCES + TESTS),
        (private_names, SOURCES),
        (solvers_at_the_top, SOURCES),
        (scipy_anywhere, SOURCES),
        (changing_tables, SOURCES),
        (words_in_the_domain, SOURCES),
        (kinds_asked_for, SOURCES),
        (settings_spelt_out, SOURCES),
    ],
)
def test_rule_is_kept(rule: Rule, modules: list[Module]) -> None:
    assert len(modules) > 50
    assert not [fault for module in modules for fault in rule(module)]


@pytest.mark.parametrize(
    ("rule", "name", "text"),
    [
        (wrong_way, "lengths", "from setupsheets.files.faults import Fault"),
        (wrong_way, "shop.jobs", "def late():\n    from setupsheets.sheets import drawings"),
        (wrong_way, "corrections.causes", "import setupsheets.shop.machines"),
        (wrong_way, "files.tree", "from ..shop import jobs"),
        (wrong_way, "machining.cuts", "if TYPE_CHECKING:\n    import setupsheets.commands.app"),
        (long_files, "lengths", "x = 1\n" * (LONGEST_FILE + 1)),
        (long_functions, "lengths", "def long():\n" + "    pass\n" * LONGEST_FUNCTION),
        (private_names, "commands.log", "from typer._completion import get_script"),
        (private_names, "commands.log", "from typer.core import _format"),
        (solvers_at_the_top, "joinery.stock.boards", "import highspy"),
        (
            solvers_at_the_top,
            "joinery.stock.boards",
            "try:\n    from highspy import Highs\nfinally: x",
        ),
        (solvers_at_the_top, "joinery.stock.boards", "class A:\n    import highspy._core as core"),
        (scipy_anywhere, "corrections.normal", "def late():\n    from scipy.stats import norm"),
        (changing_tables, "lengths", "SEEN = []\ndef see(x):\n    SEEN.append(x)"),
        (changing_tables, "lengths", "SEEN: dict[str, int] = {}\ndef see(x):\n    SEEN[x] = 1"),
        (changing_tables, "lengths", "count = 0\ndef more():\n    global count"),
        (words_in_the_domain, "joinery.frame.edges", "from setupsheets.lengths import Notation"),
        (words_in_the_domain, "machining.tasks", "def said(notation: str) -> str: ..."),
        (words_in_the_domain, "corrections.causes", "said = shop.settings.notation.show"),
        (kinds_asked_for, "sheets.making", "if kind is MachineType.PLANER: ..."),
        (kinds_asked_for, "sheets.making", "x = kind in (MachineType.BENCH, MachineType.PLANER)"),
        (kinds_asked_for, "sheets.making", "x = cutter.type is not CutterType.COPE_BIT"),
        (settings_spelt_out, "sheets.making", "if setting.name == 'fence': ..."),
        (settings_spelt_out, "sheets.making", "x = setting.name in ('fence', 'stop')"),
    ],
)
def test_rule_sees_its_fault(rule: Rule, name: str, text: str) -> None:
    assert len(list(rule(Module(f"setupsheets.{name}", text)))) == 1


@pytest.mark.parametrize(
    ("rule", "name", "text"),
    [
        (wrong_way, "commands.log", "from setupsheets.records import record"),
        (wrong_way, "corrections.causes", "from setupsheets.lengths import Length"),
        (long_files, "lengths", "x = 1\n" * LONGEST_FILE),
        (long_functions, "lengths", "def long():\n" + "    pass\n" * (LONGEST_FUNCTION - 1)),
        (private_names, "commands.log", "from __future__ import annotations"),
        (private_names, "commands.log", "from setupsheets.commands.shared import _is_path"),
        (solvers_at_the_top, "joinery.stock.boards", "def solved():\n    import highspy"),
        (solvers_at_the_top, "joinery.stock.boards", "if TYPE_CHECKING:\n    import highspy"),
        (scipy_anywhere, "corrections.normal", "import numpy as np"),
        (changing_tables, "lengths", "SEEN = (1,)\ndef see(x):\n    here = []\n    here.append(x)"),
        (words_in_the_domain, "records.model", "from setupsheets.lengths import Notation"),
        (words_in_the_domain, "joinery.frame.edges", "from setupsheets.lengths import Length"),
        (kinds_asked_for, "shop.machine_kinds", "TABLE = {MachineType.PLANER: 1}"),
        (settings_spelt_out, "sheets.making", "height = jig.sizes['height']"),
    ],
)
def test_rule_lets_the_rest_be(rule: Rule, name: str, text: str) -> None:
    assert not list(rule(Module(f"setupsheets.{name}", text)))


def test_no_class_has_the_name_of_another() -> None:
    assert not list(named_twice(each for module in SOURCES for each in classes_of(module)))


def test_no_module_has_the_name_of_another() -> None:
    assert not list(named_twice(each for module in SOURCES for each in own_name(module)))


def test_a_name_for_two_things_is_seen() -> None:
    one, two = (Module(f"setupsheets.{name}", "class Fit: ...") for name in ("shop.a", "files.a"))
    command = Module("setupsheets.commands.a", "")
    assert list(named_twice([*classes_of(one), *classes_of(two)])) == [
        "Fit: setupsheets.shop.a:1, setupsheets.files.a:1"
    ]
    assert len(list(named_twice([*own_name(one), *own_name(two), *own_name(command)]))) == 1
    assert not list(named_twice([*own_name(one), *own_name(command)]))


def test_every_folder_has_its_place_in_the_order() -> None:
    assert {module.room for module in SOURCES} - {"", "__main__"} == set(ORDER)


def test_no_module_imports_itself_in_a_round() -> None:
    graph = {module.name: {to for _, to in own_imports(module)} for module in SOURCES}
    try:
        order = list(TopologicalSorter(graph).static_order())
    except CycleError as found:
        pytest.fail(" -> ".join(found.args[1]))
    assert set(order) == NAMES


def test_libraries_are_declared() -> None:
    """Every library that the program imports is one that installing it brings along."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    brought = {re.split(r"[^\w-]", line)[0].lower() for line in project["dependencies"]}
    named_else = {"markdown_it"} if "markdown-it-py" in brought else set()
    known = brought | named_else | sys.stdlib_module_names | {"setupsheets"}
    wrong = [
        f"{module.name}:{line}: imports {source}"
        for module in SOURCES
        for line, source, _ in imports_of(module)
        if (library := source.split(".")[0]) not in known
        and module.name not in OPTIONAL.get(library, ())
    ]
    assert {"typer", "ruamel", "jinja2"} <= brought
    assert not wrong
