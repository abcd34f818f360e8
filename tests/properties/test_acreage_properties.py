"""What may not change an area: where the ring starts, its direction, the order."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.acreage.equal_area import area_m2, perimeter_m


@st.composite
def plots(draw):
    """A star-shaped plot of 0.1 to 200 acres anywhere people farm."""
    lat = draw(st.floats(-60, 65))
    lon = draw(st.floats(-179, 179))
    corners = draw(st.integers(4, 40))
    size = draw(st.floats(10, 450)) / 111_200
    radii = np.array(
        draw(st.lists(st.floats(0.5, 1.0), min_size=corners, max_size=corners))
    )
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    x = lon + size * radii * np.cos(angle) / np.cos(np.radians(lat))
    return np.column_stack([x, lat + size * radii * np.sin(angle)])


@given(plots(), st.integers(1, 39), st.booleans())
@settings(max_examples=200, deadline=None)
def test_start_and_direction_do_not_matter(ring, shift, backwards):
    other = np.roll(ring, shift, axis=0)
    if backwards:
        other = other[::-1]
    first, second = area_m2(np.array([shapely.Polygon(ring), shapely.Polygon(other)]))
    assert abs(first / second - 1) < 1e-12


@given(st.lists(plots(), min_size=2, max_size=6), st.randoms(use_true_random=False))
@settings(max_examples=50, deadline=None)
def test_order_does_not_matter(rings, rng):
    shapes = [shapely.Polygon(ring) for ring in rings]
    order = list(range(len(shapes)))
    rng.shuffle(order)
    ours = area_m2(np.array(shapes))
    shuffled = area_m2(np.array([shapes[i] for i in order]))
    np.testing.assert_allclose(shuffled, ours[order], rtol=1e-12)
    np.testing.assert_allclose(
        perimeter_m(np.array([shapes[i] for i in order])),
        perimeter_m(np.array(shapes))[order],
    )


@given(plots(), st.floats(0.1, 0.9))
@settings(max_examples=50, deadline=None)
def test_a_hole_takes_off_what_it_holds(ring, share):
    centre = ring.mean(axis=0)
    hole = centre + (ring - centre) * 0.4 * share
    outer, inner = shapely.Polygon(ring), shapely.Polygon(hole)
    if not outer.contains(inner):
        return
    whole, gap, holed = area_m2(np.array([outer, inner, shapely.Polygon(ring, [hole])]))
    assert abs(holed - (whole - gap)) < 1e-11 * whole
