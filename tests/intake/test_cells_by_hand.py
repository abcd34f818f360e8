"""Tables cell by cell: rows and their lines, vertices, shapes in words, and days of weather."""

import datetime as dt

import numpy as np
import pytest
import shapely

from quietacre.errors import FileProblem
from quietacre.intake.rows import (
    check_year,
    checked_names,
    column_names,
    day_in,
    mark_between,
    named_rows,
    number_in,
    plain_rows,
)
from quietacre.intake.vector import read_layer
from quietacre.intake.weather import read_weather
from quietacre.workweek import LAST_YEAR


def refused(reader, *given, **more):
    with pytest.raises(FileProblem) as problem:
        list(reader(*given, **more))
    return str(problem.value)


# rows


def test_rows_carry_the_line_they_end_on():
    text = 'a,b\n\n1,"x\ny"\r\n\r3,4'
    assert list(plain_rows(text, "t")) == [
        (1, ["a", "b"]), (4, ["1", "x\ny"]), (6, ["3", "4"])
    ]  # fmt: skip
    assert list(plain_rows("", "t")) == []


@pytest.mark.parametrize(
    ("text", "mark"),
    [("a;b;c,d", ";"), ("a\tb,c\td", "\t"), ("a,b;c", ","), ("\n \na;b", ";"), ("", ","), ("a", ",")],
)  # fmt: skip
def test_what_parts_the_cells_is_what_the_first_line_has_most_of(text, mark):
    assert mark_between(text) == mark


def test_cells_may_be_so_long_and_no_longer():
    assert list(plain_rows("a,bcd", "t", most_signs=3)) == [(1, ["a", "bcd"])]
    assert refused(plain_rows, "a\nb,bcde", "t", most_signs=3) == (
        "t: line 2: is not a table (a cell of more than 3 signs); save it as CSV again"
    )
    assert refused(plain_rows, "a\n" + "b" * 131_073, "t") == (
        "t: line 2: is not a table (a cell of more than 131,072 signs); save it as CSV again"
    )
    assert len(list(plain_rows("b" * 131_072, "t"))) == 1


def test_a_quote_that_swallows_rows_is_told_where_it_opens():
    assert refused(plain_rows, 'a,b\nc,"d\ne,f\n', "t") == (
        "t: line 2: a quote is opened and not closed where its cell ends; "
        "close it, or take it away"
    )
    assert refused(plain_rows, 'a,b\n1,2\nc,"d\ne"f,g\nh,i\n', "t").startswith(
        "t: line 3: "
    )
    assert list(plain_rows('a;b\n"c\nd";e', "t"))[1] == (3, ["c\nd", "e"])


def test_rows_by_the_names_of_their_columns():
    text = " Date ;AREA;\n1; x\n ;;\n2;y;;\n3;y;\n"
    assert list(named_rows(text, "t")) == [
        (2, {"date": "1", "area": " x", "": ""}),
        (4, {"date": "2", "area": "y", "": ""}),
        (5, {"date": "3", "area": "y", "": ""}),
    ]
    assert refused(named_rows, "a,b\n1,2,3", "t") == (
        "t: line 2: has more values than there are columns (decimal commas?); "
        "save it with decimal points"
    )
    assert list(named_rows("a,b\n1,2,3", "t", more=True)) == [(2, {"a": "1", "b": "2"})]
    assert list(named_rows("a,b\n1,2, ,", "t")) == [(2, {"a": "1", "b": "2"})]
    assert list(named_rows("", "t")) == []
    assert refused(named_rows, "a,bcde\n", "t", most_signs=3).startswith("t: line 1: ")


def test_columns_that_are_missing_or_come_twice():
    assert column_names(" A ,b,B\n", "t") == ["a", "b", "b"]
    assert column_names("", "t") == []
    assert refused(column_names, "abcd", "t", most_signs=3).startswith("t: line 1: ")
    assert checked_names(["A", "", " ", "b"], "t", 1, need=("b",)) == ["a", "", "", "b"]
    assert refused(checked_names, ["a"], "t", 1, need=("a", "b", "c")) == (
        "t: has no column b; begin it with a line such as a,b,c"
    )
    assert refused(checked_names, ["c", "a", "A", "C"], "t", 7) == (
        "t: line 7: has two columns named a; rename or delete one"
    )
    assert refused(named_rows, "", "t", need=("a",)) == (
        "t: has no column a; begin it with a line such as a"
    )
    assert refused(named_rows, "\n\na,a\n", "t").startswith("t: line 3: ")


