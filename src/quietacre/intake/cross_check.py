"""Faults between keys of property.toml: names that lead nowhere, days that are none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.days import month_day
from quietacre.intake.file_faults import area_file_faults, file_faults, map_faults
from quietacre.intake.key_names import near_word
from quietacre.intake.log_faults import log_faults
from quietacre.intake.planting_faults import leads, planting_faults
from quietacre.intake.sown_faults import crop_faults, grown_faults, seed_faults, soil_faults
from quietacre.model import AREA_KINDS, MADE_KINDS, folded

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre import settings
    from quietacre.intake.file_faults import Place


def cross_check(prop: settings.Property, place: Place) -> Iterator[str]:
    """Yield faults between keys: names that lead nowhere, files that are not there."""
    if prop.property.boundary:
        yield from file_faults(prop.property.boundary, "property.boundary", place)
    for table in ("area", "mix", "soil_test", "spray"):
        yield from _doubles(table, [row.name for row in getattr(prop, table)])
    yield from _window_faults(prop)
    yield from _area_faults(prop, place)
    yield from planting_faults(prop)
    yield from _weather_faults(prop, place)
    yield from _date_faults(prop)
    yield from _quiet_faults(prop)
    yield from seed_faults(prop)
    yield from crop_faults(prop)
    yield from log_faults(prop)
    yield from soil_faults(prop)
    yield from grown_faults(prop)
    yield from map_faults(prop.map, place)


def _window_faults(prop: settings.Property) -> Iterator[str]:
    """Yield planting windows of one's own that have one end only."""
    for number, mix in enumerate(prop.mix, 1):
        for n, seed in enumerate(mix.seed, 1):
            if (seed.plant_from is None) != (seed.plant_to is None):
                yield (
                    f"mix[{number}].seed[{n}].plant_from: a window has two ends; give "
                    "plant_from and plant_to, or neither"
                )


def _area_faults(prop: settings.Property, place: Place) -> Iterator[str]:
    """Yield files, mixes, soil tests and sprays of areas that are not there."""
    mixes = {mix.name for mix in prop.mix}
    tests = {test.name for test in prop.soil_test}
    sprays = {spray.name for spray in prop.spray}
    for number, area in enumerate(prop.area, 1):
        at = f"area[{number}]"
        yield from area_file_faults(area, at, place)
        if area.strip is not None:
            yield from leads(area.strip.mix, f"{at}.strip.mix", "mix", mixes)
            yield from leads(
                area.strip.soil_test, f"{at}.strip.soil_test", "soil_test", tests
            )
            if area.strip.bare and area.strip.mix is not None:
                yield f"{at}.strip.bare: a bare strip is not sown; leave out bare or mix"
        for n, feed in enumerate(area.feed, 1):
            yield from leads(feed.spray, f"{at}.feed[{n}].spray", "spray", sprays)
        if area.walked_inside_ft and area.walked_outside_ft:
            yield f"{at}.walked_inside_ft: give it or walked_outside_ft, not both"


def _weather_faults(prop: settings.Property, place: Place) -> Iterator[str]:
    """Yield what is wrong with the daily record's file and its base period."""
    if prop.weather is None:
        return
    yield from file_faults(prop.weather.files, "weather.from", place)
    first, last = prop.weather.first_year, prop.weather.last_year
    if first is not None and last is not None and first > last:
        yield f"weather.first_year: {first} is after last_year {last}"


def _quiet_faults(prop: settings.Property) -> Iterator[str]:
    """Yield words of quiet seasons that are neither a kind nor an area."""
    words = {*AREA_KINDS, *MADE_KINDS, *(area.name for area in prop.area)}
    for number, quiet in enumerate(prop.quiet, 1):
        if quiet.keeps_out == "all":
            continue
        for word in quiet.keeps_out:
            if word not in words:
                yield (
                    f"quiet[{number}].keeps_out: “{word}” is neither a kind nor an area"
                    f"{near_word(word, words)}"
                )


def _doubles(table: str, names: Sequence[str]) -> Iterator[str]:
    seen: dict[str, int] = {}
    for number, name in enumerate(names, 1):
        key = folded(name)
        if not key:
            yield f"{table}[{number}].name: is blank; give it a name"
        elif key in seen:
            yield (
                f"{table}[{number}].name: “{name}” is the name of {table}[{seen[key]}] too; "
                "change one"
            )
        seen.setdefault(key, number)


def _date_faults(prop: settings.Property) -> Iterator[str]:
    dated: list[tuple[str, str]] = []
    place = prop.property
    for key, text in (("last_frost", place.last_frost), ("first_frost", place.first_frost)):
        if text is not None:
            dated.append((f"property.{key}", text))
    if (place.last_frost or "03-31") >= (place.first_frost or "11-05"):
        yield "property.first_frost: does not come after last_frost; give both in order"
    for number, quiet in enumerate(prop.quiet, 1):
        dated += [
            (f"quiet[{number}].start", quiet.start),
            (f"quiet[{number}].end", quiet.end),
        ]
    dated += [
        (f"mix[{number}].seed[{n}].{key}", text)
        for number, mix in enumerate(prop.mix, 1)
        for n, seed in enumerate(mix.seed, 1)
        for key, text in (("plant_from", seed.plant_from), ("plant_to", seed.plant_to))
        if text is not None
    ]
    for path, text in dated:
        try:
            month_day(text)
        except ValueError:
            yield f"{path}: “{text}” is not a day of the year"
