"""The command that changes the source: its changes are drawn by the seed, and each is one."""

import ast
import shutil

import mutate
import pytest


def test_every_change_of_a_module_gives_another_program():
    found = mutate.places(mutate.SOURCE / "units.py")
    assert found
    plain = ast.unparse(ast.parse((mutate.SOURCE / "units.py").read_text()))
    for place in found:
        text, before, after = mutate.changed(place)
        compile(text, "units.py", "exec")
        assert text != plain, (place, before, after)


def test_types_and_imports_for_types_are_left_alone(tmp_path):
    module = tmp_path / "m.py"
    module.write_text(
        "from typing import TYPE_CHECKING, Literal\n"
        "if TYPE_CHECKING:\n    LIMIT = 3\n"
        "def f(x: Literal[1] = 2) -> Literal[3]:\n    return x\n"
    )
    assert sorted((p.line, p.how) for p in mutate.places(module)) == [
        (4, "another value"),
        (5, "nothing returned"),
    ]


def test_the_seed_says_which_places():
    first = mutate.drawn("acreage", 5, seed=7)
    assert first == mutate.drawn("acreage", 5, seed=7)
    assert first != mutate.drawn("acreage", 5, seed=8)
    assert len({(place.path, place.node) for place in first}) == 5


TINY = """
from quietacre.acreage import fewer

def test_nothing():
    assert fewer.PIECE

def test_most():
    from shapely import box
    assert fewer._most_in_one(box(0, 0, 1, 1)) == 5
"""


@pytest.mark.slow
def test_what_a_test_comes_by_is_noticed(tmp_path):
    shutil.copytree(mutate.SOURCE, tmp_path / "quietacre")
    file = tmp_path / "test_tiny.py"
    assert not mutate.Tests(tmp_path, [file]).look("acreage"), "no such file"
    file.write_text(TINY)
    tests = mutate.Tests(tmp_path, [file])
    assert tests.look("acreage")
    path = mutate.SOURCE / "acreage" / "fewer.py"
    by = {place: tests.of(place) for place in mutate.places(path)}
    assert set(map(tuple, by.values())) == {(), (f"{file}::test_most",), (str(file),)}
    turned = next(
        place
        for place, names in by.items()
        if names == [f"{file}::test_most"] and place.how == "nothing returned"
    )
    changed = tmp_path / "quietacre" / "acreage" / "fewer.py"
    assert not tests.notice(turned)
    changed.write_text(mutate.changed(turned)[0])
    assert tests.notice(turned)


def test_the_tests_of_a_package_are_its_own_and_those_of_print():
    found = {path.relative_to(mutate.TESTS).parts for path in mutate.tests_of("acreage")}
    assert ("acreage", "test_equal_area.py") in found
    assert ("published", "test_published_acreage.py") in found
    assert not any(parts[0] == "browser" for parts in found)
