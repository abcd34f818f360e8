"""Numbers in words, days as people write them, archives and settings: each read back.

A number of a deed read wrong is another boundary; a day read month first is a job in another
season.
"""

import datetime as dt
import stat
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st
from settings_said import faults

from quietacre.errors import FileProblem
from quietacre.intake.archive import check_entries, others_inside, unpack
from quietacre.intake.deed import deed_in
from quietacre.intake.deed_words import (
    NumbersDisagreeError,
    plain_text,
    without_what_stands_beside,
)
from quietacre.intake.key_names import key_path, near_word
from quietacre.intake.limits import decode
from quietacre.intake.logdays import Figures, is_day_first, read_day

# numbers in words

ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def in_words(number, joint=" and "):
    if number < 20:
        return ONES[number]
    if number < 100:
        ten, one = divmod(number, 10)
        return TENS[ten - 2] + (f"-{ONES[one]}" if one else "")
    if number < 1000:
        many, rest = divmod(number, 100)
        return f"{ONES[many]} hundred" + (f"{joint}{in_words(rest)}" if rest else "")
    many, rest = divmod(number, 1000)
    return f"{in_words(many, joint)} thousand" + (
        f" {in_words(rest, joint)}" if rest else ""
    )


@given(st.integers(0, 99_999), st.sampled_from([" and ", " "]))
def test_a_number_in_words_is_that_number(number, joint):
    assert plain_text(f"East {in_words(number, joint)} feet") == f"East {number} feet"
    both = f"East {in_words(number, joint).title()} ({number:,}) feet"
    assert plain_text(both) == f"East {number} feet"


def test_words_and_digits_that_disagree_are_refused():
    with pytest.raises(NumbersDisagreeError):
        plain_text("East four hundred (410) feet")
    assert plain_text("N 45º 30’ E, 1,200.5 feet") == "N 45° 30' E, 1200.5 feet"
    assert plain_text("10½ poles,  so") == "10 1/2 poles, so"


@pytest.mark.parametrize(
    ("piece", "left"),
    [
        ("East 400 feet to a 1/2 inch iron pin", "East 400 feet to a pin"),
        ("East 400 feet along County Road 21", "East 400 feet along"),
        ("East 400 feet to the corner of Lot 12", "East 400 feet to the corner of"),
        (
            "East 400 feet, passing a stone at 200 feet, to a stake",
            "East 400 feet, to a stake",
        ),
        ("East 400 feet as of May 3, 1921", "East 400 feet as of"),
        ("East 400 feet (deed 402 feet)", "East 400 feet"),
        ("East 400 feet", "East 400 feet"),
    ],
)
def test_what_bounds_nothing_is_left_out_of_a_call(piece, left):
    found = " ".join(without_what_stands_beside(piece).replace(" ,", ",").split())
    assert found == left


@pytest.mark.parametrize("length", ["0", "0.0", "0/4", "1/0", "9" * 400])
def test_a_call_that_goes_nowhere_is_not_understood(length):
    """A side of no length, or of one no ground has, is a slip of whoever typed the deed."""
    text = f"Beginning at a stone; thence North {length} feet; thence East 400 feet to the beginning."
    call = deed_in(text, "deed.txt").calls[0]
    assert call.leg is None
    assert call.problem


# days

DAYS = st.dates(dt.date(2000, 1, 1), dt.date(2099, 12, 31))


@given(DAYS)
def test_a_day_is_read_however_it_is_written(day):
    name = f"{day:%B}"
    for text in (
        day.isoformat(), f"{day:%Y/%m/%d}", f"{day.year}-{day.month}-{day.day}",
        f"{name} {day.day}, {day.year}", f"{day.day} {name[:3]} {day.year}",
        f"{day.day}-{name[:3]}-{day:%y}", f"{name[:3]}. {day.day} {day.year}",
        str((day - dt.date(1899, 12, 30)).days), f"{day.isoformat()} 07:30",
    ):  # fmt: skip
        assert read_day(text) == day, text
    found = read_day(f"{day.month}/{day.day}/{day.year}")
    assert found == Figures(day.month, day.day, day.year)
    assert found.day(day_first=False) == day
    turned = read_day(f"{day.day}.{day.month}.{day:%y}")
    assert turned.day(day_first=True) == day
    if day.day > 12:
        assert (found.proves, turned.proves) == ("second", "first")
        assert found.day(day_first=True) == day, "no month is over twelve"
        assert is_day_first([turned, None, day])
        assert not is_day_first([found])
        assert not is_day_first([found, turned]), "they prove both"
    else:
        assert (found.proves, turned.proves) == ("", "")
        assert not is_day_first([found, turned])


