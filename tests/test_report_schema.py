"""The JSON Schema of report.json: real reports are valid, and a wrong one is marked."""

import copy
import datetime as dt
import json
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from quietacre.build import plan_property
from quietacre.cli import main
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.measure.property import measure_property
from quietacre.report_schema import report_schema

sys.path.insert(0, str(Path(__file__).parent / "benchmarks"))
import bench_days

DRAFTS = [jsonschema.Draft4Validator, jsonschema.Draft202012Validator]


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    place = tmp_path_factory.mktemp("schema") / "place"
    write_sample(place)
    return plan_property(measure_property(place), today=SAMPLE_DAY)[0]


@pytest.mark.parametrize("draft", DRAFTS)
def test_the_sample_s_report_is_valid(draft, report):
    draft.check_schema(report_schema())
    faults = list(draft(report_schema()).iter_errors(json.loads(json.dumps(report))))
    assert [f"{fault.json_path}: {fault.message[:90]}" for fault in faults] == []


@pytest.mark.parametrize("name", ["twice", "winter"])
def test_another_place_s_report_is_valid(name, tmp_path):
    measured = measure_property(bench_days.make_place(name, tmp_path / name))
    made, _ = plan_property(measured, today=dt.date(2027, 5, 20))
    validator = DRAFTS[1](report_schema())
    faults = validator.iter_errors(json.loads(json.dumps(made)))
    assert [f"{fault.json_path}: {fault.message[:90]}" for fault in faults] == []


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (lambda r: r.pop("totals"), "$"),
        (lambda r: r["areas"][0].update(acers=1.0), "$.areas[0]"),
        (lambda r: r["strips"][0].update(width_ft="60"), "$.strips[0].width_ft"),
        (lambda r: r["year"]["tasks"][0].update(state="later"), "$.year.tasks[0].state"),
        (lambda r: r["shopping"][0].pop("packs"), "$.shopping[0]"),
    ],
)
def test_what_is_wrong_is_marked_at_its_place(change, path, report):
    wrong = copy.deepcopy(report)
    change(wrong)
    (fault,) = DRAFTS[1](report_schema()).iter_errors(json.loads(json.dumps(wrong)))
    assert fault.json_path == path


def test_every_key_has_a_description():
    schema = report_schema()
    records = [schema, *schema["definitions"].values()]
    assert len(records) > 50
    for record in records:
        assert record["description"]
        assert all(part["description"] for part in record["properties"].values())


def test_the_command_prints_it(tmp_path):
    done = CliRunner().invoke(main, ["schema", "--report"])
    assert json.loads(done.output) == report_schema()
    out = tmp_path / "r.json"
    assert (
        CliRunner().invoke(main, ["schema", "--report", "--out", str(out)]).exit_code == 0
    )
    assert json.loads(out.read_text()) == report_schema()
