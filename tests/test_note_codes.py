"""Every note has a code, and every code stands in a test that shows what a person is told."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "quietacre"
TESTS = ROOT / "tests"
#: Parts that make no notes: they print lines, or answer a browser.
OTHERS = ("commands", "desk", "demo", "page", "export")
CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*$")
SENTENCE = re.compile(r"\S \S")


def taking_a_code(trees):
    """Return, for each function that takes a note's code, at which place it does."""
    found = {"Note": 0, "note": 0}
    for tree in trees:
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef):
                names = [one.arg for one in node.args.args if one.arg != "self"]
                if "code" in names and {"text", "head"} & set(names):
                    found[node.name] = names.index("code")
    return found


def codes_in(tree, taking):
    """Yield each code of a note in a module: as an argument, in a row, before its sentence."""
    for node in ast.walk(tree):
        given = []
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            at = taking.get(name)
            given += node.args[at : at + 1] if at is not None else []
            if at is not None:
                given += [word.value for word in node.keywords if word.arg == "code"]
        elif isinstance(node, ast.Dict):
            pairs = zip(node.keys, node.values, strict=True)
            given += [
                v for k, v in pairs if isinstance(k, ast.Constant) and k.value == "code"
            ]
        elif isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "code":
            given.append(node.value)
        elif isinstance(node, ast.Tuple):
            given += [
                one
                for one, after in zip(node.elts, node.elts[1:], strict=False)
                if _words(one) and "-" in one.value and _is_sentence(after)
            ]
        for one in given:
            both = [one.body, one.orelse] if isinstance(one, ast.IfExp) else [one]
            yield from (
                part.value for part in both if _words(part) and CODE.match(part.value)
            )


def _words(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _is_sentence(node):
    return isinstance(node, ast.JoinedStr) or (_words(node) and SENTENCE.search(node.value))


def every_code():
    trees = {
        path: ast.parse(path.read_text(encoding="utf-8"))
        for path in SOURCE.rglob("*.py")
        if path.relative_to(SOURCE).parts[0] not in OTHERS
    }
    taking = taking_a_code(trees.values())
    return {code: path for path, tree in trees.items() for code in codes_in(tree, taking)}


def in_tests():
    """Return the words in quotes of every other test file."""
    found = set()
    for path in TESTS.rglob("*.py"):
        if path != Path(__file__):
            found |= set(
                re.findall(r"[\"']([a-z0-9-]+)[\"']", path.read_text(encoding="utf-8"))
            )
    return found


@pytest.mark.parametrize(
    ("source", "codes"),
    [
        ('Note("a-hole", text)', {"a-hole"}),
        ('def say(code, text): Note(code, text)\nsay("a-b", "words")', {"a-b"}),
        ('out.append({"code": "c-d", "text": t})', {"c-d"}),
        ('code = "late" if task.late else "early-on"', {"late", "early-on"}),
        ('return "e-f", f"{name} is doubted"', {"e-f"}),
        ('pair = "walked", "plot"', set()),
        ('print("g-h")', set()),
    ],
)
def test_codes_are_found_however_a_note_is_made(source, codes):
    tree = ast.parse(f"def f():\n    {source}" if source.startswith("return") else source)
    assert set(codes_in(tree, taking_a_code([tree]))) == codes


def test_every_code_of_a_note_stands_in_a_test():
    named = in_tests()
    missing = {code: path.name for code, path in every_code().items() if code not in named}
    assert not missing, "show in a test when each is said, and when not"
