"""Strips and firebreaks that share ground: which of them are told, from which acres on."""

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.acreage.overlap import SLIVER_M2
from quietacre.strip.shared_ground import OnGround, shared_ground_told
from quietacre.units import ACRE_M2

FRAME = LocalFrame(-87.6, 34.2)
ACRE_SIDE_M = ACRE_M2**0.5


def ground(x0, y0, x1, y1):
    return FRAME.to_lonlat(np.array([shapely.box(x0, y0, x1, y1)]))[0]


class Told:
    """A strip or a firebreak that keeps what is said of it."""

    def __init__(self, name, kind="strip", notes=()):
        self.name, self.kind, self.notes = name, kind, notes

    def noted(self, notes):
        return Told(self.name, self.kind, (*self.notes, *notes))


def told(several, plots=()):
    """Return the codes and heads said of each, of (name, kind, shape[, inside])."""
    laid = [
        OnGround(Told(name, kind), inside or [shapely.Polygon()], shape)
        for name, kind, shape, *inside in several
    ]
    laid = [one._replace(inside=one.inside[0]) for one in laid]
    made = shared_ground_told(laid, plots)
    return [[(note.code, note.text) for note in one.notes] for one in made]


def test_two_strips_on_one_acre_are_told_once_with_it():
    one = ("A strip", "strip", ground(0, 0, 200, ACRE_SIDE_M))
    two = ("B strip", "strip", ground(200 - ACRE_SIDE_M, 0, 400, ACRE_SIDE_M))
    far = ("C strip", "strip", ground(900, 0, 990, 90))
    first, second, third = told([one, two, far])
    ((code, text),) = first
    assert code == "strips-overlap"
    assert text.startswith("A strip and B strip lie on the same 1.00 ac")
    assert second == third == []


@pytest.mark.parametrize(
    ("size_m2", "said"), [(0.98 * SLIVER_M2, False), (1.02 * SLIVER_M2, True)]
)
def test_a_sliver_on_which_two_lie_is_left_unsaid(size_m2, said):
    """The same of a strip on a plot."""
    deep = size_m2 / 100
    one = ("A strip", "strip", ground(0, 0, 100, 100))
    two = ("B strip", "strip", ground(0, 100 - deep, 100, 200))
    assert bool(told([one, two])[0]) is said
    on_plot = told([one], [("Long", ground(-50, 100 - deep, 150, 200))])
    assert [code for code, _ in on_plot[0]] == (["strip-on-plot"] if said else [])


def test_a_strip_is_told_the_acres_of_each_plot_it_lies_on():
    one = ("A strip", "strip", ground(0, 0, 200, ACRE_SIDE_M))
    plots = [
        ("Long", ground(-100, -10, ACRE_SIDE_M, 200)), ("Far", ground(500, 0, 600, 100)),
        ("Short", ground(200 - ACRE_SIDE_M / 2, 0, 300, ACRE_SIDE_M)),
    ]  # fmt: skip
    away = ("B strip", "strip", ground(900, 0, 990, 90))
    here, none = told([one, away], plots)
    heads = [text for _, text in here]
    assert heads[0].startswith("A strip lies on 1.00 ac of “Long”")
    assert heads[1].startswith("A strip lies on 0.50 ac of “Short”")
    assert none == []


def test_two_breaks_in_each_others_blocks_run_side_by_side():
    """Blocks that meet: each break lies half an acre within the other block."""
    wide = ACRE_SIDE_M / 2
    west, east = ground(-300, 0, 0, ACRE_SIDE_M), ground(0, 0, 300, ACRE_SIDE_M)
    of_west = ("W firebreak", "firebreak", ground(0, 0, wide, ACRE_SIDE_M), west)
    of_east = ("E firebreak", "firebreak", ground(-wide, 0, 0, ACRE_SIDE_M), east)
    first, second = told([of_west, of_east])
    ((code, text),) = first
    assert code == "breaks-side-by-side"
    assert "W firebreak and E firebreak run side by side where the blocks meet" in text
    assert "They take 0.50 ac and 0.50 ac there; each is counted whole" in text
    assert second == []
    strips = [
        (name, "strip", shape, inside) for name, _, shape, inside in (of_west, of_east)
    ]
    assert told(strips) == [[], []]
    # what both lie on besides is told in the same note
    more = (
        "E firebreak",
        "firebreak",
        shapely.union(of_east[2], ground(0, 0, wide, 10)),
        east,
    )
    ((code, text),) = told([of_west, more])[0]
    assert code == "breaks-side-by-side"
    assert "ac beside is in both" in text


def test_a_break_that_lies_in_the_others_block_by_itself_is_none_side_by_side():
    west, east = ground(-300, 0, 0, 60), ground(0, 0, 300, 60)
    of_west = ("W firebreak", "firebreak", ground(0, 0, 10, 60), west)
    away = ("E firebreak", "firebreak", ground(300, 0, 310, 60), east)
    assert told([of_west, away]) == [[], []]
