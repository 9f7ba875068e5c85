"""Small wrong changes of a module, one at a time: the operators that are usual in mutation testing.

A comparison is turned or moved by one, a sum becomes a difference, `and` becomes `or`, a condition its opposite, a
number the next one, a text another, an argument or a value None, a loop runs over nothing or ends early.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from typing import Any, NamedTuple

TURNED = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
REVERSED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div, ast.Mod: ast.Div,
    ast.Pow: ast.Mult, ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip
# What is no condition of its own: it has operators that are changed themselves.
COMPOSED = (ast.Compare, ast.BoolOp, ast.UnaryOp, ast.Constant)
UNTOUCHED = ("annotation", "returns", "decorator_list", "ctx")
# Documentation of rules, kept in constants: no test should hold its words.
WORDS = ("_WHY", "_DO", "SAFETY", "SOURCE")
Path = tuple[tuple[str, int | None], ...]


class Mutant(NamedTuple):
    """One change: the unit it is in (a function, constant or a rule's limits), the node's way there, and its words.

    `span` are the lines of the unit, `nth` says which change of the node it is.
    `kind` is text for words (a string with a space, or a part of an f-string), key for other strings.
    """

    unit: tuple[str, ...]
    what: str
    start: Path
    path: Path
    nth: int
    span: range
    line: int
    kind: str
    before: str
    after: str


def mutants(source: str) -> Iterator[Mutant]:
    """Yield every change of a module's functions, constants and limits of rules, in the order of the file."""
    for what, unit, node, start in _units(ast.parse(source).body, (), ()):
        for path, inner, parents in _each(node, start, ()):
            for nth, (kind, changed) in enumerate(_changes(inner, parents)):
                if what == "limits" and kind == "text":
                    continue
                place = "default" if what == "function" and path[len(start) :][:1] == (("args", None),) else what
                span = range(node.lineno, node.end_lineno + 1)
                words = _shown(inner), _shown(changed)
                yield Mutant(unit, place, start, path, nth, span, _line(inner, parents), kind, *words)


def changed_tree(source: str, mutant: Mutant) -> ast.Module:
    """Return the module with one change made."""
    tree = ast.parse(source)
    *way, (name, index) = mutant.path
    parents: list[Any] = [tree]
    for step in way:
        parents.append(_step(parents[-1], step))
    _, changed = list(_changes(_step(parents[-1], (name, index)), tuple(parents)))[mutant.nth]
    if index is None:
        setattr(parents[-1], name, changed)
    else:
        getattr(parents[-1], name)[index] = changed
    return ast.fix_missing_locations(tree)


def node_at(tree: ast.Module, path: Path) -> Any:
    """Return the node at the end of a path."""
    node: Any = tree
    for step in path:
        node = _step(node, step)
    return node


def _step(node: Any, step: tuple[str, int | None]) -> Any:
    value = getattr(node, step[0])
    return value if step[1] is None else value[step[1]]


def _units(
    body: list[ast.stmt], names: tuple[str, ...], path: Path
) -> Iterator[tuple[str, tuple[str, ...], Any, Path]]:
    for index, entry in enumerate(body):
        here = (*path, ("body", index))
        if isinstance(entry, ast.FunctionDef):
            yield "function", (*names, entry.name), entry, here
            for number, decorator in enumerate(entry.decorator_list):
                for keyword, given in enumerate(decorator.keywords if isinstance(decorator, ast.Call) else ()):
                    if given.arg == "limits":
                        way: Path = (("decorator_list", number), ("keywords", keyword), ("value", None))
                        yield "limits", (*names, entry.name), given.value, (*here, *way)
        elif isinstance(entry, ast.ClassDef):
            yield from _units(entry.body, (*names, entry.name), here)
        elif isinstance(entry, ast.Assign | ast.AnnAssign) and not names and entry.value is not None:
            target = entry.targets[0] if isinstance(entry, ast.Assign) else entry.target
            is_type = isinstance(entry.value, ast.Call) and ast.unparse(entry.value.func) == "TypeVar"
            if isinstance(target, ast.Name) and target.id not in WORDS and not is_type:
                yield "constant", (target.id,), entry.value, (*here, ("value", None))


def _each(
    node: ast.AST, path: Path, parents: tuple[ast.AST, ...]
) -> Iterator[tuple[Path, ast.AST, tuple[ast.AST, ...]]]:
    yield path, node, parents
    if isinstance(node, ast.Assert):  # for the type checker: what can't be otherwise
        return
    for name, value in ast.iter_fields(node):
        if name in UNTOUCHED:
            continue
        rows = list(enumerate(value)) if isinstance(value, list) else [(None, value)]
        for index, child in rows:
            is_doc = isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant)
            if isinstance(child, ast.AST) and not is_doc:
                yield from _each(child, (*path, (name, index)), (*parents, node))


