"""``quietacre copy``: one zip of the place to keep."""

from __future__ import annotations

from pathlib import Path

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import today_from

NAMED = 5


@click.command(name="copy")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("to", type=click.Path(path_type=Path), metavar="TO")
@click.option("--json", "as_json", is_flag=True, help="Print what was kept as JSON.")
@fail_cleanly
def command(folder: Path, to: Path, *, as_json: bool) -> None:
    """Write a copy of the whole place DIR to keep, as one zip.

    TO is a folder, where it gets a name with the day, or a new .zip file. Everything
    goes in but out/. It is read back and compared with a sum of each file before it
    counts; no copy is ever written over another.
    """
    from quietacre.edit.keep import MANIFEST, keep_copy

    kept = keep_copy(folder, to, today=today_from(None))
    if as_json:
        emit({
            "copy": str(kept.path), "files": kept.files, "bytes": kept.size_bytes,
            "left_out": [{"name": name, "why": why} for name, why in kept.left_out],
            "odd_names": list(kept.odd_names),
        })  # fmt: skip
        return
    say(
        f"kept: {kept.path}: {kept.files} files, {kept.size_bytes / 1e6:.1f} MB, each read back "
        f"and alike; their sums lie in it ({MANIFEST})"
    )
    for name, why in kept.left_out:
        say(f"  not in it: {name} ({why})")
    if kept.odd_names:
        some = ", ".join(kept.odd_names[:NAMED])
        more = " …" if len(kept.odd_names) > NAMED else ""
        say(f"  names that not every system can keep: {some}{more}", err=True)
    say(f"bring it back with: quietacre restore {kept.path.name} NEW-FOLDER")
