"""``quietacre need seed``: pounds of one seed out of the bag."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from quietacre.as_json import as_json as json_of
from quietacre.commands._edge import fail_cleanly
from quietacre.commands._need_common import ACRES, JSON, show
from quietacre.commands._setting_option import setting_option
from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.settings import Mix, PropertyInfo, Seed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.need.tables import Crop


def _in_bushels(crop: str, pounds: float) -> list[str]:
    """Return pounds of a seed sold by the bushel in bushels."""
    from quietacre.need.tables import bushels_lb

    if crop not in bushels_lb():
        return []
    lb, memory = bushels_lb()[crop]
    return [
        f"{pounds / lb:.1f} bushels of {figure(lb, 'lb', AS_IT_IS)}"
        + (" (from memory)" if memory else "")
    ]


def _known_state(state: str | None) -> str | None:
    """Return a state's two letters as the tables write them."""
    from quietacre.windows import states

    if state is None:
        return None
    if state.upper() not in states():
        raise NeedProblem(
            f"no figure was read for a state “{state}”",
            fix=f"give two letters, one of {', '.join(sorted(states()))}; or leave --state out",
        )
    return state.upper()


def _check(entry: Seed, table: Mapping[str, Crop]) -> None:
    """Raise NeedProblem unless the seed has one rate, of a known crop, on a known basis."""
    from quietacre.crop_names import hint

    own = entry.rate_lb_ac is not None
    if own and entry.seeds_ft2 is not None:
        raise NeedProblem("two rates are given", fix="give --rate-lb-ac or --seeds-ft2")
    if entry.crop not in table and not own and entry.seeds_ft2 is None:
        raise NeedProblem(
            f"“{entry.crop}” is not in the crop table{hint(entry.crop)}",
            fix="name one that quietacre crops lists, or give --rate-lb-ac",
        )
    tagged = entry.purity is not None or entry.germination is not None
    if own and tagged and entry.basis is None:
        raise NeedProblem(
            "with a tag your rate may count bagged or live seed",
            fix="say --basis bulk or --basis pls",
        )
    if entry.basis == "pls" and (entry.purity is None or entry.germination is None):
        raise NeedProblem(
            "live seed is counted from the tag", fix="give --purity and --germination"
        )


@click.command()
@ACRES
@click.option("--crop", required=True, help="A crop of the table, such as “oats”.")
@setting_option(Mix, "method")
@setting_option(Seed, "rate_lb_ac")
@setting_option(Seed, "seeds_ft2")
@setting_option(Seed, "seeds_per_lb")
@setting_option(Seed, "basis")
@setting_option(Seed, "share")
@setting_option(Seed, "purity")
@setting_option(Seed, "germination")
@setting_option(Seed, "hard")
@setting_option(Seed, "coating")
@setting_option(
    PropertyInfo,
    "region",
    help="Whose planting window holds; every one is shown without it.",
)
@click.option(
    "--state", help="Two letters, such as AL: whose printed figures are taken first."
)
@JSON
@fail_cleanly
def seed(
    acres: float, crop: str, method: str, rate_lb_ac: float | None,
    seeds_ft2: float | None, seeds_per_lb: float | None, basis: str | None,
    share: float | None, purity: float | None, germination: float | None, hard: float,
    coating: float, region: str | None, state: str | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Pounds of one seed out of the bag."""
    from quietacre.crop_names import table_name
    from quietacre.need.crop_said import crop_lines
    from quietacre.need.seed import seed_needs
    from quietacre.need.tables import crops
    from quietacre.settings import Mix, Seed

    table = crops(_known_state(state), region)
    asked, crop = crop, table_name(crop) or crop
    own = rate_lb_ac is not None or seeds_ft2 is not None
    entry = Seed(crop, share=None if own else share or 1.0, rate_lb_ac=rate_lb_ac,
                 seeds_ft2=seeds_ft2, seeds_per_lb=seeds_per_lb, basis=basis,  # type: ignore[arg-type]
                 purity=purity, germination=germination, hard=hard, coating=coating)  # fmt: skip
    _check(entry, table)
    mix = Mix("one crop", (entry,), method)  # type: ignore[arg-type]
    rows, notes = seed_needs(mix, acres, acres, acres, table)
    row = rows[0]
    lines = [
        *([] if asked == crop else [f"“{asked}” is read as “{crop}”"]),
        f"{figure(row.lb, 'lb', 1)} of {crop} on {figure(acres, 'ac', AS_IT_IS)} "
        f"({figure(row.bulk_lb_ac, 'lb/ac', 2)}, {method})",
        f"rate {figure(row.rate_lb_ac, 'lb/ac', 2)} {row.basis}; "
        + (
            f"{100 * row.pls_frac:.1f} % live; "
            if purity or germination or coating
            else "no tag given, all of it counted as live; "
        )
        + f"source: {row.source}"
        + (" (this rate from memory)" if row.from_memory else ""),
        *_in_bushels(crop, row.lb),
        *(crop_lines(table[crop]) if crop in table else ()),
        *(f"{'warning: ' if level == 'warning' else ''}{text}" for _, text, level in notes),
    ]
    show(
        {"acres": acres, **json_of(row), "notes": [text for _, text, _ in notes]},
        lines,
        as_json=as_json,
    )


COMMANDS = (seed,)
