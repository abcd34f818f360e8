"""Values by the type that their key has: what is let pass, and what is told of the rest."""

import datetime as dt
from dataclasses import dataclass, field

import pytest

from quietacre.intake.limits import MAX_NESTING
from quietacre.intake.loose_values import _is_date, loose_types, unfit_values
from quietacre.workweek import FIRST_YEAR, LAST_YEAR


@dataclass
class Inner:
    wide_ft: float | None = None
    bare: bool = False


@dataclass
class Outer:
    count: int = 0
    on: dt.date | None = None
    inner: Inner | None = None
    rows: tuple[Inner, ...] = ()
    by_name: dict[str, Inner] = field(default_factory=dict)
    files: str | tuple[str, ...] = ""
    sizes: float | tuple[float, ...] = 0.0


NUMBER = "should be a number, without quotes"
DATE = "is not a date; write it as 2027-09-26, without quotes"
TYPED = [
    ({"count": 3, "on": dt.date(2027, 1, 1), "inner": {"wide_ft": 2, "bare": True}}, []),
    ({"count": "3"}, [f"count: “3” {NUMBER}"]),
    ({"count": True}, [f"count: true {NUMBER}"]),
    ({"count": False}, [f"count: false {NUMBER}"]),
    ({"inner": {"wide_ft": "0,48"}}, [f"inner.wide_ft: “0,48” {NUMBER}; type 0.48"]),
    ({"inner": {"bare": 1}}, ["inner.bare: should be true or false"]),
    ({"on": 5}, [f"on: “5” {DATE}"]),
    ({"on": "2027-1-1"}, [f"on: “2027-1-1” {DATE}"]),
    ({"rows": [{}, {"bare": "x"}, {"wide_ft": True}]},
     ["rows[2].bare: should be true or false", f"rows[3].wide_ft: true {NUMBER}"]),
    ({"by_name": {"a": {"bare": 0}, "b c": {"bare": 0}}},
     ["by_name.a.bare: should be true or false", 'by_name."b c".bare: should be true or false']),
    ({"files": 3}, []), ({"files": [3]}, []), ({"sizes": [1.0, "2"]}, [f"sizes[2]: “2” {NUMBER}"]),
    ({"sizes": "2"}, [f"sizes: “2” {NUMBER}"]),
    ({"none of ours": 1}, []), ({"rows": 3}, []), ({"inner": 3}, []), ({"by_name": 3}, []),
]  # fmt: skip


@pytest.mark.parametrize(("value", "faults"), TYPED)
def test_values_of_another_type_are_told_with_their_key(value, faults):
    assert list(loose_types(value, Outer, "")) == faults
    assert list(loose_types(value, Outer, "at")) == [f"at.{fault}" for fault in faults]


def test_a_day_that_no_month_has_is_told():
    (fault,) = loose_types({"on": "2027-02-30"}, Outer, "")
    assert fault.startswith("on: “2027-02-30”: ")
    assert DATE not in fault


@pytest.mark.parametrize(
    ("value", "good"),
    [
        (dt.date(FIRST_YEAR, 1, 1), True), (dt.date(LAST_YEAR, 12, 31), True),
        (dt.date(FIRST_YEAR - 1, 12, 31), False), (dt.date(LAST_YEAR + 1, 1, 1), False),
        (dt.datetime(2027, 1, 1, tzinfo=dt.UTC), False), ("2027-01-01", True),
        ("2027-02-30", False), (f"{FIRST_YEAR - 1}-01-01", False), (20270101, False), (None, False),
    ],
)  # fmt: skip
def test_a_day_to_plan_with(value, good):
    assert _is_date(value) is good


def test_numbers_and_years_that_are_none_to_reckon_with():
    document = {
        "a": float("nan"), "b": [1, {"c": float("inf")}], "d": 10**400, "e": True,
        "f": dt.date(FIRST_YEAR - 1, 1, 1), "g": dt.date(LAST_YEAR, 1, 1), "h": "x", "i": 2.5,
    }  # fmt: skip
    words = "is not a number to reckon with; type a plain one"
    assert sorted(unfit_values(document)) == [
        f"a: nan {words}", f"b[2].c: inf {words}", f"d: 1{'0' * 23} {words}",
        f"f: {FIRST_YEAR - 1}-01-01 is no year to plan in; check it",
    ]  # fmt: skip


def test_values_nest_so_deep_and_no_deeper():
    def nested(depth):
        value = 1
        for _ in range(depth):
            value = [value]
        return {"a": value}

    assert list(unfit_values(nested(MAX_NESTING - 1))) == []
    assert list(unfit_values(nested(MAX_NESTING))) == ["nests too deep"]