@pytest.mark.parametrize(
    "text", ["36525", "73051", "2027-02-30", "13/13/2027", "Fob 3 2027", ""]
)
def test_what_is_no_day_is_none(text):
    found = read_day(text)
    assert found is None or found.day(day_first=True) is None


def test_the_ends_of_a_spreadsheets_numbers():
    assert read_day("36526") == dt.date(2000, 1, 1)
    assert read_day("73050") == dt.date(2099, 12, 31)
    assert read_day("Sept 5, 2027") == dt.date(2027, 9, 5)


# archives


def archive(path, *names, data=b"x", **more):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name in names:
            info = zipfile.ZipInfo(name)
            info.compress_type = zipfile.ZIP_DEFLATED
            for key, value in more.items():
                setattr(info, key, value)
            made.writestr(info, data)
    return path


def test_files_of_one_name_stay_together_and_leftovers_are_left(tmp_path):
    path = archive(
        tmp_path / "a.zip", "in/plots.shp", "in/plots.dbf", "more.SHP", "readme.txt",
        "__MACOSX/in/plots.shp", "in/._plots.shp",
    )  # fmt: skip
    found = unpack(path, tmp_path / "out", "a.zip", (".shp", ".dbf"))
    assert [one.name for one in found] == ["in/plots.shp", "in/plots.dbf", "more.SHP"]
    shape, table, other = (one.path for one in found)
    assert shape.parent == table.parent != other.parent
    assert (shape.name, table.name, other.name) == ("file.shp", "file.dbf", "file.shp")
    assert all(one.path.read_bytes() == b"x" for one in found)
    assert others_inside(path, (".txt",)) == ["readme.txt"]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("../a.shp", "reaches outside"),
        ("/a.shp", "reaches outside"),
        ("c:a.shp", "reaches outside"),
        ("in/../../a.shp", "reaches outside"),
        ("in\\..\\..\\a.shp", "reaches outside"),
        ("in/a..shp", None),
    ],
)
def test_an_entry_that_reaches_outside_is_refused(tmp_path, name, words):
    entries = [zipfile.ZipInfo("ok.shp")]
    entries.append(zipfile.ZipInfo("x"))
    entries[-1].filename = name
    if words is None:
        check_entries(entries, "a.zip")
        return
    with pytest.raises(FileProblem, match=words):
        check_entries(entries, "a.zip")


def entry(name="a.shp", **more):
    made = zipfile.ZipInfo(name)
    for key, value in more.items():
        setattr(made, key, value)
    return made


def test_archives_are_held_to_their_limits():
    ten = [entry(f"{n}.shp", file_size=100, compress_size=100) for n in range(10)]
    check_entries(ten, "a", most_entries=10, most_bytes=1000)
    with pytest.raises(FileProblem, match="holds 10 entries; the limit is 9"):
        check_entries(ten, "a", most_entries=9)
    with pytest.raises(FileProblem, match="expands to"):
        check_entries(ten, "a", most_bytes=999)
    for bad, words in (
        ([entry(), entry()], "is in it twice"),
        ([entry(external_attr=stat.S_IFLNK << 16)], "is a link"),
        ([entry(flag_bits=1)], "locked with a password"),
        ([entry(file_size=50_000_000, compress_size=1000)], "expands 50,000-fold"),
    ):
        with pytest.raises(FileProblem, match=words):
            check_entries(bad, "a")
    check_entries([entry(file_size=900_000, compress_size=0)], "a")  # a small one may


# settings


