"""Every small change to a module that a test ought to notice, as text put in place of text."""

from __future__ import annotations

import ast
import copy
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

COMPARISONS = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
ARITHMETIC = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
OPPOSITES = {
    a: b
    for pair in (("min", "max"), ("argmin", "argmax"), ("floor", "ceil"), ("any", "all"))
    for a, b in (pair, pair[::-1])
}
#: Text and types, which no verdict hangs on.
PASSED_OVER = (ast.JoinedStr, ast.Import, ast.ImportFrom)
#: What the names of rounding errors hold.
TOLERANCES = ("TOLERANCE", "SAME_")
#: Returned as None instead, these are the same to whoever asks whether they hold.
NOTHING = ("None", "False")


@dataclass(frozen=True, slots=True)
class Change:
    """Bytes ``start`` to ``end`` of a module replaced.

    ``inside`` names the outermost function, ending in ``()``; ``cached`` tells whether that one
    keeps its results.
    """

    path: str
    line: int
    start: int
    end: int
    after: str
    kind: str
    inside: str
    cached: bool

    def applied(self, source: bytes) -> bytes:
        return source[: self.start] + self.after.encode() + source[self.end :]

    def shown(self, source: bytes) -> str:
        before = " ".join(source[self.start : self.end].decode().split())
        return f"{self.path}:{self.line} [{self.kind}] {before}  ->  {self.after}"


def changes_of(path: str, source: bytes) -> list[Change]:
    """Return every change of a module, in order of place."""
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    found = []
    nodes = list(_nodes(ast.parse(source), ""))
    cached = {inside for node, inside in nodes if _keeps_results(node)}
    for node, inside in nodes:
        for target, kind, after in _variants(node):
            found.append(
                Change(
                    path=path,
                    line=target.lineno,
                    start=starts[target.lineno - 1] + target.col_offset,
                    end=starts[target.end_lineno - 1] + target.end_col_offset,
                    after=after,
                    kind=kind,
                    inside=inside,
                    cached=inside in cached,
                )
            )
    return sorted(found, key=lambda change: (change.start, change.end, change.after))


def _nodes(node: ast.AST, inside: str) -> Iterator[tuple[ast.AST, str]]:
    """Walk a module with the qualified name of the outermost function around each node."""
    if isinstance(node, PASSED_OVER) or _is_strict(node):
        return
    for field, value in ast.iter_fields(node):
        if field in {"annotation", "returns", "decorator_list"}:
            continue
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST):
                continue
            name = _inside(child, inside)
            if _is_type_checking(child):
                continue
            yield child, name
            if not isinstance(child, ast.Raise):
                yield from _nodes(child, name)


def _inside(node: ast.AST, inside: str) -> str:
    """Return a path that ends in ``()`` once a function is entered; later ones do not count."""
    if inside.endswith("()"):
        return inside
    if isinstance(node, ast.FunctionDef):
        return f"{inside}{node.name}()"
    return f"{inside}{node.name}." if isinstance(node, ast.ClassDef) else inside


def _keeps_results(node: ast.AST) -> bool:
    return isinstance(node, ast.FunctionDef) and any(
        "cache" in ast.unparse(decorator) for decorator in node.decorator_list
    )


def _is_strict(node: ast.AST) -> bool:
    """Whether it is the guard of a ``zip``, which nothing reaches while the lengths are one."""
    return isinstance(node, ast.keyword) and node.arg == "strict"


def _is_type_checking(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"


def _variants(node: ast.AST) -> Iterator[tuple[ast.AST, str, str]]:
    """Yield what is replaced, the kind of change and the new text, for every change of a node."""
    yield from _operators(node)
    yield from _names_and_numbers(node)
    yield from _statements(node)


def _operators(node: ast.AST) -> Iterator[tuple[ast.AST, str, str]]:
    match node:
        case ast.Compare(ops=ops):
            # Beside a tolerance the value just at its end decides nothing.
            tolerant = any(word in ast.unparse(node) for word in TOLERANCES)
            for at, op in enumerate(ops):
                for other in COMPARISONS[type(op)][1 if tolerant else 0 :]:
                    changed = _with(node, ops=[*ops[:at], other(), *ops[at + 1 :]])
                    yield node, "comparison", changed
        case ast.BinOp(op=op) | ast.AugAssign(op=op) if type(op) in ARITHMETIC:
            yield node, "arithmetic", _with(node, op=ARITHMETIC[type(op)]())
        case ast.BoolOp(op=op):
            other = ast.Or() if isinstance(op, ast.And) else ast.And()
            yield node, "and, or", _with(node, op=other)
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield node, "not, minus", f"({ast.unparse(operand)})"


def _names_and_numbers(node: ast.AST) -> Iterator[tuple[ast.AST, str, str]]:
    match node:
        case ast.Constant(value=bool(value)):
            yield node, "constant", str(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield node, "constant", repr(value + 1)
        case ast.Call(func=ast.Name(id=name)) if name in OPPOSITES:
            yield node.func, "opposite", OPPOSITES[name]
        case ast.Call(func=ast.Attribute(attr=name) as func) if name in OPPOSITES:
            yield func, "opposite", _with(func, attr=OPPOSITES[name])


def _statements(node: ast.AST) -> Iterator[tuple[ast.AST, str, str]]:
    match node:
        case ast.Return(value=ast.AST() as value) if ast.unparse(value) not in NOTHING:
            yield node, "return None", "return None"
        case ast.Raise():
            yield node, "no raise", "pass"
        case ast.If(test=test) | ast.IfExp(test=test) | ast.While(test=test):
            if isinstance(test, (ast.Name, ast.Attribute, ast.Call)):
                yield test, "condition", f"(not {ast.unparse(test)})"


def _with(node: ast.AST, **fields: object) -> str:
    changed = copy.copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    text = ast.unparse(ast.fix_missing_locations(changed))
    return text if isinstance(node, ast.stmt) else f"({text})"
