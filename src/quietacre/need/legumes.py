"""Nitrogen and legumes: how much of a stand they are, and what that means for feeding it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import figure
from quietacre.in_parts import InParts
from quietacre.shipped import cite
from quietacre.words import settings_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.need.tables import Crop
    from quietacre.settings import Mix

#: Above this no nitrogen is recommended. The source says it of pasture; shares of full
#: rates stand here for the share of the stand, which nobody can know before it grows.
MOST_LEGUME = 0.30
LEGUME_SOURCE = "msu-clovers"


def legume_share(mix: Mix, table: Mapping[str, Crop]) -> float:
    """Return the legumes' part of a mix, by shares of full rates, 0 to 1.

    A crop without a full rate in the table counts as sown in full.
    """
    shares = []
    for seed in mix.seed:
        crop = table.get(seed.crop)
        full = crop and (crop.rate_lb_ac(mix.method) or crop.rate_lb_ac("drill"))
        a_pound = seed.seeds_per_lb or (crop.seeds_per_lb if crop else None)
        rate = seed.rate_lb_ac
        if seed.seeds_ft2 is not None and crop and full and a_pound:
            rate = seed.seeds_ft2 / _seeds_ft2(full, a_pound) * full
        share = seed.share or (rate / full if rate and full else 1.0)
        shares.append((share, bool(crop and crop.legume)))
    total = sum(share for share, _ in shares)
    return sum(share for share, legume in shares if legume) / total


def _seeds_ft2(lb_ac: float, seeds_per_lb: float) -> float:
    from quietacre.need.seed_rate import seeds_per_ft2

    return seeds_per_ft2(lb_ac, seeds_per_lb)


def left_out_text(asked_lb_ac: float, share: float, fed: Sequence[str] = ()) -> str:
    """Return what to say of nitrogen left out ahead of a stand with many legumes.

    ``fed`` are the crops of the mix that nitrogen would feed.
    """
    grain = 5 * round(asked_lb_ac * (1 - share) / 5)
    whom = " and ".join(fed) or "grain"
    keys = settings_words()["area"].keys
    kept, anyway = keys["topdress_n_lb_ac"].label, keys["nitrogen_on_legumes"].label
    offer = (
        f"to feed the {whom} once up, put {grain:.0f} lb/ac under “{kept}”; "
        if grain
        else ""
    )
    return InParts(
        f"no nitrogen before planting, {figure(asked_lb_ac, 'lb/ac', 0)} are left out",
        f"{100 * share:.0f} % of this mix is legume, by shares of full rates, and over "
        f"{100 * MOST_LEGUME:.0f} % nitrogen feeds grass and weeds against it "
        f"({cite(LEGUME_SOURCE)}); {offer}“{anyway}” spreads all of it before planting.",
    )
