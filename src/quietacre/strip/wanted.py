"""What is wanted of each strip and firebreak before it is drawn: its width, law and notes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.days import say_day, say_month_day
from quietacre.figures import AS_IT_IS, feet, figure
from quietacre.kinds import strip_name
from quietacre.model import Level, Note, Transect
from quietacre.quiet import seasons, spans
from quietacre.settings import Quiet, StripSettings
from quietacre.shipped import cite
from quietacre.strip.cuts import (
    ROUTINE_DAYS,
    around,
    dated_cuts,
    hardest,
    words_of,
)
from quietacre.strip.frosts import frost_text
from quietacre.strip.growth import BASE_FIRST_FROST, BASE_LAST_FROST, KUDZU, Season
from quietacre.strip.law import Fact, is_runner_vine, law_of, vine_facts, vine_named
from quietacre.strip.missed import Missed, missed_cut
from quietacre.strip.records import WantedBreak, WantedStrip, WorkedFor
from quietacre.strip.transects import Measured, measured_rate
from quietacre.strip.width import STAKED_EDGE_M, Case, Mower, edge_error_ft, strip_width
from quietacre.units import FT_M
from quietacre.words import box_and_line, settings_words
from quietacre.words.growth import growth_word

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.settings import Area, Property
    from quietacre.strip.growth import Rate
    from quietacre.strip.width import Width

#: Takes a note's code, text and level.
Say = Callable[..., None]


def _ft(length_ft: float, most_ft: float | None = None) -> str:
    """Return feet of a text that does not change, one length or a range."""
    return figure(length_ft, "ft", AS_IT_IS, to=most_ft, joined="-")


#: Burn blocks without a width of their own get this. NRCS Pennsylvania, 394 Firebreak
#: Job Sheet, n.d.: disked or plowed at least 10 ft.
FIREBREAK_FT = 10.0
#: What the job sheets say of widths; guidance, not a design.
FIREBREAK_GUIDANCE = (
    Fact(f"twice the height of the fuel beside it, at least {_ft(4)}", "nrcs-394-mo"),
    Fact(f"bare: twice the flame length or {_ft(6)}, whichever is more", "nrcs-394-fl"),
    Fact(f"disked or plowed: at least {_ft(FIREBREAK_FT)}", "nrcs-394-pa"),
    Fact(f"{_ft(30)} clear round high-value property", "nrcs-394-sd"),
)
#: Season taken when the property names none. Common practice, no source.
COMMON = Quiet("nesting", "05-15", "07-03")
#: Read of kudzu alone.
KUDZU_CAUTION = (
    "The case against keeping kudzu: it shelters the kudzu bug that moves to soybeans (about 20 "
    "percent loss unsprayed: Study: why do kudzu bugs move to soybean fields, Southeast Farm "
    "Press, n.d.), raises nitric oxide from the soil (Kudzu invasion doubles emissions of nitric "
    "oxide and increases ozone pollution, PNAS, 2010), bears no leaf after frost, and one missed "
    "cut puts runners past the strip."
)
VINE_CAUTIONS = (
    "Extension's advice is to eradicate this vine, not to keep it; in some states keeping "
    "it is unlawful. Ask the state department of agriculture before you plan on it.",
    "A strip holds runners only. It does not stop seed, and no width helps where a runner "
    f"can climb: keep the outer edge {_ft(10, 20)} from trees, fences and poles (from memory).",
    "Walk the strip before each cut: vines hide wire, stumps and holes. Roll bar up, belt "
    "on, nobody near, blades stopped and engine off before you step down; the operator's "
    "manual decides.",
    "Clean the mower before it leaves the strip: cut pieces with a joint can root "
    "(from memory).",
)
FIRE_CAUTIONS = (
    "A burn needs a written plan, the permit of your state's forestry agency and the people "
    "it asks for. Nothing here says that a burn is lawful or safe; a certified burn manager "
    "decides widths for your fuel and weather.",
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wanted of a patch's strip or a block's firebreak.

    ``case`` and ``rate`` are what its width is worked out from, None for a firebreak;
    ``planned_ft`` is its width without what a missed cut adds. [ft]
    """

    ring: WantedStrip | WantedBreak
    planned_ft: float
    case: Case | None = None
    rate: Rate | None = None
    vine: str | None = None


def vine_cautions(vine: str | None) -> tuple[str, ...]:
    """Return what to take care of when a vine is kept; what was read of kudzu is kudzu's."""
    return (*((KUDZU_CAUTION,) if is_runner_vine(vine) else ()), *VINE_CAUTIONS)


