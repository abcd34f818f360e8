"""What packages hand each other are records: no table of anything in a public face."""

import ast
import re
from collections import Counter
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[1] / "src" / "quietacre"
LOOSE = ("dict[str, Any]", "Mapping[str, Any]")
#: What takes or gives a table of anything for a reason, which stands beside it; at most three.
REASONED: dict[str, str] = {}
#: How many others are left in each package; a number here may only fall.
LEFT: dict[str, int] = {}


def loose(name, text):
    """Yield the public functions, fields and names of types in a module that are loose."""
    tree = ast.parse(text)
    for node in tree.body:
        yield from _of(node, f"{name}: ")
        if isinstance(node, ast.If):  # names that only types need
            for part in node.body:
                yield from _of(part, f"{name}: ")
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for part in node.body:
                yield from _of(part, f"{name}: {node.name}.")
            for part in ast.walk(node):
                if isinstance(part, ast.AnnAssign) and isinstance(
                    part.target, ast.Attribute
                ):
                    yield from _of(part, f"{name}: {node.name}.")


def _of(node, before):
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
        called = node.name
        parts = [node.args, *([node.returns] if node.returns else [])]
    elif isinstance(node, ast.AnnAssign):
        called, parts = ast.unparse(node.target).removeprefix("self."), [node.annotation]
    elif isinstance(node, ast.Assign):
        called, parts = ast.unparse(node.targets[0]), [node.value]
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
        "class C:\n    def __init__(self) -> None:\n        self.f: list[dict[str, Any]] = []",
        "if TYPE_CHECKING:\n    f = Mapping[str, Any]",
        "f = Sequence[Mapping[str, Any]]",
    ],
)
def test_a_loose_face_is_found(text):
    (found,) = loose("m.py", text)
    assert found.startswith("m.py: ")
    assert found.endswith("f")


def test_what_is_private_or_typed_is_left():
    text = "def _f(x: dict[str, Any]) -> None: ...\ndef g(x: dict[str, float]) -> None: ..."
    assert list(loose("m.py", text)) == []


def test_packages_hand_on_records():
    found = [
        what
        for path in sorted(SOURCE.rglob("*.py"))
        for what in loose(path.relative_to(SOURCE).as_posix(), path.read_text("utf-8"))
    ]
    assert len(REASONED) <= 3
    assert set(REASONED) <= set(found)
    left = Counter(re.split("[:/]", what)[0] for what in found if what not in REASONED)
    assert left == LEFT, sorted(found)


#: What has to do with report.json as a file or as others get it, and how.
REPORT_AS_JSON = {
    "commands/_edge_keep.py": "prints notes as JSON",
    "desk/amounts.py": "tells the page lines of the list",
    "desk/keeping.py": "reads the file of the last build, which an older version may have made",
    "desk/last_build.py": "the same",
    "desk/strip_page.py": "tells the page the terms of a width",
    "desk/turn_routes.py": "reads the file of the last build",
    "kept_years.py": "reads the file of a kept year",
    "model.py": "gives a note to who asks for JSON",
    "need/plan.py": "gives amounts to who asks for JSON from Python",
    "page/ticks.py": "tells the page what is ticked",
    "plugins/__init__.py": "outputs of other packages get it",
    "plugins/run.py": "the same",
    "strip/plan.py": "gives strips to who asks for JSON from Python",
    "year/report.py": "gives the year to who asks for JSON from Python",
}


def test_what_reads_the_report_reads_its_records():
    found = {
        path.relative_to(SOURCE).as_posix()
        for path in SOURCE.rglob("*.py")
        if "quietacre.report_json" in path.read_text("utf-8")
    }
    assert {name for name in found if not name.startswith("report_json/")} == set(
        REPORT_AS_JSON
    )
