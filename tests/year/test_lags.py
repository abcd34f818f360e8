"""Lags and tasks changed for the property and for a crop, in property.toml."""

import datetime as dt
from dataclasses import replace

import pytest
from record_of import record_of

from quietacre.errors import SettingsProblem
from quietacre.intake.property import read_property
from quietacre.need.records import Need
from quietacre.year.conflicts import conflicts
from quietacre.year.lags import USUAL, lagged, lags_of
from quietacre.year.plan import Ground, plan_days
from quietacre.year.steps import STEPS
from quietacre.year.takes import takes_by_key

HEAD = """
[property]
name = "x"
[work]
weekdays = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
[[mix]]
name = "grain"
seed = [{ crop = "oats", rate_lb_ac = 60.0, basis = "bulk" }]
[[mix]]
name = "both"
seed = [{ crop = "oats", rate_lb_ac = 40.0, basis = "bulk" },
        { crop = "ladino / white clover", rate_lb_ac = 3.0, basis = "bulk" }]
"""
PLOT = """
[[area]]
name = "{name}"
kind = "plot"
from = "p.gpx"
mix = "{mix}"
plant = 2027-09-25
"""
PLANT = dt.date(2027, 9, 25)


def read(tmp_path, more, plots=(("G", "grain"), ("B", "both"))):
    (tmp_path / "p.gpx").write_text("x")
    areas = "".join(PLOT.format(name=name, mix=mix) for name, mix in plots)
    (tmp_path / "property.toml").write_text(HEAD + areas + more)
    return read_property(tmp_path)


def planned(prop, needs=None):
    ids = tuple(f"a{n:02d}" for n in range(1, len(prop.area) + 1))
    ground = Ground(
        ids, (2.0,) * len(ids), takes_by_key(needs or {}), (), dt.date(2026, 11, 1), {}
    )
    return plan_days(ground, prop)


def before(plan, area, task):
    """Return (earliest, ideal, latest, planned) in days before planting."""
    found = next(t for t in plan.tasks if (t.area, t.task) == (area, task))
    return tuple(
        (PLANT - day).days
        for day in (found.earliest, found.ideal, found.latest, found.scheduled)
    )


def test_the_usual_lags(tmp_path):
    prop = read(tmp_path, "")
    plan = planned(prop)
    assert before(plan, "G", "clip")[:3] == (56, 42, 42)
    assert before(plan, "G", "turn under")[:3] == (42, 40, 32)
    assert lags_of(prop.area[0], prop)["rot_days"] == 21


@pytest.mark.parametrize(("clip_days", "clipped"), [(33, 39), (38, 39), (40, 40)])
def test_clipping_leaves_room_for_rot_and_disking_whatever_is_asked(
    tmp_path, clip_days, clipped
):
    prop = read(tmp_path, f"[lags]\nclip_days = {clip_days}\n")
    woody = replace(prop.area[0], residue="woody")
    # 21 days of rot, a week more for woody residue, turned under 11 days before planting: 39
    assert lags_of(woody, prop)["clip_days"] == clipped


def test_the_property_s_lags_hold_for_every_plot(tmp_path):
    prop = read(tmp_path, "[lags]\nrot_days = 30\nsettle_days = 10\nexclosure_days = 50\n")
    plan = planned(prop)
    for area in ("G", "B"):
        # nine days more of rot: clipped and turned under nine days sooner
        assert before(plan, area, "clip")[:3] == (65, 51, 51)
        assert before(plan, area, "turn under")[2] == 41  # 30 of rot and 11 to planting
        at = {t.task: t.scheduled for t in plan.tasks if t.area == area}
        assert (at["second disking"] - at["turn under"]).days >= 30
        assert (at["plant"] - at["smooth"]).days >= 10
        assert (at["read exclosure"] - at["set exclosure"]).days >= 50


def test_a_crop_s_lags_outrank_the_property_s_and_the_longest_of_a_mix_holds(tmp_path):
    more = """
[lags]
rot_days = 30
[crop.oats.lags]
rot_days = 25
settle_days = 7
[crop."ladino / white clover"]
lags = { rot_days = 28, settle_days = 3 }
"""
    prop = read(tmp_path, more)
    assert lags_of(prop.area[0], prop)["rot_days"] == 25
    both = lags_of(prop.area[1], prop)
    assert (both["rot_days"], both["settle_days"]) == (28, 7)


def test_cool_and_woody_add_to_a_rot_of_ones_own(tmp_path):
    more = 'residue = "woody"\n[lags]\nrot_days = 10\nrot_more_days = 4\n'
    prop = read(tmp_path, more, plots=(("G", "grain"),))
    lags = lags_of(prop.area[0], prop)
    assert lags["rot_days"] == 14
    assert lags["clip_days"] == 42 + 14 - 21


def test_clip_days_of_ones_own(tmp_path):
    prop = read(tmp_path, "[crop.oats.lags]\nclip_days = 60\n")
    plan = planned(prop)
    assert before(plan, "G", "clip")[:3] == (74, 60, 60)
    assert before(plan, "G", "turn under")[:3] == (60, 58, 32)


