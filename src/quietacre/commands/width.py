"""``quietacre width``: how wide the mowed strip must be, and the reverse questions."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre import days
from quietacre.commands._edge import emit, fail_cleanly, say, words
from quietacre.commands._setting_option import setting_option
from quietacre.days import on_year, say_day
from quietacre.errors import StripProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.settings import Equipment, StripSettings
from quietacre.words.growth import growth_word

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.as_json import JsonObject
    from quietacre.strip.law import Law
    from quietacre.strip.remedies import PullBack, Remedy
    from quietacre.strip.reverse import Answers, PassBought
    from quietacre.strip.width import Case, Width


def month_day(text: str, year: int) -> dt.date:
    """Return a day of ``year`` from month-day, or the date itself.

    Raises
    ------
    StripProblem
        It is neither.
    """
    try:
        if len(text) == len("05-14"):
            return on_year(year, *days.month_day(text))
        return dt.date.fromisoformat(text)
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
@setting_option(StripSettings, "slip_days", help="How late weather can make that cut.")
@setting_option(Equipment, "mower_width_ft")
@setting_option(Equipment, "mower_overlap_ft")
@click.option(
    "--edge-error-ft",
    type=click.FloatRange(min=0),
    default=3.3,
    show_default=True,
    help="How far off the patch edge may be; 3.3 when staked.",
)
@setting_option(StripSettings, "live_node_ft", default=0.0, show_default=True)
@setting_option(StripSettings, "watch_lane_ft")
@click.option(
    "--width-available-ft",
    type=click.FloatRange(min=0, min_open=True),
    help="Ask in reverse: what this width can hold.",
)
@click.option("--last-frost", help="Last frost of spring here, month-day.")
@click.option("--first-frost", help="First frost of autumn here, month-day.")
@click.option(
    "--temperatures",
    type=click.Path(path_type=Path),
    help="CSV of daily temperatures (date, low_f, high_f): growth by degree-days too.",
)
@click.option("--state", help="Two letters: what is known of the law there.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    vine: str, last_cut: str, next_cut: str, slip_days: int, mower_width_ft: float,
    mower_overlap_ft: float, edge_error_ft: float, live_node_ft: float,
    watch_lane_ft: float | None, width_available_ft: float | None, last_frost: str | None,
    first_frost: str | None, temperatures: Path | None, state: str | None, *, as_json: bool,
) -> None:  # fmt: skip
    """How wide the strip must be to hold the runners from one cut to the next.

    Whole mower passes, rounded up, by three views of how fast runners grow. No width
    holds where a vine can climb, and none stops seed. Keeping this vine is unlawful
    in some states: ask the state department of agriculture first.
    """
    from quietacre.intake.weather import read_weather
    from quietacre.strip import width as model
    from quietacre.strip.growth import BASE, KUDZU, Season, degree_days_of
    from quietacre.strip.law import is_runner_vine, law_of, vine_named
    from quietacre.strip.remedies import remedies
    from quietacre.strip.reverse import answers, pass_by_pass
    from quietacre.strip.wanted import vine_cautions

    season = Season(
        _frost(last_frost) or BASE.last_frost,
        _frost(first_frost) or BASE.first_frost,
        degree_days_of(read_weather(temperatures)) if temperatures else None,
    )
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
        season=season,
    )
    widths = model.strip_width(case)
    law = law_of(vine, state.upper() if state else None)
    row = vine_named(vine)
    asked = width_available_ft
    told = _Told(
        law=law,
        vine=vine,
        runner_control_only=not is_runner_vine(vine),
        why_not=row["why"] if row and not is_runner_vine(vine) else None,
        widths=widths,
        pass_by_pass=pass_by_pass(case, KUDZU[-1]),
        reverse={rate.name: answers(asked, case, rate) for rate in KUDZU}
        if asked
        else None,
        remedies=remedies(asked, case, KUDZU[-1]) if asked and is_runner_vine(vine) else (),
        cautions=vine_cautions(vine),
    )
    if as_json:
        emit(told.keys())
        return
    _print(told, case, asked)


@dataclass(frozen=True, slots=True)
class _Told:
    """The width by each estimate of growth, and what a width that was asked about holds.

    ``reverse`` is None where no width was asked about.
    """

    law: Law
    vine: str
    runner_control_only: bool
    why_not: str | None
    widths: Mapping[str, Width]
    pass_by_pass: tuple[PassBought, ...]
    reverse: Mapping[str, Answers] | None
    remedies: tuple[Remedy | PullBack, ...]
    cautions: tuple[str, ...]

    def keys(self) -> JsonObject:
        """Return it for JSON: the widths by name beside the rest, the reverse where asked."""
        asked = {"reverse": self.reverse, "remedies": self.remedies} if self.reverse else {}
        return {
            "law": self.law,
            "vine": self.vine,
            "runner_control_only": self.runner_control_only,
            "why_not": self.why_not,
            **self.widths,
            "pass_by_pass": self.pass_by_pass,
            **asked,
            "cautions": self.cautions,
        }


def _frost(text: str | None) -> tuple[int, int] | None:
    """Return a month-day as numbers."""
    if text is None:
        return None
    day = month_day(text, days.LEAP_YEAR)
    return day.month, day.day


def _print(told: _Told, case: Case, available_ft: float | None) -> None:
    law = told.law
    say(f"law ({law.state or 'no state given'}): {law.status}; {law.text}")
    if law.unlawful:
        say("keeping it is known to be unlawful there: get rid of it instead")
        for step in law.eradication:
            say(f"  {step.told}")
    say(f"{told.vine}: from a cut on {say_day(case.last_cut)} until {say_day(case.until)}")
    if told.runner_control_only:
        say(
            "note: drawn for kudzu; runner control only, seed or spores jump any strip"
            + (f" ({told.why_not})" if told.why_not else "")
        )
    for name, width in told.widths.items():
        terms = " + ".join(
            f"{t.term} {figure(t.ft, 'ft', 1, bare=True)}" for t in width.terms if t.ft
        )
        say(
            f"{growth_word(name):>12}: {words(figure(width.width_ft, 'ft', 1)):>8} in "
            f"{width.passes} passes (asks {figure(width.required_ft, 'ft', 1)}: {terms})"
        )
    if told.reverse is not None and available_ft is not None:
        _print_reverse(told, told.reverse, available_ft)
    for text in told.cautions:
        say(f"caution: {text}")


def _print_reverse(
    told: _Told, reverse: Mapping[str, Answers], available_ft: float
) -> None:
    available = figure(available_ft, "ft", AS_IT_IS)
    for name, held in reverse.items():
        holds = "holds" if held.holds else "does NOT hold"
        if held.earliest_last_cut is None:
            say(f"{growth_word(name):>12}: {available} is too narrow at any date")
        else:
            say(
                f"{growth_word(name):>12}: {available} {holds}; last cut no earlier than "
                f"{held.earliest_last_cut}, next no later than {held.latest_next_cut}, "
                f"never more than {held.longest_interval_days} days apart"
            )
        if name != "stress":
            continue
        for span in held.intervals:
            say(f"{'':>14}from {span.from_}: hold {span.days} days at most")
    for number, fix in enumerate(told.remedies, 1):
        say(f"what would help, {number}: {fix.remedy}: {fix.text}")
    for row in told.pass_by_pass:
        bought = f", {row.days_bought} days more" if row.days_bought else ""
        say(
            f"{row.passes:>3} passes, {figure(row.width_ft, 'ft', 1)}: holds until "
            f"{row.latest_next_cut or 'no day'}{bought} ({growth_word('stress')})"
        )
