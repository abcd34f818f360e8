"""``quietacre merge``: lines of another log, or of ticks, into the log."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._compare import SETTINGS_ENDING, compare_settings
from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._log_edge import (
    WAIT,
    again,
    ask,
    tell_written,
    writer_of,
)
from quietacre.commands._lost import lines_said
from quietacre.commands._ticks import bring_ticks, tell_unsure
from quietacre.errors import FileProblem
from quietacre.logbook import LOG

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.edit.logtext import LogText
    from quietacre.edit.merge import Merged, Question

NAMED = 5


@click.command(name="merge")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE…]")
@click.option(
    "--alike", type=click.Choice(["same", "more"]),
    help="A line alike in all cells to one of another file is the same work, or more of it.",
)  # fmt: skip
@click.option(
    "--changed", type=click.Choice(["ours", "both"]),
    help="Of a line that is here with other cells, keep ours only, or take theirs as well.",
)  # fmt: skip
@click.option(
    "--lost", is_flag=True, help="Bring back the lines that are gone from log.csv."
)
@click.option("--forget", is_flag=True, help="Let the lines that are gone from it go.")
@click.option(
    "--any-place", is_flag=True, help="Take ticks that another place's map wrote, too."
)
@WAIT
@click.option("--json", "as_json", is_flag=True, help="Print what was done as JSON.")
@fail_cleanly
def command(
    folder: Path, files: tuple[Path, ...], alike: str | None, changed: str | None,
    wait_s: float | None, *, lost: bool, forget: bool, any_place: bool, as_json: bool,
) -> None:  # fmt: skip
    """Add to DIR/log.csv the lines of other logs or tick files that it has not yet.

    A line that is there already, by its id or by its place in a file merged before,
    is not added twice. What may be one or two jobs is asked: nothing is written then.
    Of another property.toml the settings that differ are printed, with the commands to type.
    """
    from quietacre.edit.logs import merge_files, read_other
    from quietacre.edit.lost import let_go, look, lost_lines
    from quietacre.edit.ticks import tick_file

    settings = [path for path in files if path.suffix.lower() == SETTINGS_ENDING]
    if settings:
        if len(settings) < len(files) or lost or forget:
            raise FileProblem(
                "is compared by itself", fix="name it alone", source=str(settings[0])
            )
        compare_settings(folder, settings, as_json=as_json)
        return
    writer = writer_of(folder, wait_s)
    gone = look(folder)
    if forget:
        let_go(folder)
        say(f"{lines_said(len(gone))} gone from {LOG}, let go")
    brought = [read_other(path) for path in files]
    ticks = [(log, tick_file(log)) for log in brought]
    others = [log for log, one in ticks if one is None]
    boxes = [one for _, one in ticks if one is not None]
    if boxes:
        if others or lost or forget:
            raise FileProblem(
                "holds ticks, which are merged by themselves", fix="name it alone",
                source=boxes[0].log.source,
            )  # fmt: skip
        bring_ticks(folder, writer, boxes, any_place=any_place, as_json=as_json)
        return
    vanished = lost_lines(folder) if lost and gone else None
    if vanished is not None:
        others.append(vanished)
    if lost and vanished is None:
        say(f"no lines are gone from {LOG}")
    if not others:
        if not (lost or forget):
            raise FileProblem(
                "names no file to merge", fix="name one", source="quietacre merge"
            )
        return
    _tell_unsure(others)
    merged, written = merge_files(writer, others, alike=alike, changed=changed)  # type: ignore[arg-type]
    if merged.questions:
        _ask(merged)
    if as_json:
        added = [dict(line) for line in written.lines]
        emit({"files": [vars(file) for file in merged.files], "lines": added})
    else:
        _tell(merged)
    tell_written(folder, written)


def _tell_unsure(others: Sequence[LogText]) -> None:
    """Say how days were read that can be read in two ways."""
    for other in others:
        tell_unsure(other)


def _tell(merged: Merged) -> None:
    for words in _said(merged):
        say(words)


def _said(merged: Merged) -> list[str]:
    """Return what became of each file's lines, in words."""
    out = []
    for file in merged.files:
        parts = [f"{lines_said(file.added)} added to {LOG}", f"{file.known} in it already"]
        if file.alike:
            parts.append(f"{file.alike} taken for the same as lines alike in it")
        if file.changed:
            parts.append(f"{file.changed} left out, ours of the same id kept")
        out.append(f"{file.source}: {', '.join(parts)}")
    return out


def _ask(merged: Merged) -> None:
    """Say what cannot be placed, and the commands for each answer; ends with 2."""
    kinds = {question.kind for question in merged.questions}
    words = [_question(question) for question in merged.questions[:NAMED]]
    if len(merged.questions) > NAMED:
        words.append(f"and {len(merged.questions) - NAMED} more")
    choices: list[dict[str, str]] = [{}]
    for kind, answers in (("alike", ("same", "more")), ("changed", ("ours", "both"))):
        if kind in kinds:
            choices = [{**c, kind: answer} for c in choices for answer in answers]
    ask(
        "\n".join([*words, "nothing was written; type one of:"]),
        [again(**choice) for choice in choices],
    )


def _question(question: Question) -> str:
    from quietacre.edit.loglines import line_words

    where = f"{question.source}: line {question.line}: {line_words(question.cells)}"
    if question.kind == "alike":
        return (
            f"{where}: is alike in all to a line of another file: the same work, or more?"
        )
    return f"{where}: is in {LOG} as {line_words(question.ours)}"
