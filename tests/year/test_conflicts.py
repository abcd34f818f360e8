"""Planting windows: the crop table's, and the person's own in its place."""

import datetime as dt

import pytest

from quietacre.errors import SettingsProblem
from quietacre.intake.property import read_property
from quietacre.settings import Area, Mix, Property, PropertyInfo, Seed, Work
from quietacre.windows import inside
from quietacre.year.conflicts import conflicts, windows_of
from quietacre.year.plan import Ground, plan_days


def outside(seed, plant):
    """Return the texts said of a planting outside its windows."""
    prop = Property(
        PropertyInfo("Here"),
        area=(Area("P", "plot", "p.gpx", plant=plant, mix="m"),),
        mix=(Mix("m", (seed,)),),
        work=Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
    )
    ground = Ground(("a01",), (2.0,), {}, (), dt.date(2027, 1, 2), {})
    planned = plan_days(ground, prop)
    return [
        row["text"]
        for row in conflicts(planned, prop, None)
        if row["code"] == "outside-crop-window"
    ]


def test_the_table_s_windows_are_held_against_the_planting():
    assert outside(Seed("crimson clover", rate_lb_ac=15.0), dt.date(2027, 9, 18)) == []
    (text,) = outside(Seed("crimson clover", rate_lb_ac=15.0), dt.date(2027, 4, 10))
    assert "every window of the crop table" in text


def test_a_window_of_ones_own_stands_in_for_them():
    own = Seed("crimson clover", rate_lb_ac=15.0, plant_from="04-01", plant_to="04-30")
    assert outside(own, dt.date(2027, 4, 10)) == []
    (text,) = outside(own, dt.date(2027, 9, 18))
    assert "your own window, 04-01 to 04-30" in text


def test_a_window_across_new_year():
    own = Seed("oats", rate_lb_ac=60.0, plant_from="12-15", plant_to="01-31")
    (ranges,) = windows_of(own, {}).values()
    assert inside(dt.date(2027, 1, 10), ranges)
    assert inside(dt.date(2027, 12, 20), ranges)
    assert not inside(dt.date(2027, 2, 1), ranges)


def test_half_a_window_is_said(tmp_path):
    (tmp_path / "property.toml").write_text(
        '[property]\nname = "x"\n[[mix]]\nname = "m"\n'
        'seed = [{ crop = "oats", rate_lb_ac = 60.0, plant_from = "09-01" }]\n'
    )
    with pytest.raises(SettingsProblem, match=r"mix\[1\].seed\[1\].plant_from"):
        read_property(tmp_path)
