"""Every key of property.toml is written, read and cleared through the page."""

import datetime as dt
import json
import tomllib
from pathlib import Path

import pytest
from desk_tab import tab
from key_hand import SCHEMA, Hand

from quietacre.edit.toml_spell import spelled
from quietacre.schema import TABLE_OF, key_paths

pytestmark = pytest.mark.browser
WHOLE = Path(__file__).with_name("every_key.toml")
#: What stands there before: ground is made of files, under "Begin". And one survey of a vine under
#: a key of its own, in the file alone: at the desk every survey goes into their list.
FIRST = {"property": ("id", "name"), "area": ("name", "kind", "from")}
#: Driven by a test of its own below: a place has it or clips.
ELSEWHERE = {"forage.yield_lb_ac"}
#: A second value of each key that cannot be cleared: the table must have it,
ANOTHER = {
    "property.name": "Another name",
    "area.name": "Another name",
    "area.kind": "native",
    "area.from": ["walks/north-bottom-1.gpx", "walks/north-bottom-2.gpx"],
    "weather.from": "walks/creek-shelf.gpx",
    "quiet.name": "fawning",
    "quiet.start": "05-01",
    "quiet.end": "06-30",
    "round.task": "mow roads",
    "round.every": "6 months",
    "round.months": ["11-15", "02-10"],
    "task.task": "walk it",
    "mix.name": "another mix",
    "seed.crop": "arrowleaf clover",
    "soil_test.name": "another test",
    "product.grade": "lime-pel",
    "stock.item": "13-13-13",
    "spray.name": "another spray",
    "spray.use": "spot spray",
    "forage.deer": 24.5,
    "forage.intake_lb_day": 5,
    "forage.days": 90,
    "forage.utilisation": 0.4,
    "clips.area_ft2": 5,
    "clips.dry_frac": 1,
    "clips.inside_g": [30, 31],
    "clips.outside_g": [10, 11.5],
    "harvest.what": "alfalfa hay",
    "previous.from": "walks/wire-lane.gpx",
    "previous.on": dt.date(2025, 10, 1),
    "feed.spray": "foliar feed",
    "placed.corner": 2,
    "placed.lat": 34.2,
    "placed.lon": -87.6,
    # or another key of it needs it.
    "seed.rate_lb_ac": 8,
    "seed.basis": "bulk",
    "seed.share": 0.25,
    "seed.seeds_ft2": 12,
    "seed.purity": 0.9,
    "seed.germination": 0.7,
    "seed.plant_from": "08-15",
    "seed.plant_to": "11-01",
    "harvest.ton_ac": 3,
    "harvest.bu_ac": 35.5,
}


def first_of(whole):
    """Return the settings that stand there before anything is written through the page."""
    return {
        "property": {key: whole["property"][key] for key in FIRST["property"]},
        "area": [
            {key: area[key] for key in FIRST["area"]}
            | placed_once(area)
            | {key: area[key] for key in ("previous",) if key in area}
            for area in whole["area"]
        ],
    }


def placed_once(area):
    """Return the first known corner of a figure from words: it has no place without one."""
    return {"placed": area["placed"][:1]} if "placed" in area else {}


def walk_over_long_field(folder):
    """Write a walk of the very edge that one feature of a drawing has."""
    drawn = json.loads((folder / "drawn/openings.geojson").read_text())
    (ring,) = (
        one["geometry"]["coordinates"][0]
        for one in drawn["features"]
        if one["properties"]["name"] == "Long field"
    )
    points = "".join(f'<trkpt lat="{lat}" lon="{lon}"/>' for lon, lat in ring)
    (folder / "walks/over-long-field.gpx").write_text(
        '<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
        f"{points}</trkseg></trk></gpx>"
    )


def without_empty(value):
    """Return settings without tables and lists that hold nothing."""
    if isinstance(value, dict):
        some = {key: without_empty(one) for key, one in value.items()}
        return {key: one for key, one in some.items() if one not in ({}, [])}
    return [without_empty(one) for one in value] if isinstance(value, list) else value


