"""No file of the source is over 400 lines, and no function over 60."""

import ast
from pathlib import Path

SOURCE = Path(__file__).parents[1] / "src" / "quietacre"
#: What is longer for a reason, by file or by file and function; at most three.
REASONED: dict[str, str] = {}


def too_long(name, text):
    """Yield what of a module is too long."""
    if text.count("\n") > 400:
        yield name
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            first = node.lineno
            if node.end_lineno - first + 1 > 60:
                yield f"{name}: {node.name}"


def test_what_is_too_long_is_found():
    long = "def f():\n" + "    x = 1\n" * 60
    assert list(too_long("m.py", long)) == ["m.py: f"]
    assert list(too_long("m.py", long[:-10])) == []
    assert list(too_long("m.py", "x = 1\n" * 401)) == ["m.py"]


def test_files_and_functions_are_short():
    found = {
        what
        for path in sorted(SOURCE.rglob("*.py"))
        for what in too_long(
            str(path.relative_to(SOURCE)), path.read_text(encoding="utf-8")
        )
    }
    assert len(REASONED) <= 3
    assert found == set(REASONED)
