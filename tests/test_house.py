"""The house rules: imports go one way, files and functions stay short, slow libraries wait.

No outside source: these are the project's own rules, told in DEVELOPERS.md.
"""

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ORDER = (
    *("lengths", "files", "formulas", "shop", "joinery", "machining"),
    *("corrections", "records", "wording", "sheets", "commands"),
)
SLOW = (
    *("jsonschema", "jinja2", "markdown_it", "shapely", "numpy", "ruamel", "rich", "referencing"),
    *("scipy", "weasyprint"),
)
OPTIONAL = {
    "scipy": "setupsheets.joinery.stock.packing",
    "weasyprint": "setupsheets.commands.sheet",
}
"""Libraries that the program can do without, each with the one module that says so."""
LONGEST_FILE = 400
LONGEST_FUNCTION = 60


@dataclass(frozen=True)
class Module:
    """One file of Python, read."""

    name: str
    text: str
    is_package: bool = False

    @property
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


Rule = Callable[[Module], Faults]


@pytest.mark.parametrize(
    ("rule", "modules"),
    [
        (wrong_way, SOURCES),
        (long_files, SOURCES),
        (long_functions, SOURCES + TESTS),
        (private_names, SOURCES),
        (changing_tables, SOURCES),
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
        (changing_tables, "lengths", "SEEN = []\ndef see(x):\n    SEEN.append(x)"),
        (changing_tables, "lengths", "SEEN: dict[str, int] = {}\ndef see(x):\n    SEEN[x] = 1"),
        (changing_tables, "lengths", "count = 0\ndef more():\n    global count"),
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
        (changing_tables, "lengths", "SEEN = (1,)\ndef see(x):\n    here = []\n    here.append(x)"),
    ],
)
def test_rule_lets_the_rest_be(rule: Rule, name: str, text: str) -> None:
    assert not list(rule(Module(f"setupsheets.{name}", text)))


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
    brought = {{"markdown-it-py": "markdown_it"}.get(name, name) for name in brought}
    known = brought | sys.stdlib_module_names | {"setupsheets"}
    wrong = [
        f"{module.name}:{line}: imports {source}"
        for module in SOURCES
        for line, source, _ in imports_of(module)
        if (library := source.split(".")[0]) not in known and OPTIONAL.get(library) != module.name
    ]
    assert {"typer", "ruamel", "markdown_it"} <= brought
    assert not wrong


def test_slow_libraries_wait_until_they_are_needed() -> None:
    """Help and shell completion import the commands only."""
    code = "import sys, setupsheets.commands.app; print(*{n.split('.')[0] for n in sys.modules})"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    ).stdout.split()
    assert "typer" in loaded
    assert not set(SLOW) & set(loaded)
