"""Notes are written in parts: no text of several sentences, or with its cures, in one piece."""

import ast
import json
import re
from pathlib import Path

import pytest

from quietacre.in_parts import HELP

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "quietacre"
#: Parts that make no notes: they print lines, answer a browser, or show what was made.
OTHERS = ("commands", "desk", "demo", "page", "export")
#: Where a sentence ends and another begins: "U.S. 50" and "1. oats" are none.
NEXT = re.compile(r"[a-z0-9)”%…]{2}[.?] [A-Z“]")
#: The words a part is given by, and the texts that are no notes.
PARTS = ("more", "help", "fix", "cited")
#: Texts of several sentences that are no notes, or the rest of one, by file and words of theirs.
NO_NOTES = {
    "boundary/mended.py": "there the edge is as good as the drawing",
    "boundary/sketch.py": "Not a survey.",
    "need/cautions.py": "",
    "need/spray.py": "The label is the law",
    "strip/advance.py": "tape that edge before you call it growth",
    "strip/keeping.py": "",
    "strip/missed.py": "the last cut in the log is",
    "strip/wanted.py": "",
}


def in_one_piece(tree):
    """Yield the texts that hold more than one part, as they are written."""
    apart, inside = set(), set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            rest = [word.value for word in node.keywords if word.arg in PARTS]
            if getattr(node.func, "id", "") == "InParts":
                rest += node.args[1:]
            apart |= {id(one) for part in rest for one in ast.walk(part)}
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) in PARTS:
            apart |= {id(one) for one in ast.walk(node.value)}
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            apart.add(id(node.value))  # a docstring
        if isinstance(node, ast.JoinedStr):
            inside |= {id(one) for one in node.values}
    for node in ast.walk(tree):
        if id(node) in apart | inside:
            continue
        text = _written(node)
        if HELP in text or NEXT.search(text):
            yield text


def _written(node):
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(_written(one) or "00" for one in node.values)
    return ""


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ('Note("a-b", "thin. Mend it.")', 1),
        ('Note("a-b", f"{name} is thin. What would help: 1. dig.")', 1),
        ('say("a-b", f"thin at {n} ft. Mend it.")', 1),
        ('return f"sown in {year}. Mend it."', 1),
        ('Note("a-b", "thin", more="Mend it. Or not. Or so.")', 0),
        ('say("a-b", InParts("thin", f"Mend {it}. Or not."))', 0),
        ('Note("a-b", f"the strip of U.S. 50 at {n}. it")', 0),
    ],
)
def test_a_text_in_one_piece_is_found(source, count):
    assert len(list(in_one_piece(ast.parse(f"def f():\n    {source}")))) == count


def test_no_note_is_written_in_one_piece():
    found = []
    for path in sorted(SOURCE.rglob("*.py")):
        name = path.relative_to(SOURCE)
        if name.parts[0] in OTHERS or name.name == "in_parts.py":
            continue
        known = NO_NOTES.get(name.as_posix())
        tree = ast.parse(path.read_text(encoding="utf-8"))
        found += [
            f"{name}: {text}" for text in in_one_piece(tree)
            if known is None or known not in text
        ]  # fmt: skip
    assert not found, "give what follows the first sentence as more"


def test_every_note_of_the_sample_has_a_first_sentence_alone():
    report = ROOT / "sample_maps" / "sweetgum-bend" / "out" / "report.json"
    notes = list(_notes(json.loads(report.read_text(encoding="utf-8"))))
    assert len(notes) > 50
    assert not [n["head"] for n in notes if HELP in n["head"] or NEXT.search(n["head"])]


def _notes(value):
    if isinstance(value, dict):
        if {"code", "head", "more"} <= value.keys():
            yield value
        for one in value.values():
            yield from _notes(one)
    elif isinstance(value, list):
        for one in value:
            yield from _notes(one)
