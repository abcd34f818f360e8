"""A year that is over is kept whole, never written over, and set beside the next."""

import datetime as dt
import json
import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner
from small_place import SQUARE, write_place

from quietacre.as_json import plain
from quietacre.build import build_property, plan_property
from quietacre.cli import main
from quietacre.edit import years as kept_years
from quietacre.intake.years import kept_folders, newest_of, read_years
from quietacre.kept_years import read_record
from quietacre.measure.property import measure_property

SETTINGS = """\
[property]
name = "Home"
state = "AL"

[[area]]
name = "Hill"
kind = "plot"
from = "h.geojson"
mix = "grain"
plant = "09-25"
topdress_n_lb_ac = 20
topdress_on = "02-10"
fertilizer = "none"

[[mix]]
name = "grain"
seed = [{ crop = "wheat", share = 1.0, bag_lb = 50, price_lb = 0.4 }]
"""
LOG = """\
date,area,task,item,amount,unit,price,minutes,stand
2027-08-14,Hill,clip,,,,,90,
2027-09-01,,bought,wheat,150,lb,60,,
2027-09-24,Hill,plant,wheat,120,lb,,95,
2027-10-02,Hill,set exclosure,,,,,,
2027-10-20,,rain 1.5,,,,,,
2027-11-24,Hill,read exclosure,,,,,30,8
2028-02-11,Hill,top-dress,,,,,40,
"""


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return write_place(tmp_path / "home", SETTINGS, LOG)