@pytest.mark.slow
def test_every_key_is_written_read_and_cleared(browser, desk, sample):
    whole = tomllib.loads(WHOLE.read_text())
    first = first_of(whole)
    walk_over_long_field(sample)
    (sample / "property.toml").write_text(
        "\n".join(f"{key} = {spelled(value, flat=True)}" for key, value in first.items())
    )
    page, said = tab(browser, desk)
    hand = Hand(page, sample, ANOTHER)
    hand.write_all({"use": whole.pop("use")})
    hand.read_all()
    hand.take_all_back()  # no package here has these, and then nothing is measured
    hand.write_all(whole)
    assert hand.file() == {**whole, "use": {}}
    reached = {*hand.reached, *hand.tables}
    assert {".".join(pair) for pair in key_paths()} - reached == ELSEWHERE
    required = {
        f"{TABLE_OF[name]}.{key}"
        for name, part in SCHEMA["$defs"].items()
        for key in part.get("required", ())
    }
    refused = {key for key, why in hand.kept.items() if why}
    for why in filter(None, hand.kept.values()):  # in the words of the boxes
        assert why.startswith("“"), why
        assert "property.toml" not in why, why
    assert refused <= set(ANOTHER)
    assert required & set(hand.kept) <= refused
    hand.read_all()
    hand.take_all_back()
    assert without_empty(hand.file()) == first
    assert all("422" in line for line in said), said  # what cannot be cleared was refused


def test_earlier_surveys_stand_in_one_list_whichever_key_has_them(browser, desk, sample):
    page, said = tab(browser, desk)
    page.click("button[aria-label='Look at Vine hollow']")
    page.wait_for_selector("legend:has-text('Earlier survey')")
    legends = page.locator("legend:has-text('Earlier survey')").all_inner_texts()
    assert legends == ["Earlier surveys"]
    surveys = page.locator("[data-box='area.surveys']")
    surveys.locator("summary:has-text('Add one')").click()
    form = surveys.locator("form")
    form.locator("[data-box='previous.from'] input").fill("walks/vine-2025.gpx")
    form.locator("[data-box='previous.on'] input").fill("2024-10-12")
    form.locator("button.first").click()
    kept(page)
    patch = settings(sample)["area"][6]
    assert [str(one["on"]) for one in (*patch["surveys"], patch["previous"])] == [
        "2024-10-12", "2025-10-20",
    ]  # fmt: skip
    rows = surveys.locator(":scope > details > summary").all_inner_texts()
    assert [row for row in rows if row.startswith("the survey of")] == [
        "the survey of Sat, October 12, 2024", "the survey of Mon, October 20, 2025",
    ]  # fmt: skip
    last = surveys.locator("[data-box='area.previous']")
    last.locator("summary").click()
    last.get_by_role("button", name="Take the survey of Mon, October 20").click()
    kept(page)
    assert "previous" not in settings(sample)["area"][6]
    assert said == []


def test_a_comma_in_a_line_of_the_history_parts_nothing(browser, desk, sample):
    page, said = tab(browser, desk)
    page.click("button[aria-label='Look at North bottom']")
    page.click("summary:has-text('For the next person')")
    box = page.locator("[data-box='area.history'] textarea")
    lines = tomllib.loads((sample / "property.toml").read_text())["area"][0]["history"]
    assert any("," in line for line in lines)
    assert box.input_value().split("\n") == lines
    box.fill("\n".join([*lines, "2027: rye, late"]))
    box.blur()
    page.wait_for_selector("#said:has-text('Kept')")
    now = tomllib.loads((sample / "property.toml").read_text())["area"][0]["history"]
    assert now == [*lines, "2027: rye, late"]
    assert said == []


def group(page, title):
    """Unfold a group of the settings."""
    page.locator("nav button", has_text="Everything about it").click()
    page.click(f"#main > details > summary:has-text('{title}')")
    return page.locator(f"details:has(> summary:has-text('{title}'))")


