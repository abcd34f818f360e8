"""One piece of ground to sow, feed or spray, and what is known of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from quietacre.frames import check_strips
from quietacre.in_parts import led_by
from quietacre.model import Level, Note
from quietacre.need.records import Need
from quietacre.plantings import sown_of
from quietacre.record.uses import Window, season_of
from quietacre.record.words import LIME

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator, Mapping, Sequence

    import geopandas as gpd
    import pandas as pd

    from quietacre.need.before import Stood
    from quietacre.need.done import Done
    from quietacre.need.lime import Lime
    from quietacre.need.records import (
        FertilizerLine,
        LeftShort,
        LimeLine,
        SeedLine,
        SprayLine,
        Unmet,
        Work,
    )
    from quietacre.need.tables import Crop
    from quietacre.plantings import Sown
    from quietacre.settings import Mix, Property, SoilTest

#: What is spread before planting, and what is kept for later.
NOW, LATER = "planting", "top-dressing"
#: No day at all.
NEVER = Window(dt.date.max, dt.date.min)


@dataclass
class Job:
    """One piece of ground to sow, feed or spray: one planting of it, where it has several.

    ``key`` is the planting's, or the strip's id; ``area`` the settings of that planting.
    """

    key: str
    name: str
    acres: float
    low: float
    high: float
    lon: float
    lat: float
    mix: Mix | None
    test: SoilTest | None
    area: Sown
    made: bool  # a strip, not a declared area
    table: Mapping[str, Crop]  # the crop table as it holds here
    season: Window = NEVER  # the days that count for this planting
    sown_on: dt.date | None = None  # the day of it that the log has, within the season
    stood: tuple[Stood, ...] = ()  # what the log says was sown here before the season
    lime: Lime | None = None  # what the test asks, before anything is taken off
    seed: tuple[SeedLine, ...] = ()
    fertilizer: list[FertilizerLine] = field(default_factory=list)
    lime_line: LimeLine | None = None  # what of the lime is spread now
    spray: list[SprayLine] = field(default_factory=list)
    setting: list[str] = field(default_factory=list)  # of machines, in words
    cost: float | None = None  # its share of what is bought
    work: dict[str, Work] = field(default_factory=dict)
    done: tuple[Done, ...] = ()
    left_out_n_lb_ac: float | None = None
    asked_lb_ac: dict[str, float] | None = None
    asked_of: str | None = None  # who asks for it, in words
    done_lb_ac: dict[str, float] | None = None
    given_lb_ac: dict[str, float] | None = None
    surplus_lb_ac: dict[str, float] | None = None
    unmet: list[Unmet] = field(default_factory=list)
    left_short: tuple[LeftShort, ...] = ()
    notes: list[Note] = field(default_factory=list)
    fed_before: str | None = None  # the planting that its soil test feeds already
    limed_with: str | None = None  # the planting that the ground is limed with
    finished: bool = False  # its season is finished: nothing more is spread, bought or said

    @property
    def area_id(self) -> str:
        """Return the id of the ground, the same for all its plantings."""
        return self.key if self.made else self.area.area_id

    @property
    def called(self) -> str:
        """Return the ground's name, with the planting's where it has several."""
        several = not self.made and self.area.count > 1
        return f"{self.name} ({self.area.called})" if several else self.name

    @property
    def first(self) -> bool:
        """Return whether what the ground gets once, whatever is sown, is told here."""
        return self.made or self.area.number == 1

    def say(
        self,
        code: str,
        head: str,
        level: Level = "caution",
        *,
        more: str = "",
        cited: str = "",
    ) -> None:
        """Add a note on this ground: what is wrong, what more there is to it, who says so."""
        head = head if self.made else led_by(self.area.tag, head)
        place = (self.name, self.lon, self.lat)
        self.notes.append(Note(code, head, level, None, *place, more=more, cited=cited))

    @property
    def by_test(self) -> bool:
        """Return whether it is fed by its soil test, not by figures of a season."""
        return (self.area.fertilizer or "soil test") == "soil test"

    def since_test(self, what: str) -> Window:
        """Return the days whose lime, or phosphate and potash, count: those since the test.

        Nothing counts on a test without a day. What is fed by figures of a season counts
        within it.
        """
        if what != LIME and not self.by_test:
            return self.season
        if self.test is None or self.test.on is None:
            return NEVER
        return Window(self.test.on, None)

    @property
    def spread(self) -> tuple[float, float]:
        """Return acres_low and acres_high over acres."""
        if self.acres <= 0:
            return 1.0, 1.0
        return self.low / self.acres, self.high / self.acres


def jobs_of(
    areas: gpd.GeoDataFrame, prop: Property, strips: pd.DataFrame | None,
    table: Mapping[str, Crop], today: dt.date | None = None,
    finished: Container[str] = (),
) -> Iterator[Job]:  # fmt: skip
    """Yield a job for each planting of each area, and for each strip that is sown or fed.

    A planting that is ``finished`` takes nothing more, and what it leaves of a soil test is
    the next one's. Without ``today`` no season is known, and no
    line of a log counts for one.
    """
    mixes = {mix.name: mix for mix in prop.mix}
    tests = {test.name: test for test in prop.soil_test}
    records = {areas.iloc[row]["id"]: areas.iloc[row] for row in range(len(areas))}
    first: dict[str, Sown] = {}
    plantings = sown_of(prop)
    once = _fed_once(plantings, tests)
    open_once = _fed_once([one for one in plantings if one.key not in finished], tests)
    for sown in plantings:
        fed, limed = once if sown.key in finished else open_once
        first.setdefault(sown.area_id, sown)
        job = _job(
            records[sown.area_id], sown, mixes.get(sown.mix or ""),
            tests.get(sown.soil_test or ""), table, today,
        )  # fmt: skip
        job.finished = sown.key in finished
        fed_by = fed.get((sown.area_id, sown.soil_test or ""), sown)
        limed_by = limed.get(sown.area_id, sown)
        job.fed_before = fed_by.called if fed_by.key != sown.key else None
        job.limed_with = limed_by.called if limed_by.key != sown.key else None
        yield job
    if strips is None:
        return
    check_strips(strips, prop)
    for row in range(len(strips)):
        record = strips.iloc[row]
        area = first[record["of"]]
        settings = area.strip
        mix = mixes.get(settings.mix or "") if settings else None
        test = tests.get(settings.soil_test or "") if settings else None
        if mix is not None or test is not None:
            yield _job(record, area, mix, test, table, today, made=True)


def _fed_once(
    plantings: Sequence[Sown], tests: Mapping[str, SoilTest]
) -> tuple[dict[tuple[str, str], Sown], dict[str, Sown]]:
    """Return which planting takes what a soil test asks of its ground, and which the lime.

    Of plantings that name one test the first in time is fed by it; the ground is limed by its
    newest test, with the first planting that names it.
    """
    fed: dict[tuple[str, str], Sown] = {}
    limed: dict[str, Sown] = {}
    for sown in sorted(plantings, key=lambda one: one.plant or dt.date.min):
        test = tests.get(sown.soil_test or "")
        if test is None:
            continue
        if sown.fertilizer in (None, "soil test"):
            fed.setdefault((sown.area_id, test.name), sown)
        before = limed.get(sown.area_id)
        old = tests[before.soil_test or ""].on if before is not None else None
        if before is None or (old or dt.date.min) < (test.on or dt.date.min):
            limed[sown.area_id] = sown
    return fed, limed


def _season(area: Sown, today: dt.date | None) -> Window:
    """Return the days whose lines of the log count for a planting."""
    if today is None:
        return NEVER
    if area.season_from is None:
        return season_of(None, today)
    return Window(area.season_from, area.season_to)


def _job(
    record: Any,  # noqa: ANN401 - a row
    area: Sown,
    mix: Mix | None,
    test: SoilTest | None,
    table: Mapping[str, Crop],
    today: dt.date | None,
    *,
    made: bool = False,
) -> Job:
    point = record["geometry"].representative_point()
    return Job(
        record["id"] if made else area.key, record["name"], float(record["acres"]), float(record["acres_low"]),
        float(record["acres_high"]), point.x, point.y, mix, test, area, made, table,
        _season(area, today),
    )  # fmt: skip


def leave_out_finished(jobs: Iterable[Job]) -> None:
    """Take, in place, what is still to do off the jobs whose season is finished."""
    for job in jobs:
        if job.finished:
            job.seed, job.lime_line, job.setting = (), None, []
            job.left_out_n_lb_ac = None


def need_of(job: Job) -> Need:
    """Return what a job takes, once all of it is worked out."""
    return Need(
        seed=tuple(replace(row, planting=job.key) for row in job.seed),
        fertilizer=tuple(replace(row, planting=job.key) for row in job.fertilizer),
        lime=job.lime_line,
        spray=tuple(job.spray),
        setting=tuple(job.setting),
        cost=round(job.cost, 2) if job.cost is not None else None,
        cost_ac=round(job.cost / job.acres, 2) if job.cost is not None else None,
        notes=() if job.finished else tuple(job.notes),
        work=job.work,
        left_out_n_lb_ac=job.left_out_n_lb_ac,
        asked_lb_ac=job.asked_lb_ac,
        asked_of=job.asked_of,
        done_lb_ac=job.done_lb_ac,
        unmet=tuple(job.unmet) or None,
        given_lb_ac=job.given_lb_ac,
        surplus_lb_ac=job.surplus_lb_ac,
        left_short=job.left_short or None,
        done=job.done,
    )
