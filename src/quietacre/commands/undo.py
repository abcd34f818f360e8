"""``quietacre undo``: take back the last change to a property folder."""

from __future__ import annotations

from pathlib import Path

import click

from quietacre.commands._change_edge import how_back, step_line, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, say


@click.command(name="undo")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option(
    "--list", "listed", is_flag=True, help="List the changes; the last one first."
)
@click.option(
    "--step", "number", type=click.IntRange(min=1), metavar="N",
    help="Take back the change of this number, not the last one; with --again, make it once more.",
)  # fmt: skip
@click.option(
    "--again",
    is_flag=True,
    help="Make the change once more that was taken back last, with no change made since.",
)
@click.option(
    "--settings",
    "put_back",
    is_flag=True,
    help="Put property.toml back as quietacre wrote it last, where it can no longer be read.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    folder: Path, number: int | None, *, listed: bool, again: bool, put_back: bool, as_json: bool
) -> None:  # fmt: skip
    """Take back the last change that quietacre made to your files in DIR.

    Each file is put back to the byte, but only where it still is what the change made of
    it: what was changed since is left, and what it was before is kept for you.
    Run it again for the change before that.
    """
    from quietacre.edit.again import makeable_again, redo
    from quietacre.edit.journal import steps, undo

    if listed:
        known = [step for step in reversed(steps(folder)) if number in (None, step.number)]
        again_too = makeable_again(folder)
        if as_json:
            emit(
                {
                    "steps": [
                        {**step_record(step), "can_be_made_again": step.number in again_too}
                        for step in known
                    ]
                }
            )
            return
        for step in known:
            say(step_line(step, again=step.number in again_too))
        if not known:
            say("no change to these files is in the journal")
        return
    if put_back:
        _put_back(folder, as_json=as_json)
        return
    step = (redo if again else undo)(folder, number=number)
    tell_recovered(step.recovered)
    if as_json:
        emit(step_record(step))
        return
    if again:
        say(f"made again: {step.label}")
        return
    say(f"taken back: {step.label}")
    for path in step.paths:
        there = (folder / path).exists()
        say(f"  {path} {'is as it was before' if there else 'is gone, as it was before'}")


def _put_back(folder: Path, *, as_json: bool) -> None:
    """Put settings that cannot be read back as they were known last."""
    from quietacre.edit.put_back import put_back_settings

    step = put_back_settings(folder)
    tell_recovered(step.recovered)
    if as_json:
        emit(step_record(step))
        return
    say(step.label)
    say("  what was changed by hand since is in the file that stood there")
    say(f"  {how_back(folder)}")