def kept(page):
    page.wait_for_selector("#said:has-text('Kept')")
    page.evaluate("document.getElementById('said').textContent = ''")


def settings(sample):
    return tomllib.loads((sample / "property.toml").read_text())


def test_deer_to_feed_are_filled_in_by_clippings_or_yield_and_taken_out(
    browser, desk, sample
):
    page, _ = tab(browser, desk)
    part = group(page, "Deer to feed")
    part.locator("summary:has-text('Fill it in')").click()
    form = part.locator("form")
    for key, value in (("forage.deer", "30"), ("forage.intake_lb_day", "6"), ("forage.days", "60"),
                       ("forage.utilisation", "0.5"), ("clips.area_ft2", "4"), ("clips.dry_frac", "1"),
                       ("clips.inside_g", "40, 35"), ("clips.outside_g", "18, 22")):  # fmt: skip
        form.locator(f"[data-box='{key}'] input").fill(value)
    form.locator("button.first").click()
    kept(page)
    assert settings(sample)["forage"] == {
        "deer": 30, "intake_lb_day": 6, "days": 60, "utilisation": 0.5,
        "clips": {"area_ft2": 4, "dry_frac": 1, "inside_g": [40, 35], "outside_g": [18, 22]},
    }  # fmt: skip
    assert part.get_attribute("open") is not None  # it stays unfolded
    # what grows in place of the clippings: typed first, kept when they go
    grown = part.locator("[data-box='forage.yield_lb_ac']")
    for lb_ac in (3000, 2500):
        grown.locator("input").fill(str(lb_ac))
        grown.locator("input").blur()
        if lb_ac == 3000:
            grown.locator(".fault:has-text('one of them')").wait_for()
            part.get_by_role("button", name="Take Exclosure clippings out").click()
        kept(page)
        assert grown.locator("input").input_value() == str(lb_ac)
        forage = settings(sample)["forage"]
        assert "clips" not in forage
        assert forage["yield_lb_ac"] == lb_ac
    grown.locator("input").fill("")
    grown.locator("input").blur()
    grown.locator(".fault:has-text('one of them')").wait_for()
    part.get_by_role("button", name="Take forage out").click()
    kept(page)
    assert "forage" not in settings(sample)


def test_answers_that_need_each_other_are_kept_together(browser, desk, sample):
    page, _ = tab(browser, desk)
    part = group(page, "What is sown")
    part.locator("summary:has-text('sunflower and millet')").click()
    seed = part.locator("[data-item='mix[2]'] [data-box='mix.seed'] > details").first
    seed.locator("summary").click()

    def answer(key, text):
        box = seed.locator(f"[data-box='seed.{key}']").locator("input, select")
        if box.evaluate("box => box.tagName") == "SELECT":
            box.select_option(text)
        else:
            box.fill(text)
            box.blur()
        return seed.locator(f"[data-box='seed.{key}'] .fault")

    first = answer("plant_from", "4/15")
    page.wait_for_selector(".fault:has-text('a window has two ends')")
    answer("plant_to", "6/10")
    page.wait_for_selector("#said:has-text('Kept, with what waited for it: ')")
    assert first.inner_text() == ""
    now = settings(sample)["mix"][2]["seed"][0]
    assert (now["plant_from"], now["plant_to"]) == ("04-15", "06-10")
    # one rate in the place of another
    page.evaluate("document.getElementById('said').textContent = ''")
    answer("rate_lb_ac", "")
    page.wait_for_selector(
        ".fault:has-text('give “Part of its full rate”, “Pounds an acre” or')"
    )
    answer("share", "0.75")
    kept(page)
    now = settings(sample)["mix"][2]["seed"][0]
    assert now["share"] == 0.75
    assert "rate_lb_ac" not in now
    # both answers are one step: one click takes them back
    page.get_by_role("button", name="Take back the last change").last.click()
    page.wait_for_selector("#said:has-text('Taken back: ')")
    assert settings(sample)["mix"][2]["seed"][0]["rate_lb_ac"] == 8


