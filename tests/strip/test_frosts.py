"""An assumed season of the vine is said, with the frost dates that print has for the state."""

import datetime as dt
import json

import pytest
import shapely

from quietacre.build import plan_property
from quietacre.measure.property import measure_property
from quietacre.shipped import rows, source_titles
from quietacre.strip.frosts import frost_text, printed_frosts
from quietacre.windows import states


def said(folder, more):
    shape = shapely.geometry.mapping(shapely.box(-80.0, 37.0, -79.999, 37.001))
    feature = {"type": "Feature", "properties": {"name": "Vine"}, "geometry": shape}
    whole = {"type": "FeatureCollection", "features": [feature]}
    (folder / "v.geojson").write_text(json.dumps(whole))
    (folder / "property.toml").write_text(
        f'[property]\nname = "x"\n{more}\n'
        '[[area]]\nname = "Vine"\nkind = "patch"\nvine = "kudzu"\nfrom = "v.geojson"\n'
    )
    report, _ = plan_property(measure_property(folder), today=dt.date(2027, 1, 2))
    notes = [note for strip in report["strips"] for note in strip["notes"]]
    return [note["text"] for note in notes if note["code"] == "frost-assumed"]


def test_a_season_that_nobody_gave_is_said_with_what_is_printed(tmp_path):
    (text,) = said(tmp_path, 'state = "VA"')
    assert "a last frost of March 31 and a first frost of November 5 (assumption" in text
    # Virginia's Home Garden Vegetable Planting Guide, 426-331, Virginia Cooperative Extension
    assert (
        "hardiness zone 7a: last April 15 to April 25, first October 15 to October 25"
        in text
    )
    assert "Virginia Cooperative Extension" in text


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('state = "OR"', "none was read for your state: your county extension office"),
        ("", "none was read for your state"),
        ('state = "AR"\nlast_frost = "04-10"', "drawn for a first frost of November 5"),
    ],
)
def test_what_is_not_known_says_whom_to_ask(tmp_path, more, words):
    (text,) = said(tmp_path, more)
    assert words in text
    assert ("last frost of" in text) == ("last_frost" not in more)


def test_a_season_that_was_given_is_not_doubted(tmp_path):
    assert said(tmp_path, 'state = "VA"\nlast_frost = "04-20"\nfirst_frost = "10-20"') == []


def test_every_row_has_a_state_a_source_and_its_days_in_order():
    for row in rows("frosts"):
        assert row["state"] in states()
        assert row["source"] in source_titles()
        assert row["last_from"] <= row["last_to"] < row["first_from"] <= row["first_to"]
    east_and_south = {
        "AL", "AR", "FL", "GA", "IL", "IN", "KY", "LA", "MD", "MI", "MO", "NC", "NJ", "NY", "OH",
        "OK", "PA", "SC", "TN", "TX", "VA", "WI", "WV",
    }  # fmt: skip
    assert east_and_south <= set(printed_frosts())
    assert "OR" not in printed_frosts()
    assert frost_text("WV") == (
        "printed for West Virginia, Charleston airport: last April 16, first October 24 (U.S. "
        "Climate Normals 1981-2010, at airports: even odds of 32 °F (the autumn day is the last "
        "of spring plus the length of the season), NOAA National Centers for Environmental "
        "Information, n.d.)."
    )


def test_the_autumn_day_that_is_worked_agrees_with_days_that_were_printed():
    """Two prints of the National Weather Service stand beside days worked from the normals."""
    days = {(s, one.part): one for s, some in printed_frosts().items() for one in some}
    # "the median average date for the first freeze at Birmingham is November 10th" (1971-2000):
    # news page of the National Weather Service, Birmingham, 2010
    worked = dt.date(2001, 11, 10) - dt.date.fromisoformat(
        f"2001-{days['AL', 'Birmingham airport'].first[0]}"
    )
    assert abs(worked.days) <= 3
    # Raleigh, NC State Extension: last April 8, first October 30; the normals of Greensboro and
    # Charlotte beside it stand within a week
    for part in ("Greensboro airport", "Charlotte airport"):
        for mine, theirs in (
            (days["NC", part].last[0], days["NC", "Raleigh"].last[0]),
            (days["NC", part].first[0], days["NC", "Raleigh"].first[0]),
        ):
            apart = dt.date.fromisoformat(f"2001-{mine}") - dt.date.fromisoformat(
                f"2001-{theirs}"
            )
            assert abs(apart.days) <= 7