def typed(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def files_of(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def record_of(place, name):
    return read_record((place / "years" / name / "year.json").read_text(), name)


def test_a_piece_keeps_its_dollars_to_the_cent(place):
    log = place / "log.csv"
    log.write_text(log.read_text().replace("wheat,150,lb,60", "wheat,130,lb,61"))
    said = typed("close", place, "2027", "--today", "2028-03-10")
    assert said.exit_code == 0, said.output
    (hill,) = record_of(place, "2027").pieces
    assert hill.dollars == 56.31  # 120 × 61 ÷ 130 = 56.3077, by hand


def test_a_year_is_kept_with_what_it_came_to(place):
    said = typed("close", place, "2027", "--today", "2028-03-10")
    assert said.exit_code == 0, said.output
    assert "undo takes back changes, not a year that is closed" in said.output
    names = set(files_of(place / "years" / "2027"))
    assert {"report.json", "map.html", "field-sheets.pdf", "plan.csv", "shopping.csv",
            "areas.gpkg", "year.json"} <= names  # fmt: skip
    assert "calendar.ics" not in names
    record = record_of(place, "2027")
    (hill,) = record.pieces
    # by hand: four days of 2027 and the top-dressing of February, which is of its season
    assert (hill.days, hill.jobs, hill.untimed) == (5, 5, 1)
    assert hill.hours == pytest.approx((90 + 95 + 30 + 40) / 60, abs=0.01)
    assert (hill.seed_lb, hill.stand) == (120.0, 8.0)
    assert hill.dollars == pytest.approx(120 * 60 / 150)
    assert (record.whole.dollars, record.rain_in, record.rain_from) == (60.0, 1.5, "log")
    assert (
        "hours: 4.3 (1 of 5 lines without minutes); spent: $60.00; rain: 1.5 in by the log"
        in said.output
    )
    assert (
        json.loads((place / "years/2027/report.json").read_text())["areas"][0]["plant"]
        == "2027-09-25"
    )


def test_open_jobs_are_listed_and_stay_in_the_plan(place):
    log = LOG.replace("2028-02-11,Hill,top-dress,,,,,40,\n", "").replace(
        "2027-10-02,Hill,set exclosure,,,,,,\n", ""
    )
    (place / "log.csv").write_text(log)
    said = typed("close", place, "2027", "--today", "2028-01-08").output
    assert "still open, and carried over in the plan: 1" in said
    assert (
        "Hill: top-dress nitrogen at the rate of your soil test, by February 17, 2028"
        in said
    )
    (job,) = [one for one in record_of(place, "2027").open_jobs if one.carried]
    report, _ = plan_property(measure_property(place), today=_day("2028-01-08"))
    labels = [t["label"] for t in report["year"]["tasks"] if t["state"] == "planned"]
    assert job.label in labels


def _day(text):
    import datetime as dt

    return dt.date.fromisoformat(text)


def test_it_is_never_written_over_and_a_correction_stands_beside_it(place):
    typed("close", place, "2027", "--today", "2028-03-10")
    first = files_of(place / "years" / "2027")
    again = typed("close", place, "2027", "--today", "2028-03-11").output
    assert (
        "2027 is kept already in years/2027, and nothing of it has changed since" in again
    )
    with (place / "log.csv").open("a") as log:
        log.write(
            "2027-10-05,Hill,read exclosure,,,,,30,6\n2027-12-01,,bought,wheat,50,lb,20,,\n"
        )
    said = typed("close", place, "2027", "--today", "2028-03-12").output
    assert (
        "kept: years/2027-corrected-2028-03-12, corrected; years/2027 stays as it is"
        in said
    )
    with (place / "log.csv").open("a") as log:
        log.write("2027-12-02,,bought,wheat,50,lb,20,,\n")
    typed("close", place, "2027", "--today", "2028-03-12")
    assert kept_folders(place) == [
        "2027", "2027-corrected-2028-03-12", "2027-corrected-2028-03-12-2",
    ]  # fmt: skip
    assert files_of(place / "years" / "2027") == first
    newest = newest_of(read_years(place)[0], 2027)
    assert (newest.kept, newest.whole.dollars) == ("2027-corrected-2028-03-12-2", 100.0)
    # the next year's plan sets the corrected one beside it
    report, _ = plan_property(measure_property(place), today=_day("2028-06-01"))
    assert report["years"]["last"]["kept"] == "2027-corrected-2028-03-12-2"
    assert report["years"]["to_close"] is None


def test_page_and_papers_set_the_years_side_by_side_alike(place, tmp_path):
    typed("close", place, "2027", "--today", "2028-03-10")
    with (place / "log.csv").open("a") as log:
        log.write("2028-08-14,Hill,clip,,,,,75,\n")
    built = build_property(place, today=_day("2028-09-01"))
    told = plain(built.report.years.beside)
    (tmp_path / "x.pdf").write_bytes(built.files["field-sheets.pdf"])
    text = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "x.pdf", "-"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    (page,) = [one for one in text.split("\f") if "2027 beside 2028" in one]
    assert "2027 as kept in years/2027." in page
    rows = [line.split() for line in page.splitlines()]
    assert ["seed", "120", "lb", "0.0", "lb"] in rows
    assert ["days", "with", "work", "5", "1"] in rows
    assert ["hours", "4.3", "1.3"] in rows
    assert ["stand", "8.0", "of", "10", "not", "known"] in rows
    assert ["rain", "1.5", "in", "not", "known"] in rows
    shown = built.files["map.html"].decode()
    assert "as kept in years/2027" in shown
    assert [ground["area"] for ground in told["ground"]] == ["all ground", "Hill"]


def test_another_edge_is_no_correction(place):
    typed("close", place, "2027", "--today", "2028-03-10")
    (place / "h.geojson").write_text(SQUARE.replace("-86.299", "-86.2985"))
    said = typed("close", place, "2027", "--today", "2028-03-12").output
    assert "nothing of it has changed since" in said


def test_ground_that_got_another_name_keeps_its_years(place):
    typed("close", place, "2027", "--today", "2028-03-10")
    renamed = SETTINGS.replace('name = "Hill"', 'name = "Knob"\nwas = ["Hill"]')
    (place / "property.toml").write_text(renamed)
    said = typed("close", place, "2027", "--today", "2028-03-12").output
    assert "nothing of it has changed since" in said
    report, _ = plan_property(measure_property(place), today=_day("2028-06-01"))
    rows = report["years"]["beside"]["ground"]
    assert [ground["area"] for ground in rows] == ["all ground", "Knob"]
    assert {r["what"]: r["last"] for r in rows[1]["rows"]}["seed"] == 120.0


def test_it_is_kept_whole_or_not_at_all(place, monkeypatch):
    write, count = kept_years.write_synced, []

    def full(path, data):
        count.append(path)
        if len(count) == 4:
            raise OSError(28, "No space left on device", str(path))
        write(path, data)

    monkeypatch.setattr(kept_years, "write_synced", full)
    said = typed("close", place, "2027", "--today", "2028-03-10")
    assert said.exit_code != 0
    assert list((place / "years").iterdir()) == []


@pytest.mark.parametrize(
    ("year", "log", "word"),
    [
        ("2028", LOG, "2028 is not over; close it from January 1, 2029 on"),
        ("2025", LOG, "nothing of 2025 is in the log"),
        ("2027", "date,area,task\n", "nothing of 2027 is in the log"),
    ],
)
def test_what_cannot_be_closed_is_one_line(place, year, log, word):
    (place / "log.csv").write_text(log)
    said = typed("close", place, year, "--today", "2028-03-10")
    assert said.exit_code == 2
    assert word in said.output
    assert len(said.output.strip().splitlines()) == 1
    assert not (place / "years").exists()


@pytest.mark.parametrize("text", ["{", '{"form": 9}', '{"form": 1, "year": 2027}', "[]"])
def test_a_spoiled_record_is_said_and_the_rest_counts(place, text):
    typed("close", place, "2027", "--today", "2028-03-10")
    (place / "years/2027/year.json").write_text(text)
    report, _ = plan_property(measure_property(place), today=_day("2028-06-01"))
    told = [note["text"] for note in report["notes"] if note["code"] == "kept-year-unread"]
    assert len(told) == 1
    assert told[0].startswith("years/2027/year.json ")
    assert report["years"]["last"]["kept"] == ""  # by the log, as it stands


def test_a_copy_takes_the_years_along(place, tmp_path):
    typed("close", place, "2027", "--today", "2028-03-10")
    assert typed("copy", place, tmp_path / "home.zip").exit_code == 0
    assert typed("restore", tmp_path / "home.zip", tmp_path / "back").exit_code == 0
    assert files_of(tmp_path / "back/years/2027") == files_of(place / "years/2027")


def test_a_link_in_place_of_years_is_refused(place, tmp_path):
    (tmp_path / "else").mkdir()
    (place / "years").symlink_to(tmp_path / "else")
    said = typed("close", place, "2027", "--today", "2028-03-10")
    assert said.exit_code == 2
    assert list((tmp_path / "else").iterdir()) == []


def test_the_sample_closes(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    sample = Path(__file__).parents[2] / "sample_maps" / "sweetgum-bend"
    shutil.copytree(sample, tmp_path / "bend", ignore=shutil.ignore_patterns("out"))
    said = typed("close", tmp_path / "bend", "2026", "--today", "2027-01-05", "--json")
    assert said.exit_code == 0, said.output
    assert json.loads(said.output)["folder"] == "years/2026"


def test_what_a_line_without_an_amount_was_taken_for_stands(place):
    log = place / "log.csv"
    log.write_text(LOG.replace("plant,wheat,120,lb", "plant,,,"))
    assert typed("close", place, "2027", "--today", "2028-03-10").exit_code == 0
    (taken,) = [one for one in record_of(place, "2027").taken if one.task == "plant"]
    assert (taken.on, taken.area, taken.item) == ("2027-09-24", "Hill", "wheat")
    assert taken.amount > 0

    def used(today):
        report, _ = plan_property(
            measure_property(place), today=dt.date.fromisoformat(today)
        )
        (held,) = [row for row in report["on_hand"] if row["item"] == "wheat"]
        return held["used"], {note["code"]: note["text"] for note in report["notes"]}

    before, _ = used("2028-03-10")
    assert before == pytest.approx(taken.amount)
    # another mix is sown next: what was sown then is still what it was
    other = SETTINGS + '\n[[mix]]\nname = "oats"\nseed = [{ crop = "oats", share = 1.0 }]\n'
    (place / "property.toml").write_text(other.replace('mix = "grain"', 'mix = "oats"'))
    after, said = used("2028-08-10")
    assert after == before
    assert "what was taken when their year was closed stands" in said.get(
        "log-amount-kept", ""
    )
    again = typed("close", place, "2027", "--today", "2028-08-10")
    assert "kept already" in again.stdout, again.output
    # and its words in a record are read strictly
    text = (place / "years" / "2027" / "year.json").read_text()
    with pytest.raises(ValueError, match="lacks or does not know"):
        read_record(text.replace('"amount":', '"amounts":'), "2027")
