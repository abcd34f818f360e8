"""Docs keep up with the code: links lead somewhere, keys are all explained."""

import dataclasses
import re
from pathlib import Path

import pytest

from quietacre import settings

ROOT = Path(__file__).parents[1]
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")])
KEY = {"files": "from", "file": "from"}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page):
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text()):
        if "://" not in target:
            assert (page.parent / target).exists(), target


def test_every_key_is_explained():
    text = (ROOT / "docs" / "property-file.md").read_text()
    words = set(re.findall(r"[a-z0-9_]+", text))
    missing = [
        f"{cls.__name__}.{field.name}"
        for cls in vars(settings).values()
        if dataclasses.is_dataclass(cls) and cls.__module__.startswith(settings.__name__)
        for field in dataclasses.fields(cls)
        if KEY.get(field.name, field.name) not in words
    ]
    assert missing == []


def test_sample_map_is_the_demo():
    """The finished property in sample_maps holds the very files the demo writes."""
    from quietacre.demo.sample import sample_files

    home = ROOT / "sample_maps" / "sweetgum-bend"
    for name, data in sample_files().items():
        assert (home / name).read_bytes() == data, name
    assert (home / "out" / "map.html").is_file()


def test_the_usual_settings_are_those_the_code_takes():
    text = (ROOT / "docs" / "property-file.md").read_text()
    gear = settings.Equipment()
    for name, feet in (
        ("mower", "width"), ("disk", "width"), ("drag", "width"), ("drill", "width"),
        ("spreader", "swath"), ("spray", "swath"),
    ):  # fmt: skip
        over = f"{gear.mower_overlap_ft:g} " if name == "mower" else ""
        row = (
            f"| {name} | {getattr(gear, f'{name}_{feet}_ft'):g} | {over}| "
            f"{getattr(gear, f'{name}_mph'):g} |"
        )
        assert row in text
    flat = " ".join(text.split())
    buying, work = settings.Buying(), settings.Work()
    for words in (
        f"`tank_gal` is then {gear.tank_gal:g}, `spray_gal_ac` {gear.spray_gal_ac:g}, "
        f"`field_efficiency` {gear.field_efficiency:g}, `fixed_minutes` {gear.fixed_minutes:g}",
        f"`fuel_gal_hr` {gear.fuel_gal_hr:g}",
    ):
        assert words in flat
    for key, usual in (
        ("short_pct", buying.short_pct), ("over_pct", buying.over_pct),
        ("over_lb_ac", buying.over_lb_ac), ("max_products", buying.max_products),
        ("seconds", buying.seconds), ("hours_day", work.hours_day),
        ("trip_minutes", work.trip_minutes), ("weekdays", "sat, sun"),
    ):  # fmt: skip
        told = usual if isinstance(usual, str) else f"{usual:g}"
        assert re.search(
            rf"^\| `{key}` \|.*\| {re.escape(told)} \|$", text, re.MULTILINE
        ), key
    assert (work.weekdays, work.tractors, work.helpers) == (("sat", "sun"), 1, 0)


def test_the_weights_of_growth_are_printed_as_they_are():
    from quietacre.strip.growth import MONTH_WEIGHT

    text = (ROOT / "docs" / "methods-strip.md").read_text()
    assert "| w | " + " | ".join(f"{w:g}" for w in MONTH_WEIGHT) + " |" in text


def test_minutes_that_are_no_field_work_are_printed():
    from quietacre.year.minutes import FOOT_MINUTES
    from quietacre.year.plan import DESK_MINUTES, UNKNOWN_BREAK_MINUTES

    flat = " ".join((ROOT / "docs" / "methods-year.md").read_text().split())
    assert (
        f"Walking jobs take {FOOT_MINUTES:g} minutes, the papers of a burn {DESK_MINUTES:g}, and "
        f"disking a firebreak that is not laid out {UNKNOWN_BREAK_MINUTES:g} (assumptions)"
    ) in flat
