"""``quietacre shortcut``: a starter of the desk on the desktop."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.errors import FileProblem


@click.command(name="shortcut")
@click.option(
    "--to", type=click.Path(path_type=Path, file_okay=False),
    help="The folder to put it in (default: your desktop).",
)  # fmt: skip
@click.option(
    "--system", type=click.Choice(["linux", "macos", "windows"]),
    help="Whose kind of starter (default: this computer's).",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
@fail_cleanly
def command(to: Path | None, system: str | None, *, as_json: bool) -> None:
    """Put a starter of the desk on your desktop, to be double-clicked.

    Only the starter for Linux has been tried; those for macOS and Windows are untried.
    """
    from quietacre.desk.starter import starter, this_system
    from quietacre.export.atomic import write_atomic

    system = system or this_system()
    if to is None:
        from platformdirs import user_desktop_path

        to = user_desktop_path()
    if not to.is_dir():
        raise FileProblem(
            "there is no such folder", fix="name one with --to", source=str(to)
        )
    made = starter(system, sys.executable)
    path = to / made.name
    if path.exists() and path.read_text(encoding="utf-8", errors="replace") != made.text:
        raise FileProblem(
            "is there already, and is another",
            fix="move it away, or name another folder with --to",
            source=str(path),
        )
    write_atomic(path, made.text)
    if made.runs:
        path.chmod(0o755)
    if as_json:
        emit({"file": str(path), "system": system, "tried": system == "linux"})
        return
    say(f"{path}: double-click it to open the desk")
    if system != "linux":
        say("this kind of starter is untried; if it does not start, type: quietacre open")