def test_an_answer_that_waits_is_not_kept_over_another_hands(browser, desk, sample):
    page, _ = tab(browser, desk)
    group(page, "The place")
    frost = page.locator("[data-box='property.first_frost']")
    frost.locator("input").fill("02-01")
    frost.locator("input").blur()
    frost.locator(".fault:has-text('does not come after')").wait_for()
    file = sample / "property.toml"
    text = file.read_text().replace(
        "[property]\n", '[property]\nfirst_frost = "11-01"\n', 1
    )
    file.write_text(text)
    last = page.locator("[data-box='property.last_frost'] input")
    last.fill("01-10")  # with what waits it would be right too
    last.blur()
    kept(page)
    now = settings(sample)["property"]
    assert (now["last_frost"], now["first_frost"]) == ("01-10", "11-01")


def test_a_piece_stays_on_the_page_and_a_row_changed_in_place_is_taken_out(
    browser, desk, sample
):
    page, said = tab(browser, desk)
    page.click("button[aria-label='Look at Vine hollow']")
    page.click("summary:has-text('More on planting and feeding')")
    feed = page.locator("[data-box='area.feed']")
    feed.locator("summary:has-text('Add one')").click()
    feed.locator("form [data-box='feed.spray'] input").fill("foliar feed")
    feed.locator("form [data-box='feed.share'] input").fill("0.25")
    feed.locator("form button.first").click()
    kept(page)
    assert [one["share"] for one in settings(sample)["area"][6]["feed"]] == [0.5, 0.25]
    page.wait_for_selector("h2:has-text('Vine hollow')")
    second = feed.locator(":scope > details").nth(1)
    second.locator("summary").click()
    second.locator("[data-box='feed.share'] input").fill("0.3")
    second.locator("[data-box='feed.share'] input").blur()
    kept(page)
    second.get_by_role("button", name="Take").click()
    kept(page)
    assert [one["share"] for one in settings(sample)["area"][6]["feed"]] == [0.5]
    assert said == []


def test_ground_that_cannot_be_measured_is_listed_and_mended(browser, desk, sample):
    page, _ = tab(browser, desk)
    file = sample / "property.toml"
    file.write_text(
        file.read_text().replace("placed = [{ corner = 1, lat = 34.21084", "# [{ corner", 1)
    )
    page.reload()
    page.wait_for_selector(".doubt:has-text('Spring head')")
    page.wait_for_selector("h2:has-text('20 pieces, not measured')")
    page.click("button[aria-label='Look at Spring head']")
    page.wait_for_selector(".doubt:has-text('figure without a place')")
    page.click("summary:has-text('Pins, tape and deed')")
    placed = page.locator("[data-box='area.placed']")
    placed.locator("summary:has-text('Add one')").click()
    for key, text in (("corner", "1"), ("lat", "34.21084"), ("lon", "-87.6123747")):
        placed.locator(f"form [data-box='placed.{key}'] input").fill(text)
    placed.locator("form button.first").click()
    kept(page)
    page.wait_for_selector("#main p:has-text(' ft round')")
    assert page.locator(".doubt:has-text('figure without a place')").count() == 0


def test_a_list_of_days_is_answered_twice_and_said_where_it_is_none(browser, desk, sample):
    page, _ = tab(browser, desk)
    page.locator("nav button", has_text="Everything about it").click()
    page.click("summary:has-text('Days: quiet')")
    box = page.locator("[data-box='work.extra_days'] input")
    for text in ("2027-09-24", "9/24/2027, 2027-10-01"):
        page.evaluate("document.getElementById('said').textContent = ''")
        box.fill(text)
        box.blur()
        page.wait_for_selector("#said:has-text('Kept')")
    days = tomllib.loads((sample / "property.toml").read_text())["work"]["extra_days"]
    assert [str(day) for day in days] == ["2027-09-24", "2027-10-01"]
    box.fill("next week")
    box.blur()
    page.wait_for_selector("[data-box='work.extra_days'] .fault:has-text('next week')")