def test_numbers_of_cells():
    assert number_in(" -1.5 ", "x", "mend", "t", 1) == -1.5
    assert number_in("1e3", "x", "mend", "t", 1) == 1000.0
    words = {
        "1,5": "size “1,5” has a decimal comma; save it with decimal points",
        "1,5,0": "size “1,5,0” is not a number; mend",
        "1.0,5": "size “1.0,5” is not a number; mend",
        "1_0": "size “1_0” is not a number; mend",
        "nan": "size “nan” is not a number; mend",
        "": "size “” is not a number; mend",
        "x" * 50: "size “" + "x" * 40 + "” is not a number; mend",
    }
    for cell, text in words.items():
        assert refused(number_in, cell, "size", "mend", "t", 9) == f"t: line 9: {text}"
    assert refused(number_in, "x", "", "mend", "t", 9) == (
        "t: line 9: “x” is not a number; mend"
    )


def test_days_of_cells():
    assert day_in(" 2027-07-04 ", "t", 3) == dt.date(2027, 7, 4)
    assert refused(day_in, "July the fourth of that year", "t", 3) == (
        "t: line 3: “July the fourth of t” is not a date; write it as 2027-07-04"
    )
    for year in (1700, LAST_YEAR):
        assert check_year(dt.date(year, 1, 1), "t", 3) is None
    for year in (1699, LAST_YEAR + 1):
        assert refused(check_year, dt.date(year, 12, 31), "t", 3) == (
            f"t: line 3: {year}-12-31 cannot be; check its year"
        )
    assert refused(day_in, "1699-12-31", "t", 3).endswith("check its year")


# shapes of tables


def table(tmp_path, text):
    path = tmp_path / "a.csv"
    path.write_text(text)
    return read_layer(path, shown="t")


def rings(layer):
    return [shapely.get_coordinates(shape)[:-1].tolist() for shape in layer.geometry]


SQUARE = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]]


@pytest.mark.parametrize(
    "head", ["lon,lat", "x,y", "longitude,latitude", "long,lat", "lng,lat"]
)
def test_a_table_of_vertices_is_a_ring(tmp_path, head):
    layer = table(tmp_path, f"{head}\n0,0\n1,0\n1,1\n")
    assert rings(layer) == [SQUARE]
    assert (layer.name, layer.feature, layer.notes) == (("",), ("its ring",), ())


def test_rings_are_told_apart_by_name_and_by_part(tmp_path):
    rows = [(0, 0), (1, 0), (1, 1)]
    lines = ["name,area,lon,lat,part"]
    for name, area, part in (("A", "x", 1), ("A", "x", 2), ("", "B", 1)):
        lines += [f"{name},{area},{x + part},{y},{part}" for x, y in rows]
    layer = table(tmp_path, "\n".join(lines))
    assert layer.name == ("A", "A", "B")
    assert layer.feature == ("ring “A”", "ring “A”", "ring “B”")
    assert [ring[0] for ring in rings(layer)] == [[1.0, 0.0], [2.0, 0.0], [1.0, 0.0]]


def test_a_number_for_every_vertex_is_no_part(tmp_path):
    """Three rows with three numbers are one ring; a number that is left out parts nothing."""
    assert rings(table(tmp_path, "id,lon,lat\n1,0,0\n2,1,0\n3,1,1\n")) == [SQUARE]
    rows = "1,0,0\n1,1,0\n1,1,1\n2,5,0\n2,6,0\n"
    assert len(rings(table(tmp_path, f"id,lon,lat\n{rows}2,6,1\n"))) == 2
    assert len(rings(table(tmp_path, f"id,lon,lat\n{rows}"))) == 1
    assert len(rings(table(tmp_path, f"id,lon,lat\n{rows}2,6,1\n,7,7\n,8,8\n,9,7"))) == 1


