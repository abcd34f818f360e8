"""The seasons of a property folder, from its settings, its log and its weather alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from quietacre.intake.property import read_property_and_notes
from quietacre.measure.property import log_in, weather_in
from quietacre.record.book import book_of
from quietacre.record.rain import rain_of, waits_of
from quietacre.year.behind_rain import rain_known
from quietacre.year.next_planting import offers_of
from quietacre.year.seasons import seasons_of
from quietacre.year.weather import frost_of

if TYPE_CHECKING:
    import datetime as dt
    from pathlib import Path

    from quietacre.year.next_planting import Offer
    from quietacre.year.seasons import Seasons


class SeasonsHere(NamedTuple):
    """The seasons that are meant on a day, and what is offered after those that are over."""

    meant: Seasons
    offers: tuple[Offer, ...]


def seasons_here(folder: Path, today: dt.date) -> SeasonsHere:
    """Return the seasons of a property folder; no ground is read.

    Raises
    ------
    BadInput
        A setting, the log or the daily record cannot be used.
    """
    prop, _ = read_property_and_notes(folder)
    log, weather = log_in(folder), weather_in(folder, prop)
    book = book_of(log.jobs, prop)
    rain = rain_known(weather, rain_of(book), waits_of(book, today), today)
    meant = seasons_of(prop, today, book.days_done(), rain=rain, ticked=book.ticked())
    frost = frost_of(weather, prop, today) if weather else None
    return SeasonsHere(meant, offers_of(meant, today, frost))
