"""Logs of any manner: what is added is read back, the rest stays, and merging settles."""

import csv
import datetime as dt
import io

from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.edit.logtext import read_log_text, with_lines
from quietacre.edit.merge import merge
from quietacre.logbook import NAMES, NEEDED

WORDS = st.text(
    st.characters(blacklist_categories=("Cs", "Cc", "Zl", "Zp")), min_size=1, max_size=12
).map(str.strip)
OPTIONAL = st.sampled_from([name for name in NAMES if name not in NEEDED])


@st.composite
def lines(draw, count=4, cells=WORDS):
    """Return typed lines with a day, an area and a task."""
    made = []
    for _ in range(draw(st.integers(0, count))):
        line = {
            "date": draw(st.dates(dt.date(2027, 1, 1), dt.date(2027, 12, 31))).isoformat(),
            "area": draw(cells.filter(bool)), "task": draw(cells.filter(bool)),
        }  # fmt: skip
        line |= draw(st.dictionaries(OPTIONAL, cells.filter(bool), max_size=3))
        made.append(line)
    return made


@st.composite
def files(draw):
    """Return the bytes of a log in some manner."""
    more = draw(st.lists(OPTIONAL, unique=True, max_size=4))
    names = draw(st.permutations([*NEEDED, *more]))
    names += draw(st.sampled_from([[], [""], ["sky"]]))
    mark = draw(st.sampled_from(",;\t"))
    quoting = draw(st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]))
    out = io.StringIO(newline="")
    end = draw(st.sampled_from(["\n", "\r\n"]))
    writer = csv.writer(out, delimiter=mark, quoting=quoting, lineterminator=end)
    writer.writerow(names)
    for line in draw(lines()):
        row = [line.get(name, "") for name in names]
        writer.writerow(row[: draw(st.integers(3, len(row)))])
    text = out.getvalue()
    if draw(st.booleans()):
        text = text.removesuffix(end)
    encoding = draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]))
    return text.encode(encoding), encoding


def read_apart(data, encoding):
    """Return the rows by the standard library alone."""
    text = data.decode(encoding)
    head = text.splitlines()[0]
    return list(
        csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=head.count))
    )


@given(files(), lines())
@settings(max_examples=300, deadline=None)
def test_added_lines_are_read_back_and_all_else_stays(file, new):
    data, encoding = file
    log = read_log_text(data)
    after = with_lines(log, new).data
    before, now = read_apart(data, encoding), read_apart(after, encoding)
    assert now[0][: len(before[0])] == before[0]
    assert now[1 : len(before)] == before[1:]
    head = [name.strip().casefold() for name in now[0]]
    for wanted, row in zip(new, now[len(before) :], strict=True):
        held = {name: cell for name, cell in zip(head, row, strict=True) if cell}
        assert {name: cell.removeprefix("'") if cell[1:2] in "=+-@＝＋－＠'" else cell
                for name, cell in held.items()} == {
            name: cell.removeprefix("'") if cell[:1] == "'" and cell[1:2] in "=+-@＝＋－＠'"
            else cell for name, cell in wanted.items()}  # fmt: skip
        assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row)
    # byte for byte: two pieces put in, nothing else touched
    start = next(
        (n for n, (a, b) in enumerate(zip(data, after, strict=False)) if a != b), len(data)
    )
    cut = len(after) - len(data)
    assert any(
        after[:at] + after[at + size : at + size + len(data) - at] == data
        for at in range(max(0, start - 40), start + 1)
        for size in range(cut + 1)
    )


def marks(data):
    return sorted(
        (cells.get("id", ""), cells["task"] == "undo")
        for _, cells in read_log_text(data).typed()
    )


def merged(own, *others):
    result = merge(read_log_text(own), [read_log_text(other) for other in others],
                   alike="more", changed="both")  # fmt: skip
    return with_lines(read_log_text(own), result.lines).data


PLAIN = st.sampled_from(["a", "b"])
HEAD = b"id,date,area,task,minutes\n"


@st.composite
def logs(draw, named):
    """Return a log of few different lines, so that many are alike; with ids or without."""
    letters = draw(st.permutations("bcdfghjk")) if named else [""] * 8
    rows = [
        f"{letters[n]},2027-05-0{draw(st.integers(1, 2))},{draw(PLAIN)},{draw(PLAIN)},"
        f"{draw(st.sampled_from(['', '30']))}\n"
        for n in range(draw(st.integers(0, 6)))
    ]
    return HEAD + "".join(rows).encode()


@given(st.booleans().flatmap(logs), st.booleans().flatmap(logs))
def test_merged_once_more_changes_nothing(own, other):
    once = merged(own, other)
    assert merged(once, other) == once
    assert merged(once, own) == once


@given(logs(named=False))
def test_every_line_of_a_file_is_there_once_and_alike_ones_stay_apart(other):
    assert len(read_log_text(merged(HEAD, other)).lines) == other.count(b"\n") - 1
    assert merged(other, other) == other


@given(logs(named=False), st.data())
def test_a_file_that_grows_and_is_merged_at_each_stage_ends_as_if_merged_once(other, data):
    whole = other.splitlines(keepends=True)
    cut = data.draw(st.integers(1, len(whole)))
    step = merged(HEAD, b"".join(whole[:cut]))
    assert marks(merged(step, other)) == marks(merged(HEAD, other))


@given(logs(named=True), logs(named=True))
def test_the_order_of_files_with_ids_does_not_matter(one, other):
    assert marks(merged(HEAD, one, other)) == marks(merged(merged(HEAD, one), other))
    names = {mark for file in (one, other) for mark in marks(file)}
    assert names <= set(marks(merged(HEAD, other, one)))
