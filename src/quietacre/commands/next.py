"""``quietacre next``: the next season of plantings that are finished."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import today_from
from quietacre.days import say_day

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from quietacre.edit.property_file import Outcome
    from quietacre.edit.toml_plain import Change
    from quietacre.edit.toml_table import TomlTable
    from quietacre.measure.seasons_here import SeasonsHere
    from quietacre.year.next_planting import Offer


@click.command(name="next")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option("--write", is_flag=True, help="Set the days offered in property.toml.")
@click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Look from this day (default: today).",
)
@click.option("--json", "as_json", is_flag=True, help="Print what is offered as JSON.")
@fail_cleanly
def command(
    folder: Path, today: dt.datetime | None, *, write: bool, as_json: bool
) -> None:  # fmt: skip
    """Offer the day of the next season for each planting of DIR that is finished.

    It is the day it was sown last, a year later: or the nearest day of yours to that
    which quiet seasons, the crops' windows and frost leave. With --write the days are set
    in property.toml, in one change that can be taken back. A planting whose day is a
    month-day comes back by itself.
    """
    from quietacre.measure.seasons_here import seasons_here

    here = seasons_here(folder, today_from(today))
    outcome = _write(folder, here.offers) if write else None
    if outcome is not None:
        tell_recovered(outcome.step.recovered if outcome.step else ())
    if as_json:
        _emit(here, outcome)
        return
    _tell(here)
    if outcome is None:
        days = sum(offer.day is not None for offer in here.offers)
        if days and not write:
            say(f"set {'it' if days == 1 else 'them'} with: quietacre next DIR --write")
        return
    for text in _set_words(here.offers):
        say(text)
    say(f"  {how_back(folder)}")


def _tell(here: SeasonsHere) -> None:
    """Say what is offered for each planting, and what comes back by itself."""
    for offer in here.offers:
        row = offer.season
        state = "finished" if row.state == "finished" else "over, and not in the log"
        say(f"{_name(offer)}: {state}; {offer.text}")
    back = [row for row in here.meant.rows if row.returns is not None]
    for row in back:
        what = f", {row.mix}" if row.mix else ""
        how = "sown" if row.state == "growing" else "comes back by itself"
        day = row.sown_on or row.plant
        say(f'{row.area}{what}: {how}, {say_day(day, year=True)} (plant = "{row.returns}")')
    if not here.offers and not back:
        say("no planting is finished: nothing is offered")
    for note in here.meant.notes:
        say(f"{note.feature}: {note.marked}")


def _name(offer: Offer) -> str:
    row = offer.season
    return f"{row.area}, {row.mix}" if row.mix else row.area


def _write(folder: Path, offers: Sequence[Offer]) -> Outcome | None:
    """Set the days offered in property.toml, in one change; None when there is none."""
    from quietacre.edit.property_file import change_settings
    from quietacre.edit.toml_plain import Set

    dated = [offer for offer in offers if offer.day is not None]
    if not dated:
        return None

    def make(_document: TomlTable) -> list[Change]:
        changes: list[Change] = []
        for offer in dated:
            changes += [Set((*offer.path, key), day) for key, day in offer.days.items()]
        return changes

    plantings = "1 planting" if len(dated) == 1 else f"{len(dated)} plantings"
    return change_settings(folder, make, f"next season of {plantings}")


def _set_words(offers: Sequence[Offer]) -> list[str]:
    """Return what was set, and which days of own tasks stay behind."""
    lines = []
    for offer in offers:
        if offer.day is None:
            lines.append(f"{_name(offer)}: left as it is, no day was found")
            continue
        keys = ", ".join(f"{key} = {day}" for key, day in offer.days.items())
        lines.append(f"property.toml: {_name(offer)}: {keys}")
        lines += [f"  {text}" for text in offer.stays]
    return lines


def _emit(here: SeasonsHere, outcome: Outcome | None) -> None:
    from quietacre.year.next_planting import offered_day

    step = outcome.step if outcome else None
    emit({
        "offers": [offered_day(offer) for offer in here.offers],
        "notes": [note.to_dict() for note in here.meant.notes],
        "step": step_record(step) if step else None,
    })  # fmt: skip