def _changes(node: ast.AST, parents: tuple[ast.AST, ...]) -> Iterator[tuple[str, ast.AST]]:
    """Yield every change of one node, with its kind."""
    if isinstance(node, ast.Compare):
        for index, operator in enumerate(node.ops):
            for other in TURNED.get(type(operator), ()):
                yield "compare", _with(node, ops=[*node.ops[:index], other(), *node.ops[index + 1 :]])
    elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in REVERSED:
        yield "arithmetic", _with(node, op=REVERSED[type(node.op)]())
    elif isinstance(node, ast.BoolOp):
        yield "bool", _with(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
        for index, value in enumerate(node.values):
            if not isinstance(value, COMPOSED):
                yield "not", _with(node, values=[*node.values[:index], _not(value), *node.values[index + 1 :]])
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield "not" if isinstance(node.op, ast.Not) else "arithmetic", node.operand
    elif isinstance(node, ast.Constant):
        yield from _constants(node, parents)
    elif isinstance(node, ast.Call):
        yield from _arguments(node)
    else:
        yield from _statements(node)


def _constants(node: ast.Constant, parents: tuple[ast.AST, ...]) -> Iterator[tuple[str, ast.AST]]:
    value = node.value
    if isinstance(value, bool):
        yield "constant", _with(node, value=not value)
    elif isinstance(value, int | float):
        yield "constant", _with(node, value=value + 1)
    elif isinstance(value, str):
        is_text = " " in value or any(isinstance(parent, ast.JoinedStr) for parent in parents)
        yield "text" if is_text else "key", _with(node, value=f"XX{value}XX")
    elif value is None:
        yield "none", _with(node, value="")


def _arguments(node: ast.Call) -> Iterator[tuple[str, ast.AST]]:
    for index, value in enumerate(node.args):
        others = (node.args[:index], node.args[index + 1 :])
        if isinstance(value, ast.Starred):
            yield "argument", _with(node, args=[*others[0], *others[1]])
        elif not isinstance(value, ast.GeneratorExp) and not _is_none(value):
            yield "argument", _with(node, args=[*others[0], ast.Constant(None), *others[1]])
    for index, given in enumerate(node.keywords):
        if given.arg is not None:
            yield "argument", _with(node, keywords=[*node.keywords[:index], *node.keywords[index + 1 :]])


def _statements(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None and not _is_none(node.value):
        yield "value", _with(node, value=ast.Constant(None))
    elif isinstance(node, ast.Break):
        yield "break", ast.copy_location(ast.Continue(), node)
    elif isinstance(node, ast.Continue):
        yield "break", ast.copy_location(ast.Break(), node)
    elif isinstance(node, ast.For):
        yield "loop", _with(node, iter=ast.List([], ast.Load()))
    elif isinstance(node, ast.Lambda):
        yield "value", _with(node, body=ast.Constant(None))
    elif isinstance(node, ast.If | ast.IfExp | ast.While) and not isinstance(node.test, COMPOSED):
        yield "not", _with(node, test=_not(node.test))
    elif isinstance(node, ast.comprehension):
        for index, condition in enumerate(node.ifs):
            if not isinstance(condition, COMPOSED):
                yield "not", _with(node, ifs=[*node.ifs[:index], _not(condition), *node.ifs[index + 1 :]])


def _not(node: ast.expr) -> ast.expr:
    return ast.copy_location(ast.UnaryOp(ast.Not(), node), node)


def _is_none(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _with(node: Any, **fields: Any) -> Any:
    changed = copy.copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return changed


def _line(node: ast.AST, parents: tuple[ast.AST, ...]) -> int:
    if isinstance(node, ast.comprehension):
        return node.target.lineno
    return next((int(entry.lineno) for entry in (node, *reversed(parents)) if hasattr(entry, "lineno")), 0)


def _shown(node: ast.AST) -> str:
    """Return a node as code, without what stands inside a block."""
    if isinstance(node, ast.For | ast.While | ast.If):
        node = _with(node, body=[ast.Pass()], orelse=[])
    return ast.unparse(node).partition("\n")[0][:160]
