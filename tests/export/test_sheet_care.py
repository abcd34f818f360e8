"""What a piece's own sheet tells to take care of."""

import pytest
from record_of import record_of

from quietacre.export.sheets.care import care_of
from quietacre.report_records import AreaReport


def note(code, level):
    return {"code": code, "level": level, "head": f"about {code}", "more": "", "help": (),
            "cited": ""}  # fmt: skip


def test_advice_for_the_field_stands_on_the_sheet_though_it_is_no_doubt():
    piece = {
        "notes": (note("summer-weeds", "info"), note("surplus", "info")),
        "need": {"notes": (note("baiting-law", "info"), note("ph-too-low", "caution"))},
    }
    told = [text for _, text, _ in care_of(record_of(AreaReport, piece))]
    assert told == [
        "Note: About summer-weeds.", "Note: About baiting-law.", "Caution: About ph-too-low.",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "ways", "last"),
    [
        ("strip-narrow", 3, "3. Way 3."),
        ("strip-narrow", 4, "1 more way to mend it: see Look into."),
        ("strip-narrow", 5, "2 more ways to mend it: see Look into."),
        ("wide-interval", 1, "1 way to mend it: see Look into."),
        ("wide-interval", 3, "3 ways to mend it: see Look into."),
    ],
)
def test_a_sheet_shows_some_ways_and_counts_the_others(code, ways, last):
    help_ = tuple(f"way {n}" for n in range(1, ways + 1))
    piece = {"notes": ({**note(code, "warning"), "help": help_},)}
    told = [text for _, text, _ in care_of(record_of(AreaReport, piece))]
    assert told[0] == f"Warning: About {code}."
    assert told[-1] == last
    assert len(told) == 1 + (1 if code == "wide-interval" else min(ways, 3) + (ways > 3))
