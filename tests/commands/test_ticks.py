"""Tick files: each tick once, from however many phones, in any order; a job keeps its letters."""

import csv
import io
import itertools
import json
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.logbook import JOB_LINE, PLACE_COLUMN, id_of

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days

COLUMNS = ("id", "date", "area", "task", "who", PLACE_COLUMN)


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1820448000")  # 2027-09-09
    monkeypatch.chdir(tmp_path)
    return bench_days.make_place("ridge", tmp_path / "my place")


def run(*words):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == 0, result.output
    return result


def year(place):
    return json.loads(run("year", place, "--json").stdout)["tasks"]


def jobs(place):
    """Return the letters of each job by ground and label; no two jobs share them."""
    found = {(t["area"], t["label"], t["ideal"]): t["job"] for t in year(place)}
    assert len(set(found.values())) == len(found)
    return found


def job(place, area, label):
    return next(t for t in year(place) if (t["area"], t["label"]) == (area, label))


def tick(task, own, on, who="", area=None):
    return {"id": f"{task['job']}-{own}", "date": on, "area": area or task["area"],
            "task": task["log_word"], "who": who}  # fmt: skip


def untick(one):
    return {**one, "task": "undo", "who": ""}


def file(path, *ticks, place_id="Sand ridge"):
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows({**one, PLACE_COLUMN: id_of(place_id)} for one in ticks)
    path.write_text(out.getvalue())
    return path


def lines(place):
    path = place / "log.csv"
    if not path.exists():
        return []
    return sorted(
        tuple(sorted((k, v) for k, v in row.items() if v))
        for row in csv.DictReader(path.read_text().splitlines())
    )


def done(place):
    return {
        (t["area"], t["label"]): t["scheduled"] for t in year(place) if t["state"] == "done"
    }


def three_phones(place, tmp_path):
    clip, pond = job(place, "Pines", "clip"), job(place, "Pond", "clip")
    gate = job(place, "Gate", "clip")
    wrong = tick(gate, "wwwww", "2027-09-01", "Tom")
    toms = tick(clip, "bbbbb", "2027-08-28", "Tom")
    return [
        file(tmp_path / "tom.csv", toms, wrong),
        # the same phone later: one taken back, one more
        file(tmp_path / "tom-2.csv", toms, wrong, untick(wrong), tick(pond, "ccccc", "2027-09-08", "Tom")),
        # another phone ticked the same job, a day later
        file(tmp_path / "ann.csv", tick(clip, "ddddd", "2027-08-29", "Ann")),
    ]  # fmt: skip


def test_phones_merge_to_the_same_log_in_any_order_and_twice(place, tmp_path):
    files = three_phones(place, tmp_path)
    want = None
    for order in itertools.permutations(files):
        (place / "log.csv").unlink(missing_ok=True)
        for path in (*order, *order):
            run("done", place, "--from", path)
        if want is None:
            want = lines(place)
            assert len(want) == 5
        assert lines(place) == want
    assert done(place) == {("Pines", "clip"): "2027-08-28", ("Pond", "clip"): "2027-09-08"}
    before = (place / "log.csv").read_bytes()
    said = run("merge", place, *files).stdout
    assert (place / "log.csv").read_bytes() == before
    assert "0 lines added to log.csv, 4 in it already" in said
    # a job ticked on two phones counts once, and that is said with the line to mend
    run("build", place)
    report = json.loads((place / "out" / "report.json").read_text())
    (note,) = [n for n in report["notes"] if n["code"] == "log-ticked-twice"]
    assert "August 29, 2027, Ann" in note["text"]
    assert "August 28, 2027, Tom" in note["text"]
    assert {t["id"][-5:]: t["taken_back"] for t in report["ticks"]} == {
        "bbbbb": False, "ccccc": False, "ddddd": False, "wwwww": True,
    }  # fmt: skip


def test_every_new_tick_is_told(place, tmp_path):
    files = three_phones(place, tmp_path)
    said = run("done", place, "--from", files[0], "--from", files[1]).stdout
    assert "Pines: clip, August 28, 2027, Tom\n" in said
    assert "Gate: clip was taken back again, and counts for nothing" in said
    told = json.loads(run("done", place, "--from", files[2], "--json").stdout)
    assert [line["planned"] for line in told["lines"]] == [True]


