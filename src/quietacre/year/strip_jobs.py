"""Looks, pulls and cuts of a strip as dated tasks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.quiet import DAY
from quietacre.settings import StripSettings
from quietacre.strip.cuts import ROUTINE_DAYS, dated_cuts, growth_of, words_of
from quietacre.year.minutes import ring_minutes, strip_minutes
from quietacre.year.task import Task, uid_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Area, Property
    from quietacre.year.rings import WorkedRing


WEEK = 7 * DAY
WALK_FT_MIN = 176.0


def strip_tasks(
    strip: WorkedRing, patches: Sequence[Area], prop: Property,
    quiet_seasons: Sequence[Season], today: dt.date, last: dt.date, logged: Sequence[dt.date] = (),
) -> Iterator[Task]:  # fmt: skip
    """Yield the jobs of a strip on the strip's own dates, those of the calendar year and in the log.

    ``patches`` are the areas it goes round; ``logged`` the days of its jobs in the log.
    """
    # of several patches in one strip, the one that its width was worked out for
    area = next((patch for patch in patches if patch.name == strip.width_of), patches[0])
    own = area.strip or StripSettings()
    words = words_of(area.kind, [patch.name for patch in patches], strip.name)
    minutes = ring_minutes(strip, "mower", prop.equipment)
    # a look along the edge at two miles an hour: 176 ft a minute
    walk = prop.equipment.fixed_minutes + strip.length_ft / WALK_FT_MIN
    first_name = strip.name
    for patch in patches:
        first_name = first_name.replace(patch.name, patch.first_name)
    walked: dict[str, str] = {}
    for cut in dated_cuts(
        words, quiet_seasons, prop.work, own, growth_of(prop.property),
        every_days=strip.cut_every_days or ROUTINE_DAYS, first=today, last=last,
    ):  # fmt: skip
        done = any(cut.earliest - WEEK <= day <= cut.latest + WEEK for day in logged)
        if cut.latest < today.replace(month=1, day=1) and not done:
            continue
        on_foot = cut.task != "strip cut"
        uid = uid_of(prop.property.known_by, first_name, cut.task, cut.key)
        # what is found on foot comes before the mower
        after = [(walked[cut.key], 0)] if not on_foot and cut.key in walked else []
        if on_foot:
            walked[cut.key] = uid
        yield Task(
            uid=uid, area=strip.name, area_id=strip.id, kind=area.kind, task=cut.task,
            label=cut.label, earliest=cut.earliest, ideal=cut.ideal, latest=cut.latest,
            minutes=strip_minutes(cut.task, walk, strip.acres, prop.equipment)
            if on_foot else minutes, machine="on foot" if on_foot else "mower",
            reason=cut.reason, on_foot=on_foot, more_words=words, after=after,
        )  # fmt: skip
