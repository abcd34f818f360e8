"""``quietacre demo``: the invented property, written and built."""

from __future__ import annotations

from pathlib import Path

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import build_folder, summary
from quietacre.errors import FileProblem


def write_sample(folder: Path) -> None:
    """Write the sample property into a folder that is missing, empty or the sample's.

    Raises
    ------
    FileProblem
        The folder holds files that are not the sample's: they are left alone.
    """
    from quietacre.demo.sample import sample_files
    from quietacre.export.whole import write_whole

    files = sample_files()
    if folder.exists() and not folder.is_dir():
        raise FileProblem(
            "is a file, not a folder", fix="name a new folder", source=str(folder)
        )
    for name, data in files.items():
        path = folder / name
        if path.exists() and path.read_bytes() != data:
            raise FileProblem(
                f"already holds another {name}",
                fix="name a new folder for the sample; nothing was changed",
                source=str(folder),
            )
    if (
        folder.is_dir()
        and any(folder.iterdir())
        and not (folder / "property.toml").exists()
    ):
        raise FileProblem(
            "holds files of yours",
            fix="name a new folder for the sample; nothing was changed",
            source=str(folder),
        )
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        write_whole(folder / name, data)


@click.command(name="demo")
@click.argument(
    "folder", default="sweetgum-bend", type=click.Path(path_type=Path), metavar="[DIR]"
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@fail_cleanly
def command(folder: Path, *, as_json: bool) -> None:
    """Write the sample property into DIR (default: sweetgum-bend) and build it.

    The property is invented: a dozen areas, walks, drawings, prices and rain.
    Its plan is made as of January 2, 2027.
    """
    from quietacre.demo.sample import SAMPLE_DAY

    write_sample(folder)
    report = build_folder(folder, today=SAMPLE_DAY)
    if as_json:
        emit(report)
    else:
        say(summary(report, folder))
        say("Open it in a browser; no network is needed. The place is invented.")