def test_a_job_keeps_its_letters_when_its_day_its_ground_or_the_place_is_renamed(
    place, monkeypatch
):
    before = jobs(place)
    uids = {t["job"]: t["uid"] for t in year(place)}
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1821052800")  # a week on
    later = jobs(place)
    assert set(before.values()) <= set(later.values())
    run("set", place, 'area["Pines"].plant', "2027-10-16")
    moved = {key[:2]: letters for key, letters in jobs(place).items() if key[0] == "Pines"}
    assert moved == {k[:2]: v for k, v in later.items() if k[0] == "Pines"}
    run("set", place, 'area["Pines"].feature', "Pines")
    run("set", place, 'area["Pines"].was', '["Pines"]')
    run("set", place, 'area["Pines"].name', "Tall pines")
    named = {k[1]: v for k, v in jobs(place).items() if k[0] == "Tall pines"}
    assert named == {k[1]: v for k, v in later.items() if k[0] == "Pines"}
    run("set", place, 'area["Vine"].feature', "Vine")
    run("set", place, 'area["Vine"].was', '["Vine"]')
    run("set", place, 'area["Vine"].name', "Old vine")
    assert {k[1:]: v for k, v in jobs(place).items() if k[0] == "Old vine strip"} == {
        k[1:]: v for k, v in later.items() if k[0] == "Vine strip"
    }
    # the place's first name is kept as its id, and said; calendars know it still
    said = run("set", place, "property.name", "Sand hill")
    assert 'property.id = "Sand ridge" too' in said.stderr + said.stdout
    assert set(jobs(place).values()) == set(later.values())
    moved_plot = {v for k, v in later.items() if k[0] == "Pines"}
    same = {t["job"]: t["uid"] for t in year(place) if t["job"] in set(uids) - moved_plot}
    assert same == {letters: uids[letters] for letters in same}
    assert len(same) > 20
    # one more name changes nothing more
    run("set", place, "property.name", "Sand hills")
    assert set(jobs(place).values()) == set(later.values())


def test_a_tick_made_before_a_planting_moved_still_counts(place, tmp_path):
    clip = job(place, "Pines", "clip")
    run("set", place, 'area["Pines"].plant', "2027-10-16")
    run(
        "done", place, "--from", file(tmp_path / "t.csv", tick(clip, "bbbbb", "2027-08-30"))
    )
    assert done(place) == {("Pines", "clip"): "2027-08-30"}


def test_a_ticked_job_is_that_one_whatever_its_day(place, tmp_path):
    cuts = [t for t in year(place) if t["task"] == "strip cut"]
    first, second = cuts[0], cuts[1]
    # cut long after its day, and so near the next one's
    on = min(second["earliest"], "2027-09-09")
    run("done", place, "--from", file(tmp_path / "t.csv", tick(first, "bbbbb", on)))
    states = {t["job"]: (t["state"], t["scheduled"]) for t in year(place)}
    assert states[first["job"]] == ("done", on)
    assert states[second["job"]][0] != "done"


def test_a_part_of_a_job_is_ticked_by_itself(place, tmp_path):
    run("set", place, "work.hours_day", "0.9")
    parts = [
        t for t in year(place) if t["area"] == "Pond" and t["label"].startswith("clip")
    ]
    assert len(parts) >= 2
    run(
        "done",
        place,
        "--from",
        file(tmp_path / "t.csv", tick(parts[1], "bbbbb", "2027-09-08")),
    )
    states = {t["job"]: t["state"] for t in year(place)}
    assert states[parts[1]["job"]] == "done"
    assert states[parts[0]["job"]] != "done"


def test_a_job_that_is_no_longer_planned_is_written_and_said(place, tmp_path):
    ticks = file(
        tmp_path / "t.csv", tick(job(place, "Gate", "clip"), "bbbbb", "2027-09-08")
    )
    run("set", place, 'area["Gate"].plant', "--remove")
    said = run("done", place, "--from", ticks).stdout
    assert "Gate: clip, September 8, 2027; no such job is in the plan now" in said
    assert dict(lines(place)[0])["area"] == "Gate"


