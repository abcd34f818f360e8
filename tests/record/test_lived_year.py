"""A year lived by the plan: after every day what was done, bought and is left adds up."""

import pytest
from lived import live_a_year


@pytest.mark.parametrize("seed", range(4, 9))
def test_a_year_adds_up_after_every_day(seed):
    assert live_a_year(seed) > 5  # noqa: PLR2004 - a year in which hardly anything happened
