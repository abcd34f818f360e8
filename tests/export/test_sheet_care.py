"""What a piece's own sheet tells to take care of."""

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
