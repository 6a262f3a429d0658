"""What is changed in a function, one thing at a time, and which of it is no change at all."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
PACKAGE = "setupsheets"
FOLDERS = tuple(sorted(path.parent.name for path in ROOT.glob(f"{PACKAGE}/*/__init__.py")))
WITHIN = tuple(sorted(str(path.parent.relative_to(ROOT / PACKAGE))
                      for path in ROOT.glob(f"{PACKAGE}/*/*/__init__.py")))  # fmt: skip
"""Folders of a folder, as `sheets/drawings`."""

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


@dataclass(frozen=True)
class Mutant:
    """One change: in which module and function, at which of its places, and what it is."""

    module: str
    function: str
    place: int
    line: int
    what: str


def file_of(module: str) -> Path:
    """The file of a module or package of the program."""
    base = ROOT.joinpath(*module.split("."))
    package = base / "__init__.py"
    return package if package.is_file() else base.with_suffix(".py")


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
    """Line, words and the deed of each change that a function's body admits, always in one order.
    `strict=True` of `zip`, which asks what is so anyway, and docstrings inside are let be."""
    for statement in function.body:
        if not (isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)):
            nodes = list(ast.walk(statement))
            idle = [n.value for n in nodes if isinstance(n, ast.keyword) and n.arg == "strict"]
            idle += [n.value for n in nodes if isinstance(n, ast.Expr)
                     and isinstance(n.value, ast.Constant)]  # fmt: skip
            for node in nodes:
                for what, change in changes_of(node) if node not in idle else ():
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


def line_of(mutant: Mutant) -> str:
    """The line that is changed, as it is written."""
    return file_of(mutant.module).read_text("utf-8").splitlines()[mutant.line - 1].strip()
