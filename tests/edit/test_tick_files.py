"""Tick files of phones that went any way: the log is the same set of lines, and counts the same."""

import datetime as dt

from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.edit.logtext import read_log_text, with_lines
from quietacre.edit.merge import merge
from quietacre.edit.ticks import tick_file
from quietacre.logbook import JOB_LINE, id_of, job_of
from quietacre.model import Job
from quietacre.record.book import book_of
from quietacre.settings import Area, Property, PropertyInfo

PLACE = Property(PropertyInfo("Home"), area=(Area("Field", "plot", "a.gpx"), Area("Gate", "plot", "b.gpx")))  # fmt: skip
OWN = "bcdfg"
JOBS = [("Field", "clip"), ("Field", "lime"), ("Gate", "clip")]
HEAD = "id,date,area,task,who,place_id\r\n"

#: What a phone did: (job, own letters, day, who), ticked; whether it was taken back later.
events = st.lists(
    st.tuples(
        st.sampled_from(range(len(JOBS))), st.sampled_from(range(6)), st.integers(1, 28),
        st.sampled_from(["", "Ann", "=Tom", 'O"Neil, Sue']), st.booleans(),
    ),
    max_size=8, unique_by=lambda one: one[:2],
)  # fmt: skip


def cell(text):
    text = "'" + text if text.startswith("=") else text
    return '"' + text.replace('"', '""') + '"' if '"' in text or "," in text else text


def lines_of(some, phone, back):
    out = []
    for number, own, day, who, taken_back in some:
        area, task = JOBS[number]
        name = f"{id_of(area + task)}-{OWN[phone]}{'hjkmnp'[own]}bbb"
        assert JOB_LINE.fullmatch(name)
        out.append(f"{name},2027-07-{day:02d},{area},{task},{cell(who)},xwv\r\n")
        if taken_back and back:
            out.append(f"{name},2027-07-{day:02d},{area},undo,,xwv\r\n")
    return HEAD + "".join(out)


def merged(files):
    log = read_log_text(b"date,area,task\n")
    for text in files:
        ticks = tick_file(read_log_text(text.encode(), "t.csv"))
        result = merge(log, [ticks.log], alike="same", changed="ours")
        assert not result.questions
        if result.lines:
            log = read_log_text(with_lines(log, result.lines).data)
    return log


def told(log):
    lines = sorted(tuple(sorted(cells.items())) for _, cells in log.typed())
    jobs = [
        Job(dt.date.fromisoformat(c["date"]), c["area"], c["task"], line=n, id=c["id"])
        for n, c in log.typed()
    ]
    book = book_of(jobs, PLACE)
    return lines, {key: entry.on for key, entry in book.ticked().items()}, book.days_done()


@given(st.lists(events, min_size=1, max_size=3), st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None)
def test_any_order_and_any_number_of_times_make_the_same_log(phones, random):
    # each phone handed over a file early, another when all was done
    files = []
    for phone, some in enumerate(phones):
        early = some[: random.randint(0, len(some))]
        files += [lines_of(early, phone, back=False), lines_of(some, phone, back=True)]
    plain = told(merged(files))
    mixed = files + random.choices(files, k=3)
    random.shuffle(mixed)
    assert told(merged(mixed)) == plain
    # nothing is lost: every tick is a line; and each job that stands counts once, first day first
    made = {
        name
        for name, *_ in (line.split(",") for f in files for line in f.split("\r\n")[1:-1])
    }
    assert {dict(line)["id"] for line in plain[0]} == made
    standing = {}
    for some in phones:
        for number, _own, day, _who, back in some:
            area, task = JOBS[number]
            if not back:
                key = id_of(area + task)
                on = dt.date(2027, 7, day)
                standing[key] = min(standing.get(key, on), on)
    assert plain[1] == standing
    assert {
        (a, t): (standing[id_of(a + t)],) for a, t in JOBS if id_of(a + t) in standing
    } == plain[2]
    assert all(job_of(name) for name in made)
