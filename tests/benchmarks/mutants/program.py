"""The program made anew from changed trees: with marks in it, or with one mutant."""

from __future__ import annotations

import ast
import gc
import importlib.abc
import importlib.util
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from importlib.machinery import ModuleSpec
from types import CodeType, FunctionType, ModuleType

from tests.benchmarks.mutants.changes import PACKAGE, Mutant, changed, file_of, functions_in

MARK = "__entered__"
"""A builtin of our own, called with the number of the place that was come to."""


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
        file = file_of(fullname)
        inside = [str(file.parent)] if file.name == "__init__.py" else None
        return importlib.util.spec_from_file_location(
            fullname, file, loader=self, submodule_search_locations=inside
        )

    def create_module(self, spec: ModuleSpec) -> ModuleType | None:
        return None

    def get_code(self, fullname: str) -> CodeType:
        """What `python -m` asks for."""
        return compiled(fullname, self.made(fullname, tree_of(fullname)))

    def exec_module(self, module: ModuleType) -> None:
        exec(self.get_code(module.__name__), module.__dict__)


def tree_of(module: str) -> ast.Module:
    return ast.parse(file_of(module).read_text("utf-8"))


def compiled(module: str, tree: ast.Module) -> CodeType:
    return compile(tree, str(file_of(module)), "exec", dont_inherit=True)


# ----------------------------------------------------------------------------------------- marks


def places_of(function: ast.FunctionDef) -> list[tuple[list[ast.stmt], int]]:
    """Where a function may be on the one run and not on the other: the head of each block, and
    what stands behind a statement that has blocks. In the order of their lines."""
    found = []
    for node in ast.walk(function):
        for name in ("body", "orelse", "finalbody"):
            block = getattr(node, name, None)
            if isinstance(block, list):
                has_docstring = node is function and ast.get_docstring(function) is not None
                for at in range(int(has_docstring), len(block)):
                    if at == has_docstring or hasattr(block[at - 1], "body"):
                        found.append((block, at))
    return sorted(found, key=lambda one: one[0][one[1]].lineno)


def with_marks(module: str, tree: ast.Module, names: list[str]) -> ast.Module:
    """The module with a call at each of these places; what each is called is added to names."""
    for name, function in functions_in(tree):
        begun = len(names)
        places = places_of(function)
        names += [f"{module}:{name}:{at}" for at in range(len(places))]
        for at, (block, index) in reversed(list(enumerate(places, start=begun))):
            block[index:index] = ast.parse(f"{MARK}({at})").body
    return ast.fix_missing_locations(tree)


def place_of(mutant: Mutant) -> str:
    """What the last mark before the mutant is called."""
    function = dict(functions_in(tree_of(mutant.module)))[mutant.function]
    lines = [block[index].lineno for block, index in places_of(function)]
    return f"{mutant.module}:{mutant.function}:{max(bisect_right(lines, mutant.line) - 1, 0)}"


# ------------------------------------------------------------------------------------- one mutant


def put_in(mutant: Mutant) -> bool:
    """Change the function where it stands, in the program as it has been imported, and what it has
    made within itself, as a decorator does; whether that could be done."""
    made = compiled(mutant.module, changed(tree_of(mutant.module), mutant))
    name = mutant.function
    codes = {
        _told(code): code
        for code in _codes_in(made)
        if code.co_qualname == name or code.co_qualname.startswith(f"{name}.<locals>.")
    }
    gc.unfreeze()  # what tests have put aside is not told else
    found = [
        each
        for each in gc.get_objects()
        if isinstance(each, FunctionType) and _told(each.__code__) in codes
    ]
    pairs = [(each, codes[_told(each.__code__)]) for each in found]
    if not any(code.co_qualname == name for _, code in pairs):
        return False
    if any(each.__code__.co_freevars != code.co_freevars for each, code in pairs):
        return False
    for each, code in pairs:
        each.__code__ = code
    return True


def _told(code: CodeType) -> tuple[str, str, int]:
    return code.co_filename, code.co_qualname, code.co_firstlineno


def _codes_in(code: CodeType) -> Iterator[CodeType]:
    for each in code.co_consts:
        if isinstance(each, CodeType):
            yield each
            yield from _codes_in(each)