def test_ticks_of_another_place_are_refused_unless_said(place, tmp_path):
    ticks = file(
        tmp_path / "t.csv",
        tick(job(place, "Gate", "clip"), "bbbbb", "2027-09-08"),
        place_id="Elsewhere",
    )
    result = CliRunner().invoke(main, ["done", str(place), "--from", str(ticks)])
    assert result.exit_code == 2
    assert "another place" in result.stderr
    assert lines(place) == []
    run("done", place, "--from", ticks, "--any-place")
    assert len(lines(place)) == 1


def test_a_line_mended_in_the_log_stays_as_it_was_mended(place, tmp_path):
    ticks = file(
        tmp_path / "t.csv", tick(job(place, "Gate", "clip"), "bbbbb", "2027-09-08")
    )
    run("done", place, "--from", ticks)
    log = place / "log.csv"
    log.write_text(log.read_text().replace("2027-09-08", "2027-09-07"))
    said = run("done", place, "--from", ticks).stdout
    assert "1 in it with other cells, which stay" in said
    assert dict(lines(place)[0])["date"] == "2027-09-07"


def test_a_line_written_by_hand_is_not_written_again(place, tmp_path):
    (place / "log.csv").write_text("date,area,task\n2027-09-08,Gate,clip\n")
    ticks = file(
        tmp_path / "t.csv", tick(job(place, "Gate", "clip"), "bbbbb", "2027-09-08")
    )
    said = run("done", place, "--from", ticks).stdout
    assert "1 taken for the same as lines alike in all but the id" in said
    assert len(lines(place)) == 1


def test_a_job_said_done_at_the_terminal_and_ticked_counts_once(place, tmp_path):
    run("done", place, "clipped", "--area", "Gate", "--on", "2027-09-08")
    (line,) = lines(place)
    assert JOB_LINE.fullmatch(dict(line)["id"])
    clip = next(t for t in year(place) if t["area"] == "Gate" and t["task"] == "clip")
    run(
        "done", place, "--from", file(tmp_path / "t.csv", tick(clip, "bbbbb", "2027-09-08"))
    )
    assert done(place)["Gate", "clip"] == "2027-09-08"
    assert "log-ticked-twice" in json.dumps(
        json.loads(run("build", place, "--json").stdout)
    ) or ("ticked twice" in (place / "out" / "report.json").read_text())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["mowed", "--from", "t.csv"], "stands alone"),
        ([], "says nothing of what was done"),
        (["--from", "log.csv"], "is no tick file: it has no column place_id"),
    ],
)
def test_what_cannot_be_is_one_line(place, tmp_path, words, said):
    (tmp_path / "t.csv").write_text("id,date,area,task,place_id\n")
    (tmp_path / "log.csv").write_text("date,area,task\n2027-09-08,Gate,clip\n")
    result = CliRunner().invoke(main, ["done", str(place), *words])
    assert result.exit_code == 2
    assert said in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


def test_a_new_place_has_an_id_of_its_own(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    ids = set()
    for name in ("one", "two"):
        run("new", tmp_path / name, "--name", "Home")
        text = (tmp_path / name / "property.toml").read_text()
        ids.add(text.partition('id = "')[2].partition('"')[0])
    assert len(ids - {""}) == 2


def test_a_file_that_a_spreadsheet_saved_is_read_and_its_days_told(place, tmp_path):
    ticks = file(
        tmp_path / "t.csv", tick(job(place, "Gate", "clip"), "bbbbb", "2027-08-09")
    )
    text = ticks.read_text().replace("2027-08-09", "8/9/2027").replace(",", ";")
    ticks.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    result = run("done", place, "--from", ticks)
    assert "are read month first: August 9, 2027" in result.stderr
    assert dict(lines(place)[0])["date"] == "2027-08-09"


def test_a_line_that_is_cut_short_stops_its_file_and_is_named(place, tmp_path):
    ticks = file(
        tmp_path / "t.csv", tick(job(place, "Gate", "clip"), "bbbbb", "2027-08-09")
    )
    ticks.write_text(ticks.read_text() + "bcdfghjkm-nprst,2027-08-09,Gate\n")
    result = CliRunner().invoke(main, ["done", str(place), "--from", str(ticks)])
    assert result.exit_code == 2
    assert "line 3: has no task" in result.stderr
    assert lines(place) == []
