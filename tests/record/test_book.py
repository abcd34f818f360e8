"""The book of what happened: the trade's words, lines taken back, names that have changed.

In each test the docstring is the log.
"""

import datetime as dt
import inspect

import pytest

from quietacre.errors import SettingsProblem
from quietacre.intake.log import read_log
from quietacre.intake.property import read_property
from quietacre.record.book import book_of
from quietacre.record.words import Words, known_tasks, remark_words
from quietacre.settings import Area, Mix, Property, PropertyInfo, Seed, TaskRule
from quietacre.year.plan import Ground, plan_days
from quietacre.year.steps import STEPS

PLACE = Property(
    PropertyInfo("Home"),
    area=(
        Area("North", "plot", "p.gpx", was=("Back forty", "Long field")),
        Area("South", "plot", "p.gpx", tasks=(TaskRule("hang a stand", days_before=30),)),
        Area("Vine", "patch", "v.gpx"),
        Area("Block", "burn", "b.gpx"),
    ),
    log_words={"Brushed out": "clip", "looked about": "remark"},
)


def book(test, tmp_path, prop=PLACE):
    """Return the book of the log in a test's docstring."""
    path = tmp_path / "log.csv"
    path.write_text(inspect.getdoc(test) + "\n")
    return book_of(read_log(path, shown="log.csv").jobs, prop)


def told(made):
    return [(e.area, e.task) for e in made.entries]


def test_ground_is_turned_again_after_it_was_sown(tmp_path):
    """date,area,task
    2027-07-01,North,disked
    2027-07-20,North,disked
    2027-08-01,North,planted
    2027-09-20,North,disked
    2027-10-05,North,disked
    2027-10-12,South,fertilized
    2027-10-20,South,planted
    2027-11-20,South,fertilized
    """
    made = book(test_ground_is_turned_again_after_it_was_sown, tmp_path)
    assert told(made) == [
        ("North", "turn under"), ("North", "second disking"), ("North", "plant"),
        ("North", "turn under"), ("North", "second disking"),
        ("South", "fertilize"), ("South", "plant"), ("South", "top-dress"),
    ]  # fmt: skip


def test_the_words_of_the_trade(tmp_path):
    """
    date,area,task
    2027-02-01,North,LIMED
    2027-03-01,Block,burned
    2027-04-01,Vine,mowed the strip
    2027-04-15,Vine strip,bush hogged
    2027-07-10,Vine strip,pulled runners
    2027-08-01,north,Bush  Hogged
    2027-08-08,North,disked
    2027-09-01,North,disked
    2027-09-20,North,planted
    2027-09-21,,rain 0.6
    2027-09-22,,bought
    """
    made = book(test_the_words_of_the_trade, tmp_path)
    assert told(made) == [
        ("North", "lime"), ("Block", "burn window"), ("Vine strip", "strip cut"),
        ("Vine strip", "strip cut"), ("Vine strip", "walk and pull"), ("North", "clip"),
        ("North", "turn under"), ("North", "second disking"), ("North", "plant"), ("", "rain"),
        ("", "buy"),
    ]  # fmt: skip
    assert made.unknown == ()
    assert ("", "rain") not in made.days_done()
    assert made.cuts() == {"Vine strip": (dt.date(2027, 4, 1), dt.date(2027, 4, 15))}


def test_own_words_stand_before_and_unknown_ones_are_a_remark(tmp_path):
    """
    date,area,task
    2027-08-01,North,brushed out
    2027-08-02,South,Hang a stand
    2027-08-03,South,looked about
    2027-08-04,South,whittled
    2027-08-05,South,whittled
    """
    made = book(test_own_words_stand_before_and_unknown_ones_are_a_remark, tmp_path)
    assert told(made) == [("North", "clip"), ("South", "hang a stand"), ("South", "remark")]
    assert [e.task for e in made.unknown] == ["whittled", "whittled"]
    text = remark_words({"whittled": 2}, Words.of(PLACE))
    assert (
        "2 lines are kept as a remark, because no job here goes by “whittled” (2 lines)"
        in text
    )
    assert '"whittled" = "remark"' in text


def test_a_line_taken_back_and_one_that_takes_back_nothing(tmp_path):
    """
    date,area,task,id
    2027-08-01,North,clip,bcd
    2027-08-02,South,clip,fgh
    2027-08-03,North,undo,bcd
    2027-08-03,North,undo,xyz
    2027-08-03,North,undo,
    """
    made = book(test_a_line_taken_back_and_one_that_takes_back_nothing, tmp_path)
    assert told(made) == [("South", "clip")]
    assert [note.text for note in made.notes] == [
        "log.csv: line 5 takes back a line with the id “xyz”, and none has it, so it counts for nothing.",
        "log.csv: line 6 takes back a line and has no id, so it counts for nothing.",
    ]


def test_ground_that_was_renamed_keeps_its_past_and_its_jobs(tmp_path):
    """
    date,area,task
    2025-08-01,Back forty,clip
    2026-08-01,long field,clip
    2027-08-01,North,clip
    2027-08-01,North; South,lime
    """
    made = book(test_ground_that_was_renamed_keeps_its_past_and_its_jobs, tmp_path)
    assert told(made)[:3] == [("North", "clip")] * 3
    assert told(made)[3:] == [("North", "lime"), ("South", "lime")]
    assert [job.on.year for job in made.of("North")] == [2027, 2027, 2026, 2025]


def test_a_renamed_area_keeps_the_names_of_its_jobs_in_a_calendar():
    def uids(**more):
        area = Area(kind="plot", files="p.gpx", mix="m", plant=dt.date(2027, 9, 25), **more)
        prop = Property(
            PropertyInfo("Home"), area=(area,), mix=(Mix("m", (Seed("oats"),)),)
        )
        ground = Ground(("a01",), (2.0,), {}, (), dt.date(2027, 1, 2), {})
        return {t.uid for t in plan_days(ground, prop, effort="plain").tasks}

    assert uids(name="New") != uids(name="Old")
    assert uids(name="New", was=("Old",)) == uids(name="Old")
    assert uids(name="Newer", was=("Old", "New")) == uids(name="Old")


def test_the_table_knows_every_job_of_the_year():
    assert {step.task for step in STEPS} <= known_tasks()
    for task in sorted(known_tasks()):
        meaning = Words.of(PLACE).meaning(task, "plot")
        assert meaning is not None
        assert task in meaning.tasks


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[log_words]\n"brushed" = "clipp"', 'log_words."brushed": “clipp” is no job; did you mean “clip'),
        ('[[area]]\nname = "A"\nkind = "plot"\nfrom = "a.gpx"\n[[area]]\nname = "B"\nkind = "plot"\n'
         'from = "a.gpx"\nwas = ["a"]', "area[2].was: “a” is the name of “A” too"),
    ],
)  # fmt: skip
def test_settings_of_the_log_that_cannot_be(text, said, tmp_path):
    (tmp_path / "property.toml").write_text(f'[property]\nname = "Home"\n{text}\n')
    (tmp_path / "a.gpx").write_text("<gpx/>")
    with pytest.raises(SettingsProblem) as caught:
        read_property(tmp_path)
    assert said in str(caught.value)
