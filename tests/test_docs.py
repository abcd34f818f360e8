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


def test_readme_python_runs(tmp_path, monkeypatch):
    from quietacre.commands.demo import write_sample

    write_sample(tmp_path / "sweetgum-bend")
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "README.md").read_text()
    blocks = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    assert blocks
    for block in blocks:
        exec(compile(block, "README.md", "exec"), {})  # noqa: S102 - our own page


def test_readme_commands_run(tmp_path, monkeypatch):
    """Every quietacre line of the README, on copies of the sample's files."""
    import shlex

    from click.testing import CliRunner

    from quietacre.cli import main
    from quietacre.demo.sample import sample_files

    files = sample_files()
    (tmp_path / "my-walk.gpx").write_bytes(files["walks/creek-shelf.gpx"])
    (tmp_path / "drawings.geojson").write_bytes(files["drawn/openings.geojson"])
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "README.md").read_text()
    block = next(b for b in re.findall(r"```sh\n(.*?)```", text, re.DOTALL) if "acres" in b)
    lines = [line.partition("#")[0].strip() for line in block.splitlines() if line.strip()]
    assert len(lines) >= 4
    for line in lines:
        result = CliRunner().invoke(main, shlex.split(line)[1:])
        assert result.exit_code == 0, (line, result.output)
    assert (tmp_path / "my-place" / "out" / "map.html").is_file()
    assert (tmp_path / "ring.geojson").is_file()


def test_sample_map_is_the_demo():
    """The finished property in sample_maps holds the very files the demo writes."""
    from quietacre.demo.sample import sample_files

    home = ROOT / "sample_maps" / "sweetgum-bend"
    for name, data in sample_files().items():
        assert (home / name).read_bytes() == data, name
    assert (home / "out" / "map.html").is_file()