def wanted_strip(
    area: Area,
    record: Any,  # noqa: ANN401 - a row
    prop: Property,
    today: dt.date,
    sigma_m: float | None,
    season: Season,
    taped: Sequence[Transect],
    patches: Sequence[str],
    logged: Sequence[dt.date],
) -> Wanted:
    """Return what is wanted of one patch's strip, its width settled.

    ``patches`` are all that the strip goes round: the seasons of each shut it.
    """
    settings = area.strip or StripSettings()
    point = record.geometry.representative_point()
    notes: list[Note] = []

    def say(code: str, head: str, level: Level = "warning", more: str = "") -> None:
        place = (area.name, point.x, point.y)
        notes.append(Note(code, head, level, None, *place, more=more))

    if area.kind == "burn":
        fire = _firebreak(record["id"], area, notes, say)
        return Wanted(fire, fire.width_ft)
    law = law_of(area.vine, prop.property.state)
    if law.unlawful:
        unlawful = f"{area.vine} in {law.state}: {law.text}"
        say("vine-unlawful", unlawful, more="Plan to get rid of it.")
    planned, why, missed = _case(
        settings, area, prop, today, sigma_m, season, patches, logged
    )
    case = planned if missed is None else missed.case
    own = _taped_rate(taped, season, say)
    rate = own.rate if own and own.replaces_default else KUDZU[-1]
    widths = strip_width(case, (*KUDZU, rate))
    width_ft = planned_ft = settings.width_ft or widths[rate.name].width_ft
    if missed is not None:
        planned_ft = settings.width_ft or strip_width(planned, (rate,))[rate.name].width_ft
        asked_ft = widths[rate.name].width_ft
        head, more = missed.words(strip_name(patches), today, asked_ft)
        say("strip-cut-missed", head, more=more)
    _doubts(area, prop, case, widths, sigma_m, say)
    rid = tuple(f"To get rid of it, {step.told}." for step in law.eradication)
    strip = WantedStrip(
        of=record["id"], area=area.name, bare=settings.bare, name=f"{area.name} strip",
        kind="strip", width_ft=width_ft, width=widths, law=law,
        cautions=(*rid, *vine_cautions(area.vine)), guidance=vine_facts(area.vine), measured=own,
        design=rate.name, notes=tuple(notes),
        case=WorkedFor(area.name, case.last_cut, case.next_cut, case.slip_days, why),
    )  # fmt: skip
    return Wanted(strip, planned_ft, case, rate, area.vine)


def _taped_rate(taped: Sequence[Transect], season: Season, say: Say) -> Measured | None:
    """Return the rate of growth that was taped, and say so; None without enough of it."""
    own = measured_rate(taped, season) if taped else None
    if own is not None:
        say("transects", own.text, "info")
    elif taped:
        say(
            "transects-few",
            "fewer than five usable transects",
            "info",
            f"{growth_word(KUDZU[-1].name)} stays what the width is for.",
        )
    return own


def _firebreak(area_id: str, area: Area, notes: Sequence[Note], say: Say) -> WantedBreak:
    """Return what is wanted of the break round a burn block; ``say`` adds to the ``notes``."""
    settings = area.strip or StripSettings()
    width_ft = settings.width_ft or FIREBREAK_FT
    if width_ft <= FIREBREAK_FT:
        say(
            "firebreak-default",
            f"the break round “{area.name}” is {feet(width_ft)} wide; {feet(FIREBREAK_FT)} is "
            "the least for a disked break on one state's job sheet",
            "caution",
            "The burn manager sets the width for your fuel: strip.width_ft.",
        )
    guidance = tuple(
        Fact(f"{one.text} ({cite(one.source)})", one.source) for one in FIREBREAK_GUIDANCE
    )
    return WantedBreak(
        of=area_id, area=area.name, bare=settings.bare, name=f"{area.name} firebreak",
        kind="firebreak", width_ft=width_ft, width=None, law=None, cautions=FIRE_CAUTIONS,
        guidance=guidance, case=None, notes=tuple(notes),
    )  # fmt: skip


def _doubts(
    area: Area, prop: Property, case: Case, widths: Mapping[str, Width],
    sigma_m: float | None, say: Say,
) -> None:  # fmt: skip
    """Say what makes the width of a vine's strip doubtful."""
    settings = area.strip or StripSettings()
    if not is_runner_vine(area.vine):
        named = f"“{area.vine}”" if area.vine else "a vine that has no name here"
        say(
            "runner-control-only",
            f"the width model is drawn for kudzu; for {named} it "
            "is runner control only, and seed or spores jump any strip"
            + (f" ({row['why']})." if (row := vine_named(area.vine)) else "."),
            more="Nobody's figure says how wide its strip must be: the widths are kudzu's, "
            f"{feet(widths['central'].width_ft)} by {growth_word('central')} from "
            f"{say_day(case.last_cut)} to {say_day(case.until)}.",
        )
    elif settings.width_ft is not None and settings.width_ft < widths["central"].width_ft:
        say(
            "width-below-central",
            f"the strip is set to {feet(settings.width_ft)}; {growth_word('central')} from "
            f"{say_day(case.last_cut)} to {say_day(case.until)} asks {feet(widths['central'].width_ft)}.",
        )
    if sigma_m is not None and sigma_m > 4.0 and not settings.staked:  # noqa: PLR2004
        say(
            "edge-under-leaves",
            f"the edge of “{area.name}” was walked under poor sky",
            more="stake or tape it before trusting any width.",
        )
    if settings.live_node_ft is None:
        say(
            "not-inspected",
            f"nobody has looked for rooted vine outside the edge of “{area.name}”; walk it and "
            "write down how far out the farthest stands, 0 when there is none",
            more=box_and_line(
                "strip", "live_node_ft", "strip = { live_node_ft = 0 } under it"
            )
            + ".",
        )
    _say_frost(prop, say)
    if not prop.property.keep_vine_confirmed:
        say(
            "vine-law",
            f"before keeping {area.vine or 'this vine'}, read your state's noxious-weed rule"
            + (f" ({prop.property.state})" if prop.property.state else ""),
            more="When it lets you keep the vine, say so (“State rule read”).",
        )


