"""One piece of ground to sow, feed or spray, and what is known of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from quietacre.frames import check_strips
from quietacre.model import Note
from quietacre.record.uses import Window, season_of
from quietacre.record.words import LIME

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import geopandas as gpd
    import pandas as pd

    from quietacre.need.lime import Lime
    from quietacre.need.tables import Crop
    from quietacre.settings import Area, Mix, Property, SoilTest

#: What is spread before planting, and what is kept for later.
NOW, LATER = "planting", "top-dressing"
#: No day at all.
NEVER = Window(dt.date.max, dt.date.min)


@dataclass
class Job:
    """One piece of ground to sow, feed or spray."""

    key: str
    name: str
    acres: float
    low: float
    high: float
    lon: float
    lat: float
    mix: Mix | None
    test: SoilTest | None
    area: Area
    made: bool  # a strip, not a declared area
    table: Mapping[str, Crop]  # the crop table as it holds here
    season: Window = NEVER  # the days that count for this planting
    sown_on: dt.date | None = None  # the day of it that the log has, within the season
    lime: Lime | None = None  # what the test asks, before anything is taken off
    need: dict[str, Any] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)

    def say(self, code: str, text: str, level: Any = "caution") -> None:  # noqa: ANN401
        """Add a note on this ground."""
        self.notes.append(Note(code, text, level, None, self.name, self.lon, self.lat))

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
) -> Iterator[Job]:  # fmt: skip
    """Yield a job for each area, and for each strip that is sown or fed.

    Without ``today`` no season is known, and no line of a log counts for one.
    """
    mixes = {mix.name: mix for mix in prop.mix}
    tests = {test.name: test for test in prop.soil_test}
    by_id = prop.area_by_id
    for row, area in enumerate(by_id.values()):
        record = areas.iloc[row]
        by_id[record["id"]] = area
        yield _job(
            record, area, mixes.get(area.mix or ""), tests.get(area.soil_test or ""), table,
            today,
        )  # fmt: skip
    if strips is None:
        return
    check_strips(strips, prop)
    for row in range(len(strips)):
        record = strips.iloc[row]
        area = by_id[record["of"]]
        settings = area.strip
        mix = mixes.get(settings.mix or "") if settings else None
        test = tests.get(settings.soil_test or "") if settings else None
        if mix is not None or test is not None:
            yield _job(record, area, mix, test, table, today, made=True)


def _job(
    record: Any,  # noqa: ANN401 - a row
    area: Area,
    mix: Mix | None,
    test: SoilTest | None,
    table: Mapping[str, Crop],
    today: dt.date | None,
    *,
    made: bool = False,
) -> Job:
    point = record["geometry"].representative_point()
    job = Job(
        record["id"], record["name"], float(record["acres"]), float(record["acres_low"]),
        float(record["acres_high"]), point.x, point.y, mix, test, area, made, table,
        NEVER if today is None else season_of(area.plant, today),
    )  # fmt: skip
    job.need = {
        "seed": [], "fertilizer": [], "lime": None, "spray": [], "setting": [],
        "cost": None, "cost_ac": None, "notes": [],
    }  # fmt: skip
    return job
