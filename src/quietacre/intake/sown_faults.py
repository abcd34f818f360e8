"""What of mixes, crops, lags, harvests, forage and soil tests cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.crop_names import table_name
from quietacre.intake.key_names import key_path, near_word
from quietacre.intake.sown import crop_fault
from quietacre.shipped import rows
from quietacre.windows import FORMS, read_window
from quietacre.words.written import BASIS
from quietacre.workweek import DISK_DAYS, ROT_DAYS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre import settings


def seed_faults(prop: settings.Property) -> Iterator[str]:
    """Yield faults of the rates and tags of seed."""
    for number, mix in enumerate(prop.mix, 1):
        for n, seed in enumerate(mix.seed, 1):
            at = f"mix[{number}].seed[{n}]"
            given = [
                key
                for key in ("share", "rate_lb_ac", "seeds_ft2")
                if getattr(seed, key) is not None
            ]
            if table_name(seed.crop) is None and (not given or given == ["share"]):
                yield crop_fault(at, seed.crop)
            if len(given) > 1:
                yield f"{at}.{given[0]}: give it or {given[1]}, not both"
            if not given:
                yield f"{at}: give share (of the full rate), rate_lb_ac or seeds_ft2"
            if seed.rate_lb_ac is not None and seed.basis is None:
                yield f"{at}.basis: say whether the rate is {BASIS.in_file}"
            if seed.basis == "pls" and (seed.purity is None or seed.germination is None):
                yield f"{at}.purity: a pls rate needs purity and germination from the tag"
            if (
                seed.germination is not None
                and round(seed.germination + seed.hard, 9) > 1.0
            ):
                yield f"{at}.hard: germination and hard seed add to more than 1"


def crop_faults(prop: settings.Property) -> Iterator[str]:
    """Yield faults of [crop.NAME] and [lags]: names nobody sows, windows not to be read."""
    sown = {seed.crop for mix in prop.mix for seed in mix.seed}
    yield from _lag_faults(prop.lags, "lags")
    for name, rule in prop.crop.items():
        at = key_path(("crop", name))
        if name not in sown:
            yield f"{at}: no mix sows “{name}”{near_word(name, sown)}"
        if rule.window is not None:
            window = read_window(rule.window)
            if window.unread or not window.ranges:
                bad = window.unread[0] if window.unread else rule.window
                yield f"{at}.window: “{bad}” is no planting window to be read; write it as {FORMS}"
        yield from _lag_faults(rule.lags, f"{at}.lags")
        for number, task in enumerate(rule.tasks, 1):
            if task.crop is not None:
                yield f"{at}.tasks[{number}].crop: these tasks are this crop's; leave it out"


def _lag_faults(lags: settings.Lags, at: str) -> Iterator[str]:
    rot = ROT_DAYS if lags.rot_days is None else lags.rot_days
    least = rot + DISK_DAYS
    if lags.clip_days is not None and lags.clip_days < least:
        yield (
            f"{at}.clip_days: {lags.clip_days} days leave no {rot} for the rot and {DISK_DAYS} "
            f"from the second disking to planting; give {least} or more, or fewer rot_days"
        )


def grown_faults(prop: settings.Property) -> Iterator[str]:
    """Yield faults of what is hauled off, and of what exclosures say is grown."""
    units = {row["what"]: row["unit"] for row in rows("removal")}
    for number, area in enumerate(prop.area, 1):
        at = f"area[{number}]"
        harvest = area.harvest
        if area.fertilizer == "removal" and harvest is None:
            yield f'{at}.fertilizer: "removal" needs harvest, what is hauled off'
        if harvest is None:
            continue
        unit = units.get(harvest.what)
        if unit is None:
            yield (
                f"{at}.harvest.what: “{harvest.what}” is not in the table of what crops carry "
                f"off{near_word(harvest.what, units) or '; see quietacre need removal'}"
            )
            continue
        given = {"ton": harvest.ton_ac, "bu": harvest.bu_ac}
        if given.pop(unit) is None or any(other is not None for other in given.values()):
            yield f"{at}.harvest: {harvest.what} is printed by the {unit}: give {unit}_ac alone"
    forage = prop.forage
    if forage is None:
        return
    if (forage.yield_lb_ac is None) == (forage.clips is None):
        yield "forage.yield_lb_ac: give it or clips, one of them"
    if forage.clips is not None:
        inside, outside = forage.clips.inside_g, forage.clips.outside_g
        if len(inside) != len(outside):
            yield (
                f"forage.clips.outside_g: {len(outside)} clippings outside for {len(inside)} "
                "inside; give one for each, in the same order"
            )
        if not any(inside):
            yield "forage.clips.inside_g: nothing grew inside any cage; give yield_lb_ac"


def soil_faults(prop: settings.Property) -> Iterator[str]:
    """Yield faults of soil tests: one thing said twice, a percent of nothing."""
    for number, test in enumerate(prop.soil_test, 1):
        at = f"soil_test[{number}]"
        for key in ("need_lb_ac", "need_ppm"):
            need = getattr(test, key)
            if need is None:
                continue
            if need.p is not None and need.p2o5 is not None:
                yield f"{at}.{key}.p: give p or p2o5, not both"
            if need.k is not None and need.k2o is not None:
                yield f"{at}.{key}.k: give k or k2o, not both"
        if test.need_lb_ac is not None and test.need_ppm is not None:
            yield f"{at}.need_ppm: give need_lb_ac or need_ppm, not both"
        if test.lime_ton_ac is not None and test.lime_lb_ac is not None:
            yield f"{at}.lime_lb_ac: give lime_ton_ac or lime_lb_ac, not both"
        lab = test.lime_ton_ac if test.lime_ton_ac is not None else test.lime_lb_ac
        if test.buffer is not None and lab is not None:
            yield f"{at}.buffer: give the laboratory's lime figure or a buffer, not both"
        if test.lime_basis_pct is not None and test.lime_basis_ecce_pct is not None:
            yield f"{at}.lime_basis_pct: give it or lime_basis_ecce_pct, not both"
        if test.lime_basis_pct is not None and test.lime_basis is None:
            yield f"{at}.lime_basis: say of which measure lime_basis_pct is the percent"
        if test.lime_basis_ecce_pct is not None and test.lime_basis not in (None, "ECCE"):
            yield f"{at}.lime_basis_ecce_pct: the basis is {test.lime_basis}; use lime_basis_pct"
        if test.lime_basis == "ENP" and test.lime_ton_ac is not None:
            yield f"{at}.lime_ton_ac: ENP is written in pounds; give lime_lb_ac"
