"""``quietacre restore``: a copy of a place brought back."""

from __future__ import annotations

import shlex
from pathlib import Path

import click

from quietacre.commands._edge import emit, fail_cleanly, say

NAMED = 5


@click.command(name="restore")
@click.argument("archive", type=click.Path(path_type=Path), metavar="ZIP")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
@click.option(
    "--json", "as_json", is_flag=True, help="Print what was brought back as JSON."
)
@fail_cleanly
def command(archive: Path, folder: Path, *, as_json: bool) -> None:
    """Bring a copy of a place back from ZIP into the new folder DIR, on any computer.

    Every file is held against the list of sums in the copy. All of it is put in place,
    or nothing; nothing that is there is written over.
    """
    from quietacre.edit.keep import MANIFEST
    from quietacre.edit.restore import restore
    from quietacre.intake.newer import format_of, newer_words
    from quietacre.model import FORMAT

    done = restore(archive, folder)
    newer = format_of(folder)
    if as_json:
        emit({
            "folder": str(folder), "files": done.files, "compared": done.compared,
            "unlisted": list(done.unlisted), "left_out": list(done.left_out),
        })  # fmt: skip
    else:
        alike = (
            "each as its sum says"
            if done.compared
            else (f"not compared: the zip has no {MANIFEST}")
        )
        say(f"{folder}: {done.files} files brought back, {alike}")
    for what, names in (
        (f"not named in {MANIFEST}, brought back all the same", done.unlisted),
        ("beside the place in the zip, left out", done.left_out),
    ):
        if names:
            more = " …" if len(names) > NAMED else ""
            say(f"  {what}: {', '.join(names[:NAMED])}{more}", err=True)
    if newer > FORMAT:
        say(f"{newer_words(newer)}: it can be looked at here, not changed", err=True)
    if not as_json:
        say(f"Now: quietacre build {shlex.quote(str(folder))}")
