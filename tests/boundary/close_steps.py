"""A path laid by its corners, walked in even steps."""

import numpy as np
import shapely


def closely(corners, step=1.0):
    """Return places along a line of corners, so far apart. [m]"""
    line = shapely.LineString(corners)
    at = np.arange(0.0, line.length + step / 2, step)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, at))
