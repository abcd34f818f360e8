"""The process beside the server: what was asked once is never done twice."""

import subprocess
import sys

import pytest

from quietacre.desk import worker
from quietacre.desk.worker import ENDED, Worker

#: Notes each question; ends at once, after it, or answers.
SCRIPT = """
import json, sys
note, ways = sys.argv[1], sys.argv[2:]
with open(note) as seen:
    starts = seen.read().count("start")
with open(note, "a") as seen:
    seen.write("start\\n")
way = ways[min(starts, len(ways) - 1)]
if way == "over":
    sys.exit()
for line in sys.stdin:
    with open(note, "a") as seen:
        seen.write("asked\\n")
    if way == "dies":
        sys.exit()
    print(json.dumps({"code": 0, "out": "done", "err": ""}), flush=True)
"""


@pytest.fixture
def beside(tmp_path, monkeypatch):
    made = []

    def begin(*ways):
        script, note = tmp_path / "beside.py", tmp_path / "note.txt"
        script.write_text(SCRIPT)
        note.write_text("")

        def program(*_words, stdin, stderr):
            process = subprocess.Popen(
                [sys.executable, str(script), str(note), *ways],
                stdin=stdin, stdout=subprocess.PIPE, stderr=stderr, text=True,
            )  # fmt: skip
            if ways[min(note.read_text().count("start"), len(ways) - 1)] == "over":
                process.wait(30)
            return process

        monkeypatch.setattr(worker, "_program", program)
        made.append(Worker())
        return made[0], note

    yield begin
    for one in made:
        one.close()


def test_what_ended_after_it_was_asked_is_not_asked_again(beside):
    work, note = beside("dies", "answers")
    answer = work.run(["log"])
    assert (answer.code, answer.err) == (1, ENDED)
    assert note.read_text().split() == ["start", "asked"]
    assert work.run(["log"]).out == "done"
    assert note.read_text().split() == ["start", "asked", "start", "asked"]


def test_what_changes_nothing_is_asked_once_more(beside, tmp_path):
    work, note = beside("dies", "answers")
    assert work.ground(tmp_path).out == "done"
    assert note.read_text().split() == ["start", "asked", "start", "asked"]


def test_what_was_over_before_it_was_asked_is_begun_anew(beside):
    work, note = beside("over", "answers")
    assert work.run(["log"]).out == "done"
    assert note.read_text().split() == ["start", "start", "asked"]


def test_what_never_reads_says_so_and_ends(beside):
    work, note = beside("over")
    assert work.run(["log"]).err == ENDED
    assert note.read_text().split() == ["start", "start"]


def test_a_desk_that_ends_does_nothing_more(beside):
    work, note = beside("answers")
    work.close()
    assert work.run(["log"]).code == 1
    assert note.read_text() == ""
