"""Which lines tell what a change needs: its own, or those that use the name it is part of."""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterator

from source_changes import SOURCE, Place


@functools.cache
def _statements(text: str) -> list[tuple[range, set[str], bool]]:
    """Return every statement that runs when a module is loaded: lines, names, in a function."""
    found: list[tuple[range, set[str], bool]] = []
    for node in _outside(ast.parse(text)):
        lines = range(node.lineno, (node.end_lineno or node.lineno) + 1)
        of_class = getattr(node, "of_class", None)
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            names = {node.name, of_class} - {None}
            body = node.body[0].lineno
            found.append((range(min([node.lineno, *_at(node)]), body), names, False))
            found.append((range(body, lines.stop), names, True))
        else:
            found.append((lines, {of_class} if of_class else _names(node), False))
    return found


def _at(node: ast.FunctionDef | ast.AsyncFunctionDef) -> list[int]:
    return [one.lineno for one in node.decorator_list]


def _outside(tree: ast.AST) -> Iterator[ast.stmt]:
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.ClassDef):
            for inner in _outside(node):
                inner.of_class = node.name  # type: ignore[attr-defined]
                yield inner
        elif isinstance(node, (ast.If, ast.Try, ast.With)):
            yield from _outside(node)
        elif isinstance(node, ast.stmt):
            yield node


def _names(node: ast.stmt) -> set[str]:
    inside = (one for one in ast.walk(node) if isinstance(one, ast.Name))
    return {one.id for one in inside if isinstance(one.ctx, ast.Store)}


def lines_that_need(place: Place, sources: dict[str, str]) -> list[tuple[str, range]]:
    """Return modules and lines: a test that comes by one of them may notice the change.

    A line in a function needs itself. One that runs as its module is loaded is part of
    a name; what needs it is every function, in any module, in which that name stands.
    """
    file = place.path.relative_to(SOURCE).as_posix()
    own = _statements(sources[file])
    if any(inner and place.line in lines for lines, _, inner in own):
        return [(file, place.lines)]
    names = set().union(*(names for lines, names, _ in own if place.line in lines))
    if not names:
        return [(file, range(1, len(sources[file].splitlines()) + 1))]
    return _users(frozenset(names), file, sources)


def _users(
    names: frozenset[str], file: str, sources: dict[str, str]
) -> list[tuple[str, range]]:
    """Return the functions in which a name stands, or another that is made of it."""
    found: list[tuple[str, range]] = []
    for _ in range(3):
        word = re.compile(r"\b(" + "|".join(map(re.escape, sorted(names))) + r")\b")
        more: set[str] = set()
        found = []
        for module, text in sources.items():
            if not word.search(text):
                continue
            lines = text.splitlines()
            for span, of, inner in _statements(text):
                said = any(
                    word.search(line) for line in lines[span.start - 1 : span.stop - 1]
                )
                if inner and (said or (module == file and of & names)):
                    found.append((module, span))
                elif said:
                    more |= of
        if more <= names:
            break
        names |= more
    return found
