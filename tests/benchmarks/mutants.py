"""How many faults the tests see: one thing in one function is changed, and its tests must fail.

    python -m tests.benchmarks.mutants --folder wording --count 20 --seed 1

First all tests run once, and it is kept which functions each of them enters (in the file of
``--map``, made where it is not there; make it anew once the program or its tests have changed). A
mutant is then asked of the tests that enter its function, in a process of its own that writes
nothing into the checkout. What no test enters survives, and so does what is the same program in
other words: no share of a hundred is to be had. The aim is 85.
"""

from __future__ import annotations

import argparse
import ast
import importlib.abc
import importlib.util
import json
import multiprocessing
import os
import random
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import _lru_cache_wrapper
from importlib.machinery import ModuleSpec
from itertools import accumulate
from pathlib import Path
from types import CodeType, ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = "setupsheets"
FOLDERS = tuple(sorted(path.parent.name for path in ROOT.glob(f"{PACKAGE}/*/__init__.py")))
AIM = 0.85
MOST_SECONDS = 90.0
"""Time on the processor for one mutant: what goes on for longer hangs, which is seen."""
ENOUGH_SECONDS = 20.0
"""Tests of one mutant, by what they took when all ran: no more than these are asked."""
WITHOUT = ("tests/test_installation.py", "tests/faults", "tests/browser", "tests/test_documents.py")
"""Tests that run the program in processes of its own, which no mutant is in."""

Change = Callable[[ast.AST], None]

