"""Made pages are what the code says, and the docs build without a warning."""

import importlib.util
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from quietacre.cli import COMMANDS, main

ROOT = Path(__file__).parents[1]


def pages():
    spec = importlib.util.spec_from_file_location("pages", ROOT / "docs" / "make_pages.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.PAGES


@pytest.mark.parametrize("page", ["commands.md", "limits-of-reading.md", "crop-table.md"])
def test_made_pages_are_fresh(page):
    assert (ROOT / "docs" / page).read_text() == pages()[page]()


def test_docs_build_without_warnings(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "-d", str(tmp_path / "site")],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    for page in (ROOT / "docs").glob("*.md"):
        assert (tmp_path / "site" / f"{page.stem}.html").is_file(), page.name


def test_commands_named_in_the_docs_are_commands():
    """Every `quietacre …` of the docs is a command, and its options are its own."""
    said = 0
    for page in [ROOT / "README.md", *(ROOT / "docs").glob("*.md")]:
        if page.name in ("changelog.md", "commands.md"):
            continue
        for line in re.findall(r"`(quietacre [a-z][^`]*)`", page.read_text()):
            words = shlex.split(line)[1:]
            assert words[0] in COMMANDS, (page.name, line)
            context = main.make_context(
                "quietacre", [words[0], "--help"], resilient_parsing=True
            )
            command = main.get_command(context, words[0])
            known = {o for param in command.params for o in param.opts} | {"--help"}
            if getattr(command, "commands", None):
                for under in command.commands.values():
                    known |= {o for param in under.params for o in param.opts}
            options = {word for word in words if word.startswith("--")}
            assert options <= known, (page.name, line)
            said += 1
    assert said > 10