def test_vertices_out_of_their_order_are_told(tmp_path):
    head = "lon,lat,seq\n"
    good = table(tmp_path, head + "0,0,1\n1,0,1\n1,1,\n0,1,3\n")
    assert rings(good) == [[*SQUARE, [0.0, 1.0]]]
    words = "its rows are not in the order of the column seq; sort them by seq"
    assert refused(table, tmp_path, head + "0,0,1\n1,0,3\n1,1,2\n") == f"t: line 4: {words}"
    ended = head + "0,0,1\n1,0,2\n1,1,3\n0,0,4\n5,5,1\n6,6,2\n"
    assert len(table(tmp_path, ended).name) == 1, "another ring may begin at one again"
    early = head + "0,0,1\n1,0,2\n0,0,3\n5,5,1\n"
    assert refused(table, tmp_path, early) == f"t: line 5: {words}"
    assert refused(table, tmp_path, head + "0,0,x\n").startswith(
        "t: line 2: seq “x” is not a number; mend or delete that row"
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a,b\n1,2\n", "has no longitude and latitude columns, and none of WKT; "
         "name the columns lon and lat (and name), or wkt"),
        ("lon,b\n1,2\n", "has no longitude and latitude columns, and none of WKT; "
         "name the columns lon and lat (and name), or wkt"),
        ("a,lat\n1,2\n", "has no longitude and latitude columns, and none of WKT; "
         "name the columns lon and lat (and name), or wkt"),
        ("lon,lat\n0,0\n1,0\n0,0\n", "its ring: has fewer than three different points; add vertices"),
        ("lon,lat,name\n0,0,A\n", "ring “A”: has fewer than three different points; add vertices"),
        ("lon,lat\nx,0\n", "line 2: longitude “x” is not a number; mend or delete that row"),
        ("lon,lat\n0,x\n", "line 2: latitude “x” is not a number; mend or delete that row"),
        ("wkt\nPOINT\n", "line 2: is not well-known text; export it again"),
        ("wkt\nSRID=26916;POINT (1 2)\n", "line 2: is in SRID=26916; export it in WGS84 (SRID 4326)"),
        ("POLYGON ((0 0, 1 0, 1 1, 0 0))\nPOLYGON\n", "line 2: is not well-known text; export it again"),
    ],
)  # fmt: skip
def test_tables_without_a_shape_are_told(tmp_path, text, words):
    assert refused(table, tmp_path, text) == f"t: {words}"


def test_shapes_in_words_are_read_a_row_or_a_line_each(tmp_path):
    ring = "POLYGON ((0 0, 1 0, 1 1, 0 0))"
    rows = f'wkt;name;kind\n"{ring}";A;plot\nsrid=4326;"B";\n"SRID=4326;{ring}";" C ";\n'
    layer = table(tmp_path, rows.replace("srid=4326", '"srid=4326;"'))
    assert rings(layer) == [SQUARE, SQUARE]
    assert (layer.name, layer.kind) == (("A", "C"), ("plot", ""))
    assert layer.feature == ("line 2", "line 4")
    assert layer.notes[0].head == "1 feature without a shape is left out: line 3."
    bare = table(tmp_path, f"{ring}\n\n{ring.lower()}\n")
    assert (rings(bare), bare.feature) == ([SQUARE, SQUARE], ("line 1", "line 3"))
    sep = table(tmp_path, "sep=;\nlon;lat\n0;0\n1;0\n1;1\n")
    assert rings(sep) == [SQUARE]


# weather


def weather(tmp_path, text):
    path = tmp_path / "w.csv"
    path.write_text(text)
    return read_weather(path, shown="w")


def columns(daily):
    return [
        np.nan_to_num(c, nan=-999.0).tolist()
        for c in (daily.rain_in, daily.low_f, daily.high_f)
    ]


def test_a_plain_table_of_days(tmp_path):
    daily = weather(
        tmp_path,
        "date,inches,low_c,high_f\n2027-01-03,T,0,40\n2027-01-01,0.25,,\n,9,9,9\n"
        "2027-01-01,0.25,-1.5,\n",
    )
    assert (daily.start, daily.source) == (dt.date(2027, 1, 1), "w")
    assert columns(daily) == [[0.25, -999, 0.0], [29.3, -999, 32.0], [-999, -999, 40.0]]
    assert (daily.dropped_by_flag, daily.traces) == (0, 1)