COMPARED: Mapping[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
RECKONED: Mapping[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
}  # fmt: skip
PAIRS = (
    ("width", "height"), ("start", "end"), ("face", "back"), ("left", "right"), ("top", "bottom"),
    ("first", "last"), ("low", "high"), ("IN", "MM"), ("GLASS", "GROOVED_PANEL"), ("min", "max"),
    ("rows", "columns"), ("rebate", "sticking"), ("near", "far"), ("lock", "hinge"), ("any", "all"),
    ("mean", "sd"), ("show", "small"), ("aim", "set_to"), ("before", "after"), ("depth", "width"),
)  # fmt: skip
EXCHANGED = {one: other for pair in PAIRS for one, other in (pair, pair[::-1])}


# ------------------------------------------------------------------------------------- what changes


@dataclass(frozen=True)
class Mutant:
    """One change: in which module and function, at which of its places, and what it is."""

    module: str
    function: str
    place: int
    line: int
    what: str


def functions_in(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Every function and method with its name, that of its class before it."""

    def inside(node: ast.AST, prefix: str) -> Iterator[tuple[str, ast.FunctionDef]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.FunctionDef):
                yield prefix + child.name, child
            elif isinstance(child, ast.ClassDef):
                yield from inside(child, f"{prefix}{child.name}.")

    yield from inside(tree, "")


def changes_in(function: ast.FunctionDef) -> Iterator[tuple[int, str, Callable[[], None]]]:
    """Line, words and the deed of each change that a function's body admits, always in one
    order."""
    for statement in function.body:
        if not (isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)):
            for node in ast.walk(statement):
                for what, change in changes_of(node):
                    yield getattr(node, "lineno", function.lineno), what, change


def changes_of(node: ast.AST) -> Iterator[tuple[str, Callable[[], None]]]:
    """The changes of one node: of what decides, then of what reckons and names."""
    match node:
        case ast.Compare(ops=[one, *rest]) if (other := COMPARED.get(type(one))) is not None:
            named = f"{type(one).__name__} -> {other.__name__}"
            yield named, lambda: setattr(node, "ops", [other(), *rest])
        case ast.BoolOp(op=op):
            turned = ast.Or if isinstance(op, ast.And) else ast.And
            yield f"to {turned.__name__}", lambda: setattr(node, "op", turned())
        case ast.UnaryOp(op=ast.Not(), operand=value):
            yield "not left out", lambda: setattr(node, "operand", ast.UnaryOp(ast.Not(), value))
        case ast.IfExp(body=body, orelse=orelse):
            yield "branches exchanged", lambda: _exchange(node, body, orelse)
        case ast.If():
            yield "always", lambda: setattr(node, "test", ast.Constant(True))
            yield "never", lambda: setattr(node, "test", ast.Constant(False))
        case ast.comprehension(ifs=[_, *rest]):
            yield "not filtered", lambda: setattr(node, "ifs", rest)
        case ast.Return(value=ast.expr() as value) if ast.unparse(value) != "None":
            yield "returns None", lambda: setattr(node, "value", ast.Constant(None))
        case _:
            yield from _small_changes_of(node)


def _small_changes_of(node: ast.AST) -> Iterator[tuple[str, Callable[[], None]]]:
    match node:
        case ast.BinOp(op=op) if (new := RECKONED.get(type(op))) is not None:
            named = f"{type(op).__name__} -> {new.__name__}"
            yield named, lambda: setattr(node, "op", new())
        case ast.UnaryOp(op=ast.USub()):
            yield "minus left out", lambda: setattr(node, "op", ast.UAdd())
        case ast.Constant(value=bool() as value):
            yield f"{value} -> {not value}", lambda: setattr(node, "value", not value)
        case ast.Constant(value=int() as number):
            yield f"{number} -> {number + 1}", lambda: setattr(node, "value", number + 1)
        case ast.Constant(value=str() as words) if words.strip():
            yield f"{words!r} emptied", lambda: setattr(node, "value", "")
        case ast.Attribute(attr=name) if name in EXCHANGED:
            yield f".{name} -> .{EXCHANGED[name]}", lambda: setattr(node, "attr", EXCHANGED[name])
        case ast.Name(id="min" | "max" | "any" | "all" as name):
            yield f"{name} -> {EXCHANGED[name]}", lambda: setattr(node, "id", EXCHANGED[name])


def _exchange(node: ast.IfExp, body: ast.expr, orelse: ast.expr) -> None:
    node.body, node.orelse = orelse, body


def modules_of(folder: str) -> Iterator[tuple[str, Path]]:
    """The modules of a folder of the program, each with its file."""
    for path in sorted((ROOT / PACKAGE / folder).rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts), path


def mutants_of(folder: str) -> Iterator[Mutant]:
    """Every mutant of a folder."""
    for module, path in modules_of(folder):
        for name, function in functions_in(ast.parse(path.read_text("utf-8"))):
            for place, (line, what, _) in enumerate(changes_in(function)):
                yield Mutant(module, name, place, line, what)


def changed(tree: ast.Module, mutant: Mutant) -> ast.Module:
    """The module's tree with that one change."""
    function = dict(functions_in(tree))[mutant.function]
    list(changes_in(function))[mutant.place][2]()
    made: ast.Module = ast.fix_missing_locations(tree)
    return made


# -------------------------------------------------------------------------- the program, made anew


class Source(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Modules of the program whose trees are changed before they are compiled: all, or ``one``."""

    def __init__(self, made: Callable[[str, ast.Module], ast.Module], one: str = "") -> None:
        self.made = made
        self.one = one

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname.partition(".")[0] != PACKAGE or self.one not in ("", fullname):
            return None
        base = ROOT.joinpath(*fullname.split("."))
        is_package = (base / "__init__.py").is_file()
        file = base / "__init__.py" if is_package else base.with_suffix(".py")
        return importlib.util.spec_from_file_location(
            fullname, file, loader=self, submodule_search_locations=[str(base)] * is_package or None
        )

    def create_module(self, spec: ModuleSpec) -> ModuleType | None:
        return None

    def get_code(self, fullname: str) -> CodeType:
        """What `python -m` asks for."""
        spec = self.find_spec(fullname, None)
        assert spec is not None and spec.origin is not None
        tree = ast.parse(Path(spec.origin).read_text("utf-8"))
        return compile(self.made(fullname, tree), spec.origin, "exec", dont_inherit=True)

    def exec_module(self, module: ModuleType) -> None:
        exec(self.get_code(module.__name__), module.__dict__)


# ------------------------------------------------------------------------- which tests enter what


@dataclass
class Entered:
    """A pytest plugin that keeps which functions every test enters, and how long it takes."""

    tests: dict[str, tuple[float, list[str]]] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    names: list[str] = field(default_factory=list)
    seen: set[int] = field(default_factory=set)
    file: str = ""

    def made(self, module: str, tree: ast.Module) -> ast.Module:
        """The module with a call of a builtin of our own at the head of every function."""
        for name, function in functions_in(tree):
            behind = int(ast.get_docstring(function) is not None)
            function.body[behind:behind] = ast.parse(f"__entered__({len(self.names)})").body
            self.names.append(f"{module}:{name}")
        return ast.fix_missing_locations(tree)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        if (file := item.nodeid.partition("::")[0]) != self.file:
            self.file = file
            forget_what_tests_keep()
        self.seen.clear()
        begun = time.process_time()
        found = yield
        names = sorted({self.names[each] for each in self.seen})
        self.tests[item.nodeid] = (time.process_time() - begun, names)
        return found

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.add(report.nodeid)


def forget_what_tests_keep() -> None:
    """Empty the caches of the tests' helpers, so that every file shows what it enters."""
    for name, module in list(sys.modules.items()):
        if name.startswith("tests."):
            for each in list(vars(module).values()):
                if isinstance(each, _lru_cache_wrapper):
                    each.cache_clear()


def record(where: Path) -> None:
    """Run all tests once, in this process, and keep what each of them enters."""
    import builtins  # noqa: PLC0415

    plugin = Entered()
    vars(builtins)["__entered__"] = plugin.seen.add
    sys.meta_path.insert(0, Source(plugin.made))
    paths = [f"--ignore={ROOT / each}" for each in WITHOUT]
    pytest.main(["-q", "-n0", "--assert=plain", *paths, str(ROOT / "tests")], [plugin])
    for name in plugin.failed:  # it says nothing of a mutant
        del plugin.tests[name]
    where.write_text(json.dumps(plugin.tests), "utf-8")


# ---------------------------------------------------------------------------------- one mutant


@dataclass(frozen=True)
class Only:
    """A pytest plugin that runs these tests alone, in this order."""

    wanted: Sequence[str]

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        there = {item.nodeid: item for item in items}
        items[:] = [there[name] for name in self.wanted if name in there]


def tests_for(mutant: Mutant, known: Mapping[str, tuple[float, frozenset[str]]]) -> list[str]:
    """Tests that enter its function, as much time for each file and of it the quickest first; then
    the rest of those files, which may use what the first one has had made."""
    entered = f"{mutant.module}:{mutant.function}"
    files: dict[str, list[str]] = {}
    for name in sorted(known, key=lambda one: known[one][0]):
        files.setdefault(name.partition("::")[0], []).append(name)
    direct = {name for name, (_, names) in known.items() if entered in names}
    in_turn = []
    for tests in files.values():
        if not direct.isdisjoint(tests):
            ordered = sorted(tests, key=lambda one: one not in direct)
            until = accumulate(known[name][0] for name in ordered)
            in_turn += [(n not in direct, t, n) for n, t in zip(ordered, until, strict=True)]
    chosen, spent = [], 0.0
    for *_, name in sorted(in_turn):
        if spent > ENOUGH_SECONDS:
            break
        chosen.append(name)
        spent += known[name][0]
    return chosen


def is_seen(mutant: Mutant, wanted: Sequence[str]) -> bool:
    """Whether one of these tests fails with the mutant: asked of a process of its own."""
    if not wanted:
        return False
    child = os.fork()
    if child == 0:
        _ask(mutant, wanted)
    _, status = os.waitpid(child, 0)
    return status != 0


def _ask(mutant: Mutant, wanted: Sequence[str]) -> None:
    code = 1
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (int(MOST_SECONDS), int(MOST_SECONDS) + 5))
        resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
        null = os.open(os.devnull, os.O_RDWR)
        for descriptor in (0, 1, 2):
            os.dup2(null, descriptor)
        sys.meta_path.insert(0, Source(lambda _, tree: changed(tree, mutant), mutant.module))
        files = list(dict.fromkeys(str(ROOT / name.partition("::")[0]) for name in wanted))
        options = ["-x", "-q", "-n0", "--assert=plain", "-p", "no:cacheprovider", *files]
        code = int(pytest.main(options, [Only(wanted)]))
    finally:
        os._exit(code)


def warm_up(compiled: str) -> None:
    """Import the libraries, and nothing of the program: every mutant finds them there. What is
    compiled of the program and its tests is kept beside the map."""
    sys.dont_write_bytecode, sys.pycache_prefix = False, compiled
    for name in ("typer", "ruamel.yaml", "jsonschema", "jinja2", "shapely", "numpy", "highspy",
                 "filelock", "hypothesis", "markdown_it"):  # fmt: skip
        importlib.import_module(name)


# ---------------------------------------------------------------------------------------- all of it


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--folder", choices=FOLDERS, action="append", help="default: each")
    parser.add_argument("--count", type=int, default=20, help="mutants of each folder")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--map", type=Path, default=Path(tempfile.gettempdir()) / "entered.json")
    asked = parser.parse_args()
    os.environ["CI"] = "1"  # the same cases each time
    os.chdir(ROOT)
    if not asked.map.exists():
        recording = multiprocessing.get_context("fork").Process(target=record, args=(asked.map,))
        recording.start()
        recording.join()
    kept = json.loads(asked.map.read_text("utf-8"))
    known = {name: (seconds, frozenset(entered)) for name, (seconds, entered) in kept.items()}
    warm_up(str(asked.map.with_suffix("")))
    for folder in asked.folder or FOLDERS:
        every = list(mutants_of(folder))
        some = random.Random(asked.seed).sample(every, min(asked.count, len(every)))
        with ProcessPoolExecutor(asked.jobs, multiprocessing.get_context("fork")) as pool:
            seen = list(pool.map(is_seen, some, [tests_for(one, known) for one in some]))
        share = sum(seen) / len(seen)
        told = "met" if share >= AIM else "missed"
        print(f"{folder:<12} {sum(seen)} of {len(seen)} seen, {share:.0%}  (aim {AIM:.0%}: {told})")
        for one, was in zip(some, seen, strict=True):
            if not was:
                asked_of = len(tests_for(one, known))
                print(f"    {one.module}:{one.line} {one.function}: {one.what} ({asked_of} tests)")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
