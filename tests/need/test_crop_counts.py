"""What of the crop table was read is counted from the tables, and cannot be overstated."""

import runpy
from collections import Counter
from pathlib import Path

import pytest

from quietacre.need.tables import MEMORY, crops
from quietacre.shipped import rows
from quietacre.windows import states

PAGE = runpy.run_path(str(Path(__file__).parents[2] / "docs" / "make_crop_page.py"))
REGIONS = {"upper South", "coastal plain", "Midwest"}


def test_cells_read_do_not_fall_nor_those_from_memory_rise():
    count = PAGE["total"]()
    assert count["read"] >= 689
    assert count[MEMORY] <= 40  # one in twenty
    assert sum(count.values()) == 807
    assert count[MEMORY] <= 0.05 * 807
    assert count["blank"] <= 0.10 * 807
    text = Path(__file__).parents[2].joinpath("docs", "crop-table.md").read_text("utf-8")
    assert f"Of 807 cells, {count['read']} (" in text


def test_a_cell_from_memory_stands_alone():
    kinds = Counter()
    for row in rows("crop_figures"):
        kinds[row["crop"], row["figure"], row["source"] == MEMORY] += 1
    both = [key[:2] for key in kinds if key[2] and (key[0], key[1], False) in kinds]
    assert both == []
    assert [key for key, times in kinds.items() if key[2] and times > 1] == []


@pytest.mark.parametrize("table", ["crop_figures", "planting_windows"])
def test_every_row_names_a_crop_a_state_and_a_source_of_the_tables(table):
    known = {row["id"] for row in rows("sources")} | {MEMORY}
    for row in rows(table):
        assert row["crop"] in crops(), row
        assert row["state"] in {*states(), ""}, row
        assert set(row["source"].split(";")) <= known, row
        assert row["source"], row


def test_no_window_is_from_memory_and_each_says_where_it_holds():
    for row in rows("planting_windows"):
        assert row["source"] != MEMORY, row
        regions = {part for part in row["region"].split(";") if part}
        assert regions <= REGIONS, row
        assert row["state"] or regions, row


def test_a_source_is_cited_once_at_most_by_one_figure_of_a_crop_and_state():
    seen = Counter(
        (row["crop"], row["figure"], row["state"], row["low"], row["high"], row["source"])
        for row in rows("crop_figures")
    )
    assert [key for key, times in seen.items() if times > 1] == []


def test_seeds_by_the_gram_are_worked_to_the_pound_as_their_note_says():
    checked = 0
    for row in rows("crop_figures"):
        if row["source"] != "cfr-7-201-46":
            continue
        grams = [float(word) for word in row["note"].split() if word.isdigit()]
        for printed, a_pound in zip(
            (grams[0], grams[-1]), (row["low"], row["high"]), strict=True
        ):
            assert float(a_pound) == pytest.approx(printed * 453.59237, rel=0.005), row
            checked += 1
    assert checked >= 50


def test_no_best_ph_lies_below_what_the_crop_needs_at_least():
    places = [(None, None), *((None, region) for region in sorted(REGIONS))]
    for code, state in states().items():
        places += [(code, region) for region in (None, *state.regions)]
    for place in places:
        for name, crop in crops(*place).items():
            if crop.ph_min is not None and crop.ph_target is not None:
                assert crop.ph_min <= crop.ph_target, (name, place)
