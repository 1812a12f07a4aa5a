"""Small faults that are written into a module one at a time, to see whether a test notices. Standard library only."""

from __future__ import annotations

import ast
import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass

_COMPARED = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq}
_TURNED = {ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE}
_COMPUTED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult}
_NAMED = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "sin": "cos", "cos": "sin"}
_NAMED |= {"ceil": "floor", "floor": "ceil", "argmax": "argmin", "argmin": "argmax", "any": "all", "all": "any"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: the line it stands in, what was changed, and the whole module with it."""

    line: int
    change: str
    source: str


def mutants(source: str) -> Iterator[Mutant]:
    """Every mutant of a module; annotations, docstrings, messages and the import of types are left as they are."""
    tree = ast.parse(source)
    for number, node in enumerate(ast.walk(tree)):
        for change, put in _faults(node):
            changed = copy.deepcopy(tree)
            twin = next(other for k, other in enumerate(ast.walk(changed)) if k == number)
            put(twin)
            yield Mutant(getattr(node, "lineno", 0), change, ast.unparse(changed))


def users(source: str, line: int) -> list[int]:
    """The lines of a module that name what is set at its top level in a line, for itself it is only loaded."""
    tree = ast.parse(source)
    names = {
        target.id
        for node in tree.body
        if isinstance(node, (ast.Assign, ast.AnnAssign)) and node.lineno <= line <= (node.end_lineno or line)
        for target in ast.walk(node)
        if isinstance(target, ast.Name) and isinstance(target.ctx, ast.Store)
    }
    return sorted({node.lineno for node in ast.walk(tree) if isinstance(node, ast.Name) and node.id in names} - {line})


def _faults(node: ast.AST) -> Iterator[tuple[str, Callable[[ast.AST], None]]]:
    if isinstance(node, ast.Compare) and len(node.ops) == 1:
        for table in (_COMPARED, _TURNED):
            if kind := table.get(type(node.ops[0])):
                yield f"{type(node.ops[0]).__name__} becomes {kind.__name__}", _setting("ops", [kind()])
    elif isinstance(node, (ast.BinOp, ast.AugAssign)) and not _is_text(node):
        if computed := _COMPUTED.get(type(node.op)):
            yield f"{type(node.op).__name__} becomes {computed.__name__}", _setting("op", computed())
    elif isinstance(node, ast.BoolOp):
        other: ast.boolop = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield f"becomes {type(other).__name__}", _setting("op", other)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield "the sign goes", _setting("op", ast.UAdd())
    elif isinstance(node, ast.If):
        yield "if becomes if not", _setting("test", ast.UnaryOp(ast.Not(), node.test))
    elif isinstance(node, ast.Attribute) and node.attr in _NAMED:
        yield f"{node.attr} becomes {_NAMED[node.attr]}", _setting("attr", _NAMED[node.attr])
    elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load) and node.id in _NAMED:
        yield f"{node.id} becomes {_NAMED[node.id]}", _setting("id", _NAMED[node.id])
    elif isinstance(node, ast.Constant):
        value = node.value
        if isinstance(value, (int, float)) and not isinstance(value, bool) and _matters(value):
            near = value + 1 if isinstance(value, int) else value * 1.3 or 1.0
            yield f"{value} becomes {near}", _setting("value", near)


def _setting(field: str, value: object) -> Callable[[ast.AST], None]:
    def put(twin: ast.AST) -> None:
        setattr(twin, field, copy.deepcopy(value))

    return put


def _matters(value: float) -> bool:
    """Tolerances and the very large only say how near is near enough."""
    return value == 0 or 1e-3 <= abs(value) < 1e9


def _is_text(node: ast.BinOp | ast.AugAssign) -> bool:
    sides = (node.left, node.right) if isinstance(node, ast.BinOp) else (node.value,)
    return any(
        isinstance(s, ast.JoinedStr) or (isinstance(s, ast.Constant) and isinstance(s.value, str)) for s in sides
    )
