"""Every layer in one GeoPackage, with acres and amounts as columns."""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

if TYPE_CHECKING:
    from collections.abc import Mapping

    import geopandas as gpd

ORDER = ("areas", "strips", "weak", "walks", "bands", "removed", "previous",
         "boundary", "waypoints")  # fmt: skip
WITH_NEEDS = ("areas", "strips")


def amount_columns(need: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return the amounts of one area as flat columns with units in their names."""
    if need is None:
        return {}
    lines = [f"{s['crop']} {s['lb']:.1f} lb" for s in need.get("seed", ())]
    spread = [f"{f['grade']} {f['lb']:.1f} lb" for f in need.get("fertilizer", ())]
    lime = need.get("lime")
    return {
        "seed_lb": round(sum(s["lb"] for s in need.get("seed", ())), 2),
        "fertilizer_lb": round(sum(f["lb"] for f in need.get("fertilizer", ())), 2),
        "lime_ton": lime["ton"] if lime else None,
        "cost_usd": need.get("cost"),
        "seed_text": "; ".join(lines),
        "fertilizer_text": "; ".join(spread),
    }


def geopackage_bytes(
    layers: Mapping[str, gpd.GeoDataFrame], report: Mapping[str, Any]
) -> bytes:
    """Return a GeoPackage of all layers that hold something, as bytes.

    The same layers give the same bytes: the times GDAL writes are set to the day
    of the report.
    """
    import pyogrio

    needs = {row["id"]: row.get("need") for row in (*report["areas"], *report["strips"])}
    with tempfile.TemporaryDirectory(prefix="quietacre-") as place:
        path = Path(place) / "areas.gpkg"
        for name in ORDER:
            frame = layers.get(name)
            if frame is None or (not len(frame) and name != "areas"):
                continue
            if name in WITH_NEEDS:
                extra = pd.DataFrame(
                    [amount_columns(needs.get(key)) for key in frame["id"]]
                )
                extra.index = frame.index
                frame = frame.join(extra)
            pyogrio.write_dataframe(
                frame.reset_index(drop=True),
                path,
                layer=name,
                driver="GPKG",
                promote_to_multi=False,
                geometry_type="Unknown",
                append=path.exists(),
            )
        _fix_times(path, report["made_on"])
        return path.read_bytes()


def _fix_times(path: Path, day: str) -> None:
    stamp = f"{day}T00:00:00.000Z"
    with closing(sqlite3.connect(path)) as base:
        base.execute("UPDATE gpkg_contents SET last_change = ?", (stamp,))
        base.commit()
        base.execute("VACUUM")
