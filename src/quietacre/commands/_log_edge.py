"""What the commands that write the log share: options, places known, what is said."""

from __future__ import annotations

import datetime as dt
import shlex
import sys
from typing import TYPE_CHECKING, Any, NoReturn

import click
from click.core import ParameterSource

from quietacre.commands._change_edge import tell_recovered
from quietacre.commands._edge import EXIT_BAD_INPUT, say
from quietacre.commands._lost import tell_lost
from quietacre.commands.build import today_from
from quietacre.errors import BadInput, FileProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.intake.rows import FIRST_RECORD
from quietacre.logbook import COLUMNS, EVERYWHERE, LOG, NEEDED, log_unit
from quietacre.model import SETTINGS_FILE
from quietacre.record.book import MADE, UNKNOWN_GROUND
from quietacre.record.words import is_spread

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from quietacre.edit.logs import Writer, Written

#: Jobs done round an area are logged under these names.
MADE_NAMES = tuple("{} " + made for made in MADE)
NAMED = 3
#: Given as the argument, by name, or by the program.
OTHERWISE = (*NEEDED, "id")

WAIT = click.option(
    "--wait", "wait_s", type=click.FloatRange(min=0), metavar="SECONDS",
    help="How long to wait for a log.csv that a spreadsheet has open (default: 30).",
)  # fmt: skip


def writer_of(folder: Path, wait_s: float | None) -> Writer:
    """Return how the log of a property folder is written from the terminal."""
    from quietacre.edit.logs import Writer
    from quietacre.edit.openfile import WAIT_SECONDS

    if not (folder / SETTINGS_FILE).is_file():
        raise FileProblem(
            "there is no property.toml",
            fix="name the property's folder, or start one with: quietacre new DIR",
            source=str(folder),
        )
    return Writer(
        folder, tell=lambda text: say(text, err=True),
        wait_s=WAIT_SECONDS if wait_s is None else wait_s,
    )  # fmt: skip


def ask(question: str, commands: Iterable[str]) -> NoReturn:
    """Say what is not clear and the commands to type for each answer, and end with 2."""
    say(question, err=True)
    for line in commands:
        say(f"  {line}", err=True)
    sys.exit(EXIT_BAD_INPUT)


def again(**changed: object) -> str:
    """Return the command that runs, as it was typed but for some of its parameters."""
    context = click.get_current_context()
    words: list[str] = ["quietacre", str(context.info_name)]
    options: list[str] = []
    for param in context.command.params:
        name = str(param.name)
        typed = context.get_parameter_source(name) is ParameterSource.COMMANDLINE
        value = changed.get(name, context.params.get(name) if typed else None)
        values = list(value) if isinstance(value, (tuple, list)) else [value]
        for one in values:
            if one is None or one is False:
                continue
            word = one.date().isoformat() if isinstance(one, dt.datetime) else str(one)
            if isinstance(param, click.Argument):
                words.append(word)
            else:
                options += [param.opts[0]] if one is True else [param.opts[0], word]
    return shlex.join([*words, *options])


def known_area(folder: Path, name: str, *, any_area: bool, task: str = "") -> str:
    """Return an area's name as property.toml spells it, or several between semicolons.

    What is spread or sown may be on the whole place. Ends with 2 and the commands to type
    when no area has the name, unless any may stand.
    """
    from quietacre.model import folded, names_like

    names = known_names(folder)
    if names is None or any_area:
        return name
    if folded(name) in EVERYWHERE and is_spread(task):
        return name
    spelled = {folded(known): known for known in names}
    if folded(name) in spelled:
        return spelled[folded(name)]
    parts = [part.strip() for part in name.split(";")]
    unknown = [part for part in parts if folded(part) not in spelled]
    if not unknown:
        return "; ".join(spelled[folded(part)] for part in parts)
    known_as = list(spelled.values())
    few = names_like(unknown[0], known_as, NAMED) or known_as[:NAMED]
    ask(
        f"{SETTINGS_FILE} {UNKNOWN_GROUND.format(unknown[0])}; nothing was written. Type one of:",
        [again(area=name.replace(unknown[0], known)) for known in few]
        + [again(any_area=True)],
    )


def known_names(folder: Path) -> list[str] | None:
    """Return the names a log line may go by, None when property.toml cannot be read.

    They are those of the ground today, those it had before, and those of strips round it.
    """
    from quietacre.intake.plain_settings import plain_settings

    document: Any = plain_settings(folder)
    if document is None:
        return None
    try:
        areas = [str(area["name"]) for area in document.get("area", ())]
        areas += [
            str(old) for area in document.get("area", ()) for old in area.get("was", ())
        ]
    except (KeyError, TypeError, AttributeError):
        return None  # a build says what is wrong with it
    return areas + [form.format(name) for name in areas for form in MADE_NAMES]


def with_bag_lb(folder: Path, cells: dict[str, str]) -> dict[str, str]:
    """Return a line's cells with what its bags weigh by property.toml, and say so.

    So the line keeps the pounds it had when another bag is sold later. Where the settings
    cannot be read, or say nothing of it, the cells stay as they are.
    """
    unit = log_unit(cells.get("unit", ""))
    if cells.get("bag_lb") or unit is None or unit.counts != "bag":
        return cells
    from quietacre.intake.property import read_property
    from quietacre.record.goods import bag_lb_of

    try:
        prop = read_property(folder)
    except BadInput:
        return cells  # a build says what is wrong with it
    bag_lb = bag_lb_of(prop, cells)
    if bag_lb is None:
        say(
            f"{SETTINGS_FILE} does not say what a bag of {cells.get('item') or 'it'} weighs: say it with "
            "--bag-lb, or its pounds are not known",
            err=True,
        )
        return cells
    weighs = figure(bag_lb, "lb", AS_IT_IS)
    say(f"a bag weighs {weighs} by {SETTINGS_FILE}: written into the line", err=True)
    return {**cells, "bag_lb": f"{bag_lb:g}"}


def tell_written(folder: Path, written: Written) -> None:
    """Say what changed in the log besides the lines themselves."""
    if written.step is not None:
        tell_recovered(written.step.recovered)
    if written.columns:
        word = "columns" if len(written.columns) > 1 else "column"
        say(
            f"{LOG} had no {word} {', '.join(written.columns)}: added at the end of its first "
            "line",
            err=True,
        )
    if written.ended:
        say(f"the last line of {LOG} had no end: mended", err=True)
    tell_lost(folder)


def column_options(run: Callable[..., None]) -> Callable[..., None]:
    """Give a command an option for each column of the log that has no other way in."""
    for column in reversed(COLUMNS):
        if column.name not in OTHERWISE:
            name = "--" + column.name.replace("_", "-")
            run = click.option(name, column.name, help=column.meaning + ".")(run)
    return run


def day_done(given: dt.datetime | None) -> dt.date:
    """Return the day something was done, today when none is given.

    Raises
    ------
    BadInput
        It is still to come, or too long ago to be.
    """
    today = today_from(None)
    day = today if given is None else given.date()
    if day.year < FIRST_RECORD:
        raise BadInput(f"{day} is no day of a record", fix="check its year", source="--on")
    if day > today:
        raise BadInput(
            f"{day} is still to come (the clock says {today})",
            fix="log a thing once it is done", source="--on",
        )  # fmt: skip
    return day
