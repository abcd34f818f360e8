"""An edge as a page draws it: to about four inches, and nothing where there is no place."""

import shapely

from quietacre.acreage.edge_json import edge_json


def test_an_edge_has_the_digits_that_a_screen_can_show():
    """A millionth of a degree of latitude is 4.4 inches."""
    ring = [(-90.12345678, 35.0), (-90.0, 35.00000049), (-90.0, 35.12345649)]
    made = edge_json(shapely.Polygon(ring))
    assert made["type"] == "Polygon"
    assert made["coordinates"][0] == (
        (-90.123457, 35.0), (-90.0, 35.0), (-90.0, 35.123456), (-90.123457, 35.0)
    )  # fmt: skip


def test_ground_without_a_place_has_no_edge():
    assert edge_json(None) is None
