"""The page of a year with it: each command on its day, and what it says, in order."""

import datetime as dt
import re
import shlex
from pathlib import Path

from click.testing import CliRunner

from quietacre.cli import main
from quietacre.demo.sample import sample_files
from quietacre.demo.write import write_sample

PAGE = Path(__file__).parents[1] / "docs" / "a-year-with-it.md"
#: A day that begins a paragraph, or a block and its language.
PARTS = re.compile(
    r"^(?P<day>(?:January|February|March|April|May|June|July|August|September|October|November|"
    r"December) \d{1,2}, 20\d\d)\.|^```(?P<language>sh|text)\n(?P<block>.*?)^```",
    re.MULTILINE | re.DOTALL,
)


def plain(text):
    return " ".join(text.split())


def test_every_line_of_the_year_runs_on_its_day_and_says_what_the_page_says(
    tmp_path, monkeypatch
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "out").mkdir()
    write_sample(tmp_path / "sweetgum-bend")
    walk = sample_files()["walks/vine-2026.gpx"].replace(b"2026-10-18", b"2027-10-16")
    (tmp_path / "new-vine.gpx").write_bytes(walk)
    said, commands, days = "", 0, []
    for part in PARTS.finditer(PAGE.read_text()):
        if part["day"]:
            day = dt.datetime.strptime(part["day"], "%B %d, %Y").replace(tzinfo=dt.UTC)
            assert not days or day > days[-1]
            days.append(day)
            monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(day.timestamp())))
        elif part["language"] == "sh":
            said = ""
            for line in part["block"].splitlines():
                result = CliRunner().invoke(main, shlex.split(line)[1:])
                assert result.exit_code == 0, (line, result.output[-600:])
                said += plain(result.output) + " "
                commands += 1
        else:
            for line in part["block"].splitlines():
                assert plain(line) in said, (line, said[-1500:])
    assert commands > 15
    assert len(days) > 9
    # the record holds the year: nothing of it was lost on the way
    log = (tmp_path / "sweetgum-bend" / "log.csv").read_text()
    assert sum("2027-" in line for line in log.splitlines()) >= 12
    kept = tmp_path / "sweetgum-bend" / "years" / "2027"
    assert (kept / "map.html").is_file()
    assert (kept / "report.json").is_file()
