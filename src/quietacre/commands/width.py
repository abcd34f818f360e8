"""``quietacre width``: how wide the mowed strip must be, and the reverse questions."""

from __future__ import annotations

import datetime as dt
from typing import Any

import click

from quietacre.commands._edge import emit, fail_cleanly
from quietacre.errors import StripProblem


def month_day(text: str, year: int) -> dt.date:
    """Return a day of ``year`` from month-day, or the date itself.

    Raises
    ------
    StripProblem
        It is neither.
    """
    try:
        return dt.date.fromisoformat(text if len(text) > 5 else f"{year}-{text}")  # noqa: PLR2004
    except ValueError as problem:
        raise StripProblem(
            f"“{text}” is not a day", fix="write it as 05-14 or 2027-05-14"
        ) from problem


@click.command(name="width")
@click.option("--vine", default="kudzu", show_default=True, help="The vine in the patch.")
@click.option(
    "--last-cut",
    default="05-14",
    show_default=True,
    help="Last cut before the quiet season, month-day.",
)
@click.option(
    "--next-cut", default="07-04", show_default=True, help="First cut after it, month-day."
)
@click.option(
    "--slip-days",
    type=click.IntRange(min=0),
    default=0,
    show_default=True,
    help="How late weather can make that cut.",
)
@click.option("--mower-width-ft", type=float, default=6.0, show_default=True)
@click.option("--mower-overlap-ft", type=float, default=0.5, show_default=True)
@click.option(
    "--edge-error-ft",
    type=click.FloatRange(min=0),
    default=3.3,
    show_default=True,
    help="How far off the patch edge may be; 3.3 when staked.",
)
@click.option(
    "--live-node-ft",
    type=click.FloatRange(min=0),
    default=0.0,
    show_default=True,
    help="How far outside the edge live nodes were found.",
)
@click.option(
    "--watch-lane-ft",
    type=click.FloatRange(min=0),
    help="Outer lane kept free of runners (default: one mower width).",
)
@click.option(
    "--width-available-ft",
    type=click.FloatRange(min=0, min_open=True),
    help="Ask in reverse: what this width can hold.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    vine: str, last_cut: str, next_cut: str, slip_days: int, mower_width_ft: float,
    mower_overlap_ft: float, edge_error_ft: float, live_node_ft: float,
    watch_lane_ft: float | None, width_available_ft: float | None, *, as_json: bool,
) -> None:  # fmt: skip
    """How wide the strip must be to hold the runners from one cut to the next.

    Whole mower passes, rounded up, by three views of how fast runners grow. No width
    holds where a vine can climb, and none stops seed. Keeping this vine is unlawful
    in some states: ask the state department of agriculture first.
    """
    from quietacre.strip import width as model
    from quietacre.strip.growth import KUDZU
    from quietacre.strip.plan import RUNNER_VINES, VINE_CAUTIONS

    first = month_day(last_cut, 2027)
    second = month_day(next_cut, first.year)
    if second <= first and len(next_cut) <= 5:  # noqa: PLR2004 - a month-day of the next year
        second = month_day(next_cut, first.year + 1)
    case = model.Case(
        last_cut=first,
        next_cut=second,
        mower=model.Mower(mower_width_ft, mower_overlap_ft),
        slip_days=slip_days,
        edge_error_ft=edge_error_ft,
        live_node_ft=live_node_ft,
        watch_lane_ft=watch_lane_ft,
    )
    widths: dict[str, Any] = model.strip_width(case)
    runner = vine.casefold() in RUNNER_VINES
    result: dict[str, Any] = {"vine": vine, "runner_control_only": not runner, **widths}
    if width_available_ft is not None:
        result["reverse"] = {
            rate.name: {
                "earliest_last_cut": _iso(
                    model.earliest_last_cut(width_available_ft, case, rate)
                ),
                "latest_next_cut": _iso(
                    model.latest_next_cut(width_available_ft, case, rate)
                ),
                "longest_interval_days": model.longest_interval_days(
                    width_available_ft, case, rate
                ),
                "holds": width_available_ft >= widths[rate.name]["required_ft"],
            }
            for rate in KUDZU
        }
    result["cautions"] = list(VINE_CAUTIONS)
    if as_json:
        emit(result)
        return
    _print(result, case.last_cut, case.until, width_available_ft)


def _iso(day: dt.date | None) -> str | None:
    return day.isoformat() if day else None


def _print(
    result: dict[str, Any], last_cut: dt.date, until: dt.date, available_ft: float | None
) -> None:
    click.echo(f"{result['vine']}: from a cut on {last_cut:%B %-d} until {until:%B %-d}")
    if result["runner_control_only"]:
        click.echo(
            "note: drawn for kudzu; runner control only, seed or spores jump any strip"
        )
    for name in ("low", "central", "stress"):
        row = result[name]
        terms = " + ".join(f"{t['term']} {t['ft']:.1f}" for t in row["terms"] if t["ft"])
        click.echo(
            f"{name:>8}: {row['width_ft']:5.1f} ft in {row['passes']} passes "
            f"(asks {row['required_ft']:.1f} ft: {terms})"
        )
    for name, row in result.get("reverse", {}).items():
        holds = "holds" if row["holds"] else "does NOT hold"
        if row["earliest_last_cut"] is None:
            click.echo(f"{name:>8}: {available_ft:g} ft is too narrow at any date")
        else:
            click.echo(
                f"{name:>8}: {available_ft:g} ft {holds}; last cut no earlier than "
                f"{row['earliest_last_cut']}, next no later than {row['latest_next_cut']}, "
                f"never more than {row['longest_interval_days']} days apart"
            )
    for text in result["cautions"]:
        click.echo(f"caution: {text}")
