"""An example: corners read from a plain list, plants for a hedge, and a list of them."""

import numpy as np
import shapely

from quietacre.errors import FileProblem
from quietacre.model import Layer
from quietacre.plugins import Column, Output, Reader, Step

#: Plants stand so far apart: an invented figure.
APART_FT = 3.0


def read_corners(path, shown):
    """Return the ground of a file with a corner a line: longitude, a space, latitude."""
    lines = path.read_text(encoding="utf-8").splitlines()
    try:
        corners = [tuple(float(word) for word in line.split()) for line in lines]
        ground = shapely.Polygon(corners)
    except ValueError as problem:
        raise FileProblem(
            "holds a line that is not two numbers",
            fix="write longitude, a space and latitude on each line",
            source=shown,
        ) from problem
    shapes = np.array([ground], dtype=object)
    return Layer(shown, shapes, (path.stem,), ("",), ("the only one",))


def plants(areas):
    """Return the length of a hedge round each area, and the plants it takes."""
    frame = areas[["id"]].copy()
    frame["hedge_ft"] = areas["perimeter_ft"]
    frame["hedge_plants"] = np.ceil(areas["perimeter_ft"] / APART_FT).astype(int)
    return frame.iloc[::-1]  # any order will do: rows are joined by id


def written(report, layers):
    """Return a list of plants by area, as the bytes of one file."""
    rows = [(area["name"], area["from_steps"]["hedge_plants"]) for area in report["areas"]]
    rows.append(("areas drawn", len(layers["areas"])))
    lines = ["area,plants", *(f"{name},{count}" for name, count in rows)]
    return {"hedge.csv": "\n".join(lines).encode()}


corners = Reader(contract=1, endings=(".corners",), read=read_corners)
hedge = Step(
    contract=1,
    columns=(
        Column("hedge_ft", "ft", "length of a hedge round the area"),
        Column("hedge_plants", "", "plants for that hedge, one every 3 ft"),
    ),
    run=plants,
)
hedge_list = Output(contract=1, files={"hedge.csv": "plants to buy"}, write=written)
