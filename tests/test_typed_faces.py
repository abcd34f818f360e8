"""What rooms of the house hand each other are records: no table of anything in a public face."""

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[1] / "src" / "quietacre"
ROOMS = ("strip", "need", "year", "measure", "record")
LOOSE = ("dict[str, Any]", "Mapping[str, Any]")
_ROWS = "jobs as report.json holds them, which lists and commands hand on to the papers"
#: What still takes or gives a table of anything, by file and name, and why.
REASONED = {
    "need/program.py: Program.loaded": "options of the solver, by its own names",
    "year/report.py: plan_year": "also takes what report.json holds, as it always did",
    "year/rings.py: worked_rings": "reads strips from report.json for plan_year",
    "year/takes.py: takes_by_key": "reads amounts from report.json for plan_year",
    "year/which_job.py: Row": _ROWS,
    "year/chosen.py: Row": _ROWS,
}


def loose(name, text):
    """Yield the public functions, fields and names of types in a module that are loose."""
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and ast.unparse(node.value) in LOOSE:
            yield f"{name}: {ast.unparse(node.targets[0])}"
    for node in tree.body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for part in node.body:
                yield from _of(part, f"{name}: {node.name}.")
        yield from _of(node, f"{name}: ")


def _of(node, before):
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
        called = node.name
        parts = [node.args, *([node.returns] if node.returns else [])]
    elif isinstance(node, ast.AnnAssign):
        called, parts = ast.unparse(node.target), [node.annotation]
    else:
        return
    text = " ".join(ast.unparse(part) for part in parts)
    if not called.startswith("_") and any(word in text for word in LOOSE):
        yield before + called


@pytest.mark.parametrize(
    "text",
    [
        "def f(x: dict[str, Any]) -> None: ...",
        "def f() -> list[dict[str, Any]]: ...",
        "class C:\n    def f(self, *, x: Mapping[str, Any] | None = None): ...",
        "class C:\n    f: dict[str, Any]",
        "if TYPE_CHECKING:\n    f = Mapping[str, Any]",
    ],
)
def test_a_loose_face_is_found(text):
    (found,) = loose("m.py", text)
    assert found.startswith("m.py: ")
    assert found.endswith("f")


def test_what_is_private_or_typed_is_left():
    text = "def _f(x: dict[str, Any]) -> None: ...\ndef g(x: dict[str, float]) -> None: ..."
    assert list(loose("m.py", text)) == []


def test_rooms_hand_on_records():
    found = {
        what
        for room in ROOMS
        for path in sorted((SOURCE / room).rglob("*.py"))
        for what in loose(str(path.relative_to(SOURCE)), path.read_text(encoding="utf-8"))
    }
    assert found == set(REASONED)
