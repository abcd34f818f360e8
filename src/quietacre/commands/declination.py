"""``quietacre declination``: where a compass points, from the World Magnetic Model."""

from __future__ import annotations

import datetime as dt

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.errors import BadInput


@click.command(name="declination", context_settings={"ignore_unknown_options": True})
@click.argument("lat", type=click.FloatRange(-90, 90))
@click.argument("lon", type=click.FloatRange(-180, 180))
@click.option(
    "--on", type=click.DateTime(["%Y-%m-%d"]), help="The day of the bearings (today)."
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(lat: float, lon: float, on: dt.datetime | None, *, as_json: bool) -> None:
    """How far east of true north a compass points at LAT LON, and how far off that may be.

    The World Magnetic Model 2025 (National Centers for Environmental Information and British
    Geological Survey, 2024) holds from 2025 to 2030; other days are refused. West is negative.
    """
    from quietacre.declination import declination_at

    day = (on or dt.datetime.now()).date()  # noqa: DTZ005 - the person's own day
    declination = declination_at(lat, lon, day)
    if declination is None:
        raise BadInput(
            f"the World Magnetic Model 2025 does not hold on {day.isoformat()}",
            fix="type the declination of that day: from the paper, or a model of past fields",
            source="--on",
        )
    degrees, plus_minus = declination
    if as_json:
        emit({"declination_deg": degrees, "pm_deg": plus_minus, "on": day.isoformat()})
        return
    side = "east" if degrees >= 0 else "west"
    say(
        f"{abs(degrees):.1f}° {side} of true north on {day.isoformat()}, ± {plus_minus:.1f}°\n"
        f"in property.toml: declination_deg = {degrees:.1f}"
    )
