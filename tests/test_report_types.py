"""The types of report.json are made from the records of the report, and say what stands there."""

import json
import sys
from pathlib import Path

import pytest

from quietacre.as_json import record_keys
from quietacre.report_records import AreaReport, Report, StripReport
from quietacre.strip.records import Ring
from quietacre.year.records import YearTask

HOME = Path(__file__).parents[1]
sys.path.insert(0, str(HOME / "docs"))
from make_report_types import files_of_types, keys_of  # noqa: E402

TYPES = HOME / "src" / "quietacre" / "report_json"
SAMPLE = HOME / "sample_maps" / "sweetgum-bend" / "out" / "report.json"


def test_the_types_are_what_the_records_make():
    stands = {
        path.name: path.read_text(encoding="utf-8")
        for path in TYPES.glob("*.py")
        if path.name != "__init__.py"
    }
    assert stands == files_of_types(), "run python docs/make_report_types.py"


def test_every_key_of_the_sample_has_its_type():
    report = json.loads(SAMPLE.read_text(encoding="utf-8"))
    rows = {
        Report: [report],
        AreaReport: report["areas"],
        StripReport: report["strips"],
        YearTask: report["year"]["tasks"],
    }
    for kind, some in rows.items():
        keys = keys_of(kind)
        needed = {name for name, key in keys.items() if not key.may_lack}
        assert some
        for row in some:
            assert needed <= set(row) <= set(keys), kind


def test_keys_of_records_beside_others_are_keys_of_the_whole():
    keys = keys_of(Ring)
    assert "wanted" not in keys  # its keys stand beside the others
    assert keys["width_ft"].types == ("float", "float")
    assert keys["measured"].may_lack  # a strip has it, a firebreak not
    assert not keys["of"].may_lack
    assert set(keys_of(StripReport)) > set(keys)


@pytest.mark.parametrize(
    "word", ['"from"', "NotRequired[", 'Literal["strip", "firebreak"]']
)
def test_what_python_cannot_name_or_may_lack_is_told(word):
    assert word in files_of_types()["report.py"] + files_of_types()["strip.py"]


def test_days_are_texts_and_lists_are_lists():
    keys = {name: key.types for name, key in keys_of(YearTask).items()}
    assert set(keys) == {key for key, _, _ in record_keys(YearTask)}
    assert keys["scheduled"] == ("str", "None")
    assert keys["notes"] == ("list[str]",)
