"""Small changes to the source: where one may be made, and the module with it made.

A comparison, a sign, a number, a condition, a call whose answer nobody takes, a ``return``.
None is made in types, in imports for types or in what only says how a program runs (a
frozen dataclass, the size of a cache).
"""

from __future__ import annotations

import ast
import copy
import random
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "quietacre"
COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
COUNTED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
#: Words that change no answer: lists of one length are zipped as well without ``strict``.
HOW_IT_RUNS = {"strict", "frozen", "slots", "maxsize"}


@dataclass(frozen=True)
class Place:
    """One change: the module, the number of its node in the tree, and what is done there."""

    path: Path
    node: int
    how: str
    line: int
    last: int = 0

    @property
    def lines(self) -> range:
        """Return the lines that tell whether a test comes by."""
        return range(self.line, max(self.line, self.last) + 1)

    @property
    def shown(self) -> str:
        return f"{self.path.relative_to(SOURCE.parent)}:{self.line}"


def ways(node: ast.AST) -> list[str]:
    """Return what may be changed at a node."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARED:
        return ["compared"]
    if isinstance(node, ast.BinOp) and type(node.op) in COUNTED and not _of_text(node):
        return ["counted"]
    if isinstance(node, ast.AugAssign) and type(node.op) in COUNTED:
        return ["counted"]
    if isinstance(node, ast.BoolOp):
        return ["and for or"]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.USub)):
        return ["sign left out"]
    if isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
        return ["another value"]
    if isinstance(node, (ast.If, ast.IfExp, ast.While)):
        return ["condition turned"]
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        return ["call left out"]
    if isinstance(node, ast.Return) and node.value is not None and not _no(node.value):
        return ["nothing returned"]
    return []


def _no(node: ast.AST) -> bool:
    """Return whether it is None, or False, for which None stands as well."""
    return isinstance(node, ast.Constant) and (node.value is None or node.value is False)


def _of_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )


def places(path: Path) -> list[Place]:
    """Return every change that may be made in a module; none in types and imports."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped: set[int] = set()
    for node in ast.walk(tree):
        types = [getattr(node, "annotation", None), getattr(node, "returns", None)]
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            types.append(node)
        if isinstance(node, ast.keyword) and node.arg in HOW_IT_RUNS:
            types.append(node)
        for one in types:
            skipped |= {id(inner) for inner in ast.walk(one)} if one is not None else set()
    return [
        Place(path, number, how, getattr(node, "lineno", 0), _last(node))
        for number, node in enumerate(ast.walk(tree))
        if id(node) not in skipped
        for how in ways(node)
    ]


def _last(node: ast.AST) -> int:
    """Return the last line of a node, without the body that a condition stands before."""
    shown = node.test if isinstance(node, (ast.If, ast.While)) else node
    return getattr(shown, "end_lineno", 0)


def changed(place: Place) -> tuple[str, str, str]:
    """Return the module with one change, and the changed statement before and after."""
    tree = ast.parse(place.path.read_text(encoding="utf-8"))
    node = list(ast.walk(tree))[place.node]
    before = copy.deepcopy(node)
    if place.how == "compared":
        node.ops[0] = COMPARED[type(node.ops[0])]()
    elif place.how == "counted":
        node.op = COUNTED[type(node.op)]()
    elif place.how == "and for or":
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif place.how == "sign left out":
        node.op = ast.UAdd() if isinstance(node.op, ast.USub) else _Twice()
    elif place.how == "another value":
        node.value = _other(node.value)
    elif place.how == "condition turned":
        node.test = ast.UnaryOp(ast.Not(), node.test)
    elif place.how == "call left out":
        node.value = ast.Constant(value=None)
    else:
        node.value = ast.Constant(value=None)
    if isinstance(getattr(node, "op", None), _Twice):
        node.op = ast.Not()
        node.operand = ast.UnaryOp(ast.Not(), node.operand)
    ast.fix_missing_locations(tree)
    return ast.unparse(tree), _one_line(before), _one_line(node)


class _Twice(ast.Not):
    """``not not``: the sign taken away while the answer stays true or false."""


def _other(value: float) -> float:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int) or value == 0.0:
        return value + 1
    return value * 1.25


def _one_line(node: ast.AST) -> str:
    shown = node
    if isinstance(node, (ast.If, ast.While)):
        shown = node.test
    return " ".join(ast.unparse(shown).split())[:160]


def drawn(package: str, count: int, seed: int) -> list[Place]:
    """Return so many places of a package, without any twice."""
    every = [
        place for path in sorted((SOURCE / package).rglob("*.py")) for place in places(path)
    ]
    return random.Random(seed).sample(every, min(count, len(every)))  # noqa: S311