def _say_frost(prop: Property, say: Say) -> None:
    """Say which frost dates the vine's season is assumed to have, and what print has."""
    place = prop.property
    assumed = [
        f"{words} {say_month_day(f'{base[0]:02d}-{base[1]:02d}')}"
        for words, text, base in (
            ("last frost of", place.last_frost, BASE_LAST_FROST),
            ("first frost of", place.first_frost, BASE_FIRST_FROST),
        )
        if text is None
    ]
    if assumed:
        keys = settings_words()["property"].keys
        say(
            "frost-assumed",
            f"the vine's growing season is drawn for a {' and a '.join(assumed)} (assumption, about "
            "33° N)",
            "info",
            f"Give your own under “{keys['last_frost'].label}” and “{keys['first_frost'].label}”: "
            f"{frost_text(place.state)}",
        )


def _case(
    settings: StripSettings, area: Area, prop: Property, today: dt.date,
    sigma_m: float | None, season: Season, patches: Sequence[str], logged: Sequence[dt.date],
) -> tuple[Case, str, Missed | None]:  # fmt: skip
    """Return the cuts round a quiet span as planned, what the width is for, and what was missed.

    The width is for the gap since the last of the ``logged`` cuts where a missed one makes it
    longer.
    """
    words = words_of(area.kind, patches, strip_name(patches))
    mine = seasons(prop.quiet, today.year - 1, today.year + 2)
    gap = hardest(words, mine, prop.work, settings, season, today)
    assumed = ""
    if gap is None:
        quiet_seasons = seasons([COMMON], today.year - 1, today.year + 2)
        gap = hardest((), quiet_seasons, prop.work, settings, season, today)
        if gap is None:  # so far north that the vine does not run then
            coming = next(span for span in spans((), quiet_seasons) if span.first > today)
            gap = around(coming, (), quiet_seasons, prop.work, settings)
        assumed = "; no quiet season shuts this strip, so May 15 to July 3 is assumed (common practice, no source)"
    last_cut = settings.last_cut or gap.last_cut[0]
    next_cut = settings.next_cut or gap.next_cut[0]
    gear = prop.equipment
    case = Case(
        last_cut=last_cut,
        next_cut=next_cut,
        mower=Mower(gear.mower_width_ft, gear.mower_overlap_ft),
        slip_days=settings.slip_days,
        edge_error_ft=_edge_ft(settings, sigma_m),
        live_node_ft=settings.live_node_ft or 0.0,
        watch_lane_ft=settings.watch_lane_ft,
        season=season,
    )
    why = (
        f"last cut {say_day(last_cut, year=True)}, next cut {say_day(next_cut, year=True)} "
        f"and up to {settings.slip_days} days of bad weather after it{assumed}"
    )
    if len(patches) > 1:
        why += (
            f"; of the patches in it, “{area.name}” asks for the most, in the quiet seasons "
            f"of all {len(patches)}"
        )
    planned = dated_cuts(
        words, mine, prop.work, settings, season, every_days=ROUTINE_DAYS, first=today,
        last=today,
    )  # fmt: skip
    missed = missed_cut(case, planned, logged, today, words, mine, prop.work)
    if missed is None or missed.case is case:
        return case, why, missed
    why = (
        f"last cut in the log {say_day(missed.since, year=True)}, next cut "
        f"{say_day(missed.next_cut, year=True)} and up to {settings.slip_days} days of bad weather "
        f"after it, because a cut was missed; as planned: {why}"
    )
    return case, why, missed


def _edge_ft(settings: StripSettings, sigma_m: float | None) -> float:
    """Return how far off the patch's edge may be: as written, as staked, or as walked. [ft]"""
    if settings.edge_error_ft is not None:
        return settings.edge_error_ft
    if settings.staked or sigma_m is None or math.isnan(sigma_m):
        return STAKED_EDGE_M / FT_M
    return edge_error_ft(sigma_m)
