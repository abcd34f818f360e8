"""Docs keep up with the code: links lead somewhere, keys are all explained."""

import dataclasses
import re
from pathlib import Path

import pytest

from quietacre import settings

ROOT = Path(__file__).parents[1]
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")])
KEY = {"files": "from", "file": "from"}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page):
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text()):
        if "://" not in target:
            assert (page.parent / target).exists(), target


def test_every_key_is_explained():
    text = (ROOT / "docs" / "property-file.md").read_text()
    words = set(re.findall(r"[a-z0-9_]+", text))
    missing = [
        f"{cls.__name__}.{field.name}"
        for cls in vars(settings).values()
        if dataclasses.is_dataclass(cls) and cls.__module__ == settings.__name__
        for field in dataclasses.fields(cls)
        if KEY.get(field.name, field.name) not in words
    ]
    assert missing == []


def test_sample_map_is_the_demo():
    """The finished property in sample_maps holds the very files the demo writes."""
    from quietacre.demo.sample import sample_files

    home = ROOT / "sample_maps" / "sweetgum-bend"
    for name, data in sample_files().items():
        assert (home / name).read_bytes() == data, name
    assert (home / "out" / "map.html").is_file()
