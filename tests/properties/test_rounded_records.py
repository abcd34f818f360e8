"""Records with their figures rounded are what report.json holds, whatever stands in them."""

import dataclasses
import datetime as dt
import json
import types
import typing
from collections.abc import Mapping, Sequence

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from record_of import record_of

from quietacre.as_json import as_json, plain, record_keys, rounded
from quietacre.need.records import Need, SeedLine
from quietacre.record.seen import Seen
from quietacre.report_records import AreaReport, Report, StripReport
from quietacre.report_schema import record_hints
from quietacre.year.records import YearReport

NUMBERS = st.floats(-1e6, 1e6) | st.floats(-1e6, 1e6).map(np.float64)
PLAIN = {
    str: st.text(max_size=4), bool: st.booleans(), int: st.integers(-9, 9),
    float: NUMBERS, dt.date: st.dates(dt.date(1950, 1, 1), dt.date(2100, 1, 1)),
}  # fmt: skip


def records(kind, deep=0):
    """Return records of a class with anything in them that its types allow."""
    hints = record_hints(kind)
    told = {name for _, name, _ in record_keys(kind)}
    fields = {
        field.name: values(hints[field.name], deep + 1)
        for field in dataclasses.fields(kind)
        if field.name in told
    }
    return st.builds(kind, **fields)


def values(hint, deep):
    """Return values of a type; far down lists are short."""
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    most = 2 if deep < 3 else 1
    if hint is None or hint is types.NoneType:
        return st.none()
    if hint in PLAIN:
        return PLAIN[hint]
    if dataclasses.is_dataclass(hint):
        return st.deferred(lambda: records(hint, deep))
    if origin is typing.Literal:
        return st.sampled_from(inner)
    if origin in (typing.Union, types.UnionType):
        return st.one_of([values(one, deep) for one in inner])
    if origin is tuple and inner and inner[-1] is not Ellipsis:
        return st.tuples(*[values(one, deep) for one in inner])
    if origin in (tuple, list, Sequence):
        if not inner:
            return st.just(())
        return st.lists(values(inner[0], deep), max_size=most).map(tuple)
    if origin is Mapping:
        return st.dictionaries(st.text(max_size=3), values(inner[1], deep), max_size=most)
    return st.none()


def parts():
    """Return records from all over the report, and its longest branches."""
    return st.one_of(
        [records(kind) for kind in (SeedLine, Need, Seen, AreaReport, StripReport)]
    )


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.one_of(parts(), records(YearReport)))
def test_rounded_records_say_what_report_json_holds(record):
    said = rounded(record)
    assert type(said) is type(record)
    assert plain(said) == plain(record) == as_json(said)
    assert rounded(said) == said
    json.dumps(as_json(said), allow_nan=False)


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(parts())
def test_what_report_json_holds_is_all_of_a_record(record):
    told = plain(record)
    assert plain(record_of(type(record), told)) == told


def test_a_whole_report_of_blanks_is_one():
    assert plain(rounded(record_of(Report, {}))) == plain(record_of(Report, {}))


def test_what_has_no_value_is_none_and_what_needs_no_rounding_stays():
    line = record_of(SeedLine, {"crop": "oats", "lb": float("nan"), "lb_low": 1.23456789})
    said = rounded(line)
    assert (said.lb, said.lb_low, said.crop) == (None, 1.234568, "oats")
    assert rounded(said) is said
    assert rounded((said, said))[0] is said