def test_lime_days_move_the_lime_and_the_warning(tmp_path):
    needs = {key: record_of(Need, {"lime": {"ton": 1.0}}) for key in ("a01", "a02")}
    prop = read(tmp_path, "[crop.oats.lags]\nlime_days = 200\n")
    plan = planned(prop, needs)
    assert before(plan, "G", "lime")[:3] == (260, 200, 200)
    assert before(plan, "G", "lime")[3] >= 200
    assert not [c for c in conflicts(plan, prop, None) if c.code == "lime-too-late"]
    late = Ground(
        ("a01", "a02"), (2.0, 2.0), takes_by_key(needs), (), dt.date(2027, 5, 1), {}
    )
    texts = [c.text for c in conflicts(plan_days(late, prop), prop, None)
             if c.code == "lime-too-late"]  # fmt: skip
    assert len(texts) == 2
    assert "under 200 days before September" in texts[0]


def test_tasks_of_a_crop_and_who_outranks_whom(tmp_path):
    """The area's, then [[task]] with a crop, then the crop's, then [[task]] without."""
    more = """
tasks = [{ task = "clip", minutes = 1 }]
[[task]]
task = "clip"
minutes = 4
[[task]]
task = "smooth"
minutes = 4
[[task]]
task = "smooth"
crop = "oats"
minutes = 2
[[task]]
task = "plant"
minutes = 4
[[task]]
task = "second disking"
minutes = 4
[crop.oats]
tasks = [
  { task = "clip", minutes = 3 },
  { task = "smooth", minutes = 3 },
  { task = "plant", minutes = 3 },
  { task = "scout for armyworms", days_before = -14, minutes = 15 },
]
"""
    plan = planned(read(tmp_path, more))
    minutes = {t.task: t.minutes for t in plan.tasks if t.area == "B"}
    assert {k: minutes[k] for k in ("clip", "smooth", "plant", "second disking")} == {
        "clip": 1, "smooth": 2, "plant": 3, "second disking": 4,
    }  # fmt: skip
    assert minutes["scout for armyworms"] == 15
    assert next(t.minutes for t in plan.tasks if (t.area, t.task) == ("G", "clip")) == 3


def test_a_crop_s_window_stands_in_for_the_table_s(tmp_path):
    def outside(more):
        prop = read(tmp_path, more, plots=(("G", "grain"),))
        return [c.text for c in conflicts(planned(prop), prop, None)
                if c.code == "outside-crop-window"]  # fmt: skip

    assert outside("") == []
    (text,) = outside('[crop.oats]\nwindow = "Feb-Mar; Oct 1-Oct 20"\n')
    assert "outside your own window, February 1 to March 31; October 1 to 20" in text
    assert "under [crop.oats]" in text
    assert outside('[crop.oats]\nwindow = "late Aug-early Oct"\n') == []


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('[crop.oats]\nwindow = "when the dogwoods bloom"\n',
         "crop.oats.window: “when the dogwoods bloom” is no planting window to be read; write it "
         "as “Sep 1-Oct 15”"),
        ('[crop.oats]\nwindow = "Sep 1-Oct 15; Jun 31"\n', "“Jun 31” is no planting window"),
        ('[crop.otas]\nwindow = "May"\n', "crop.otas: no mix sows “otas”; did you mean “oats”?"),
        ('[crop.oats]\nwindwo = "May"\n',
         "crop.oats.windwo: there is no such key; did you mean “window”?"),
        ("[crop.oats.lags]\nrot = 3\n", "crop.oats.lags.rot: there is no such key"),
        ("[crop.oats.lags]\nrot_days = -3\n", "crop.oats.lags.rot_days"),
        ('[crop.oats.lags]\nrot_days = "21"\n', "crop.oats.lags.rot_days"),
        ('[crop."ladino / white clover"]\nlags = { rot_days = 2.5 }\n',
         'crop."ladino / white clover".lags.rot_days'),
        ("[lags]\nrot_days = 1001\n", "lags.rot_days: “1001” should be 1000 or less"),
        ("[lags]\nrot_days = 99999999999\n", "lags.rot_days: 99999999999 is not a number to"),
        ('tasks = [{ task = "clip", on = 9999-12-31 }]\n',
         "area[2].tasks[1].on: 9999-12-31 is no year to plan in; check it"),
        ("[lags]\nclip_days = 20\n",
         "lags.clip_days: 20 days leave no 21 for the rot and 11 from the second disking to "
         "planting; give 32 or more, or fewer rot_days"),
        ('[crop.oats]\ntasks = [{ task = "clip", crop = "oats" }]\n',
         "crop.oats.tasks[1].crop: these tasks are this crop's; leave it out"),
    ],
)  # fmt: skip
def test_faults_name_the_key_and_the_cure(tmp_path, more, words):
    with pytest.raises(SettingsProblem) as fault:
        read(tmp_path, more)
    assert words in str(fault.value)


def test_a_path_through_strip_keeps_its_name(tmp_path):
    with pytest.raises(SettingsProblem, match=r"area\[2\]\.strip\.width_ft"):
        read(tmp_path, "strip = { width_ft = -1.0 }\n")


def test_the_table_of_jobs_stands_on_the_usual_lags():
    assert [lagged(step, USUAL) for step in STEPS] == list(STEPS)