def test_a_record_of_a_station(tmp_path):
    """254 tenths of a millimeter are an inch; 10.0 and -17.8 °C are 50 and 0 °F."""
    daily = weather(
        tmp_path,
        "ID,DATE,ELEMENT,DATA,M,Q,S,TIME\n"
        "X,20270101,PRCP,254,,,0,0700\nX,20270101,TMAX,100,,,0,\nX,20270101,TMIN,-178,,,0\n"
        "X,20270102,PRCP,0,T,,0\nX,20270102,TMAX,500,,X,0\nX,20270103,PRCP,-9999\n"
        "X,20270103,SNOW,5\nX,20270103,TMIN,3\nX,20270102,TMIN,2,H\n",
    )
    assert columns(daily) == [[1.0, 0.0, -999], [0.0, 32.0, 33.0], [50.0, -999, -999]]
    assert (daily.dropped_by_flag, daily.traces) == (1, 1)


def test_a_station_may_begin_with_an_element_that_is_not_used(tmp_path):
    daily = weather(tmp_path, "X,20270101,SNWD,5\nX,20270101,PRCP,254\n")
    assert daily.rain_in.tolist() == [1.0]


FOOT = "name the columns date,inches (and low_f,high_f or low_c,high_c)"
NO_WEATHER = [
    ("a,b\n", f"line 1: is neither GHCN-Daily by station nor a table of days; {FOOT}"),
    ("inches\n", f"line 1: is neither GHCN-Daily by station nor a table of days; {FOOT}"),
    ("date,b\n", f"line 1: is neither GHCN-Daily by station nor a table of days; {FOOT}"),
    (
        "date,inches\n",
        "holds no rain and no temperature; give a GHCN-Daily by-station CSV, or "
        "columns date,inches",
    ),
    ("date,inches\n2027-01-01,80.5\n", "line 2: rain_in 80.5 cannot be; check its units"),
    ("date,inches\n2027-01-01,-1\n", "line 2: rain_in -1 cannot be; check its units"),
    ("date,low_f\n2027-01-01,-130.5\n", "line 2: low_f -130.5 cannot be; check its units"),
    ("date,high_f\n2027-01-01,140.5\n", "line 2: high_f 140.5 cannot be; check its units"),
    (
        "date,inches\n2027-01-01,1\n2027-01-01,2\n",
        "line 3: 2027-01-01 comes twice for rain_in; delete one",
    ),
    (
        "date,low_f,high_f\n2027-01-01,50,49\n",
        "the low of 2027-01-01 is above its high; the columns look swapped; mend it",
    ),
    (
        "date,inches\n2027-01-01,x\n",
        "line 2: “x” is not a number; leave unknown days empty",
    ),
    (
        "X,20270101,PRCP,0\nY,20270102,PRCP,0\n",
        "line 2: is of another station; give one station's file",
    ),
    (
        "X,20270101,PRCP,0\nX,20270102,PRCP\n",
        "line 2: has fewer than four fields; get the file again",
    ),
    (
        "X,20270101,PRCP,0\nX,2027-01-02,PRCP,1\n",
        "line 2: is not a date with a whole number; get the file again",
    ),
    (
        "X,20270101,PRCP,0.5\n",
        "line 1: is not a date with a whole number; get the file again",
    ),
    ("X,16990101,PRCP,5\n", "line 1: 1699-01-01 cannot be; check its year"),
]


@pytest.mark.parametrize(("text", "words"), NO_WEATHER)
def test_weather_that_cannot_be_is_told(tmp_path, text, words):
    assert refused(weather, tmp_path, text) == f"w: {words}"


def test_weather_at_its_limits_is_read(tmp_path):
    daily = weather(
        tmp_path,
        "date,inches,low_f,high_f\n2027-01-01,80,-130,-130\n2027-01-02,0,140,140\n",
    )
    assert columns(daily) == [[80.0, 0.0], [-130.0, 140.0], [-130.0, 140.0]]
    station = "X,20270101,TMIN,110\nX,20270101,TMAX,100\n"
    assert weather(tmp_path, station).low_f.tolist() == [52.0], "its own flags tell"


def test_a_year_of_a_flood_is_taken_for_millimeters(tmp_path):
    """A year of 365 days at 300 in / 365 is the most; 364 days are no year yet."""

    def days(count, inches):
        first = dt.date(2027, 1, 1)
        rows = "".join(f"{first + dt.timedelta(days=n)},{inches}\n" for n in range(count))
        return weather(tmp_path, "date,inches\n" + rows)

    assert len(days(364, 0.9).rain_in) == 364
    assert len(days(365, 0.8125).rain_in) == 365
    text = refused(days, 365, 0.9)
    assert "a year, more than any farm gets; it looks like millimeters; divide" in text
    assert "its rain comes to 32" in text, "365 × 0.9 is 328.5"
