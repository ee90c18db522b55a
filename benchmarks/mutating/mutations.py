"""Small changes of Python source, one at a time, such as a slip of the hand would make."""

import ast
from collections import Counter
from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass
from types import CodeType
from typing import Any

COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
RECKONED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
SWAPPED = [("min", "max"), ("any", "all"), ("argmin", "argmax"), ("minimum", "maximum")]
OTHER_NAME = dict(SWAPPED) | {other: one for one, other in SWAPPED}
# Words of errors, types, and promises between our own lines: no rule changes with these.
UNTOUCHED = (ast.Raise, ast.JoinedStr, ast.Import, ast.ImportFrom)
UNTOUCHED_FIELDS = ("annotation", "returns", "decorator_list", "ctx")
UNTOUCHED_KEYWORDS = ("strict", "frozen", "slots")


@dataclass(frozen=True)
class Mutant:
    """One change: where it is, what stands there before and after, and the code with it."""

    lines: range  # of the statement, without the block below it
    text: str  # the line as it stands in the file
    change: str  # before -> after; (2) behind the second like it on the line
    code: CodeType
    in_function: bool  # else it is carried out when the module is imported

    @property
    def key(self) -> str:
        return f"{self.text} | {self.change}"


def mutants_of(source: str, file_name: str) -> list[Mutant]:
    """Every small change of this source, from top to bottom.

    >>> source = "def older(a, b):\\n    return a > b\\n"
    >>> [one.key for one in mutants_of(source, "ages.py")]
    ['return a > b | a > b -> a >= b', 'return a > b | a > b -> None']
    """
    tree, written = ast.parse(source), source.splitlines()
    found: list[Mutant] = []
    alike: Counter[tuple[int, str]] = Counter()
    for parent, name, at, statement, in_function in list(_places(tree)):
        whole = getattr(parent, name)
        node = whole if at is None else whole[at]
        for after in _changes(node, parent, name):
            _put(parent, name, at, ast.copy_location(after, node))
            code = compile(ast.fix_missing_locations(tree), file_name, "exec")
            change = f"{_said(node)} -> {_said(after)}"
            text = written[node.lineno - 1].strip()
            alike[node.lineno, change] += 1
            if (times := alike[node.lineno, change]) > 1:
                change += f" ({times})"
            found.append(Mutant(_lines(statement), text, change, code, in_function))
        _put(parent, name, at, node)
    return found


def _said(node: ast.AST) -> str:
    return " ".join(ast.unparse(node).split())


def _put(parent: ast.AST, name: str, at: int | None, node: ast.AST) -> None:
    if at is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[at] = node


def _lines(statement: ast.stmt) -> range:
    body = getattr(statement, "body", None)
    end = max(body[0].lineno, statement.lineno + 1) if body else (statement.end_lineno or 0) + 1
    return range(statement.lineno, end)


Place = tuple[ast.AST, str, int | None, ast.stmt, bool]


def _places(tree: ast.Module) -> Iterator[Place]:
    for at, statement in enumerate(tree.body):
        yield from _of_node(statement, tree, "body", at, statement, False)


def _of_node(
    node: ast.AST, parent: ast.AST, name: str, at: int | None, statement: ast.stmt, inside: bool
) -> Iterator[Place]:
    """The node's place and those below it; defaults of arguments are not inside the function."""
    if isinstance(node, UNTOUCHED) or getattr(node, "arg", None) in UNTOUCHED_KEYWORDS:
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring
    statement = node if isinstance(node, ast.stmt) else statement
    if hasattr(node, "lineno"):
        yield parent, name, at, statement, inside
    is_function = isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
    for field, value in ast.iter_fields(node):
        if field in UNTOUCHED_FIELDS:
            continue
        within = inside or (is_function and field == "body")
        if isinstance(value, ast.AST):
            yield from _of_node(value, node, field, None, statement, within)
        elif isinstance(value, list):
            for number, child in enumerate(value):
                if isinstance(child, ast.AST):
                    yield from _of_node(child, node, field, number, statement, within)


def _changes(node: Any, parent: ast.AST, name: str) -> Iterator[ast.AST]:
    yield from _of_itself(node)
    if name == "test" and isinstance(parent, (ast.If, ast.IfExp)):
        yield ast.Constant(False)
        if parent.orelse:
            yield ast.Constant(True)
    if name == "ifs":
        yield ast.Constant(True)
    if name == "value" and isinstance(parent, ast.Return) and not _is(node, None):
        yield ast.Constant(None)
    if _is_bound(node, parent, name) and not isinstance(node, ast.Constant):
        yield ast.BinOp(node, ast.Add() if name == "lower" else ast.Sub(), ast.Constant(1))


def _is(node: ast.AST, value: object) -> bool:
    return isinstance(node, ast.Constant) and node.value is value


def _is_bound(node: ast.AST, parent: ast.AST, name: str) -> bool:
    """The end of a slice or of a range, or a number of days."""
    if isinstance(parent, ast.Slice):
        return name in ("lower", "upper")
    if isinstance(parent, ast.keyword):
        return parent.arg in ("days", "weeks")
    is_range = isinstance(parent, ast.Call) and _said(parent.func) == "range"
    return is_range and name == "args" and parent.args[-1] is node  # type: ignore[attr-defined]


def _of_itself(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Compare():
            for at, one in enumerate(node.ops):
                yield _with(node, ops=[*node.ops[:at], COMPARED[type(one)](), *node.ops[at + 1 :]])
        case ast.BinOp() | ast.AugAssign() if type(node.op) in RECKONED and not _of_words(node):
            yield _with(node, op=RECKONED[type(node.op)]())
        case ast.UnaryOp(op=ast.Not() | ast.USub() | ast.Invert()):
            yield node.operand
        case ast.BoolOp():
            yield _with(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.Constant(value=bool(flag)):
            yield ast.Constant(not flag)
        case ast.Constant(value=int(number) | float(number)):
            yield ast.Constant(number + 1)
            yield ast.Constant(number - 1)
        case ast.Name() if node.id in OTHER_NAME:
            yield _with(node, id=OTHER_NAME[node.id])
        case ast.Attribute() if node.attr in OTHER_NAME:
            yield _with(node, attr=OTHER_NAME[node.attr])
        case ast.Expr(value=ast.Call()):
            yield ast.Pass()
        case ast.Continue():
            yield ast.Break()


def _with(node: ast.AST, **changed: Any) -> ast.AST:
    other = copy(node)
    for name, value in changed.items():
        setattr(other, name, value)
    return other


def _of_words(node: ast.BinOp | ast.AugAssign) -> bool:
    """Text is put together, not numbers: any change would only be an error of types."""
    sides = [node.value] if isinstance(node, ast.AugAssign) else [node.left, node.right]
    return any(
        isinstance(side, (ast.JoinedStr, ast.List, ast.Tuple))
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )
