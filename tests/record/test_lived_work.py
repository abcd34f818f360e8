"""Stretches of years of work lived by the plan, at places that differ, over a whole year."""

import datetime as dt

import pytest
from lived_work import DAYS, FIRST, work_a_year

STRETCHES = 5


@pytest.mark.parametrize("seed", range(STRETCHES))
def test_no_job_is_lost_and_every_output_agrees(seed, tmp_path):
    days = DAYS // STRETCHES
    first = FIRST + seed * dt.timedelta(days)
    _, plans, wrong = work_a_year(seed, tmp_path, first=first, days=days)
    assert not wrong
    assert plans > 1