AREA = {"name": "P", "kind": "plot"}


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ({"area": [AREA, {**AREA, "name": "p"}]}, "area[2].name: “p” is the name of area[1] too"),
        ({"area": [{**AREA, "name": " "}]}, "area[1].name"),
        ({"area": [{**AREA, "mix": "none"}]}, "area[1].mix"),
        ({"area": [{**AREA, "feed": [{"spray": "none"}]}]}, "area[1].feed[1].spray"),
        ({"area": [{**AREA, "kind": "plott"}]}, "did you mean “plot”"),
        ({"property": {"last_frost": "04-01", "first_frost": "03-01"}}, "does not come after"),
        ({"property": {"last_frost": "02-31"}}, "is not a day of the year"),
        ({"property": {"first_frost": "03-31"}}, "does not come after"),
        ({"quiet": [{"name": "q", "start": "05-01", "end": "13-01"}]}, "quiet[1].end"),
        ({"quiet": [{"name": "q", "start": "05-01", "end": "06-01", "keeps_out": ["plotz"]}]},
         "“plotz” is neither a kind nor an area; did you mean “plot”"),
        ({"mix": [{"name": "m", "seed": [{"crop": "oats", "plant_from": "09-01"}]}]},
         "a window has two ends"),
        ({"area": [{**AREA, "walked_inside_ft": 3, "walked_outside_ft": 3}]}, "not both"),
        ({"equipment": {"mower_width_ft": "6"}}, "“6” should be a number, without quotes"),
        ({"equipment": {"mower_width_ft": True}}, "true should be a number"),
        ({"equipment": {"mower_width_ft": float("inf")}}, "is not a number to reckon with"),
        ({"area": [{**AREA, "plant": dt.date(1200, 1, 1)}]}, "area[1].plant"),
        ({"area": [{**AREA, "plant": "2027-02-30"}]}, "area[1].plant"),
        ({"area": [{**AREA, "plant": 20270925}]}, "area[1].plant"),
        ({"property": {"keep_vine_confirmed": "yes"}}, "should be true or false"),
        ({"area": [{**AREA, "strip": {"bare": 1}}]}, "should be true or false"),
        ({"area": [{**AREA, "strip": {"bare": True, "mix": "m"}}],
          "mix": [{"name": "m", "seed": [{"crop": "oats"}]}]}, "a bare strip is not sown"),
    ],
)  # fmt: skip
def test_each_fault_is_one_line_with_its_key(tables, words):
    told = faults(**tables)
    assert words in told
    assert "\n" not in told.split(words)[0].rsplit("; ", 1)[-1]


def test_settings_without_a_fault_have_none():
    assert faults(area=[AREA, {**AREA, "name": "Q", "plant": dt.date(2027, 9, 25)}]) == ""
    assert faults(property={"last_frost": "03-30", "first_frost": "11-05"}) == ""


def test_several_faults_are_told_at_once():
    told = faults(area=[{**AREA, "mix": "none"}], equipment={"mower_width_ft": "6"})
    assert "mower_width_ft" in told


@pytest.mark.parametrize(
    ("loc", "text"),
    [
        (("area", 1, "mix"), "area[2].mix"),
        (("area", 0), "area[1]"),
        (("crop", "my oats", "window"), 'crop."my oats".window'),
        (("area", 0, "plant", "tuple[str, ...]"), "area[1].plant"),
    ],
)
def test_a_key_is_told_as_a_person_writes_it(loc, text):
    assert key_path(loc) == text


def test_a_word_that_is_near_is_asked_about_and_another_is_not():
    assert near_word("PLOTT", ["plot", "patch"]) == "; did you mean “plot”?"
    assert near_word("zzz", ["plot", "patch"]) == ""


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_text_is_read_in_what_windows_and_others_save(encoding):
    """A spreadsheet saves “Unicode text” as UTF-16; a plain editor may put a mark before UTF-8."""
    assert decode("Müller's ¼ field".encode(encoding), "log.csv") == "Müller's ¼ field"
    assert decode("ü".encode("utf-16-be").join([b"\xfe\xff", b""]), "log.csv") == "ü"
    assert decode(b"", "log.csv") == ""


def test_what_is_no_text_is_told_with_its_byte():
    with pytest.raises(FileProblem, match=r"byte 3 is not UTF-8"):
        decode(b"abc\xfc", "log.csv")
    with pytest.raises(FileProblem, match="it holds zero bytes"):
        decode(b"abc\x00", "log.csv")
