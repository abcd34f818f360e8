"""``quietacre open``: the desk, in the person's own browser."""

from __future__ import annotations

from pathlib import Path

import click

from quietacre.commands._edge import fail_cleanly, say
from quietacre.model import SETTINGS_FILE


@click.command(name="open")
@click.argument(
    "folder",
    required=False,
    metavar="[DIR]",
    type=click.Path(path_type=Path, file_okay=False),
)
@click.option(
    "--port", type=click.IntRange(1024, 65535),
    help="Where on this computer it listens (default: any free one).",
)  # fmt: skip
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
@click.option("--json", "as_json", is_flag=True, help="Print the address as JSON.")
@fail_cleanly
def command(
    folder: Path | None, port: int | None, *, no_browser: bool, as_json: bool
) -> None:
    """The desk: the whole job in your own browser, for the place in DIR or any other.

    It listens on this computer alone, and only a tab with its key is answered. It prints its
    address first, and ends with Ctrl-C or some minutes after its last tab was closed.
    """
    from quietacre.desk.run import run_desk
    from quietacre.errors import FileProblem

    if folder is not None and not (folder / SETTINGS_FILE).is_file():
        raise FileProblem(
            "there is no property.toml",
            fix="leave the folder out, and begin or pick a place on the page",
            source=str(folder),
        )

    def tell(address: str) -> None:
        if as_json:
            import json

            say(json.dumps({"address": address}))
        else:
            say(address)

    run_desk(folder, port=port, browser=not no_browser, tell=tell)
