"""What other programs read: the schema of property.toml, and the steps described."""

import datetime as dt
import json
import tomllib
from pathlib import Path

import click
import jsonschema
import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.schema import TABLE_OF, key_paths, property_schema
from quietacre.words import settings_words

SAMPLE = Path(__file__).parents[2] / "sample_maps" / "sweetgum-bend" / "property.toml"
DRAFTS = [jsonschema.Draft4Validator, jsonschema.Draft202012Validator]


def as_json(value):
    """The same as JSON has it: dates as text, no tuples."""
    return json.loads(json.dumps(value, default=lambda day: day.isoformat()))


@pytest.fixture(scope="module")
def sample():
    return as_json(tomllib.loads(SAMPLE.read_text()))


@pytest.mark.parametrize("draft", DRAFTS)
def test_the_sample_is_valid_under_both_drafts(draft, sample):
    draft.check_schema(property_schema())
    assert not list(draft(property_schema()).iter_errors(sample))


@pytest.mark.parametrize("draft", DRAFTS)
@pytest.mark.parametrize(
    ("change", "place"),
    [
        (lambda data: data["area"][0].update(nmae="x"), ["area", 0]),
        (lambda data: data["area"][0].update(kind="plott"), ["area", 0, "kind"]),
        (
            lambda data: data["equipment"].update(mower_width_ft=-2),
            ["equipment", "mower_width_ft"],
        ),
        (
            lambda data: data["equipment"].update(mower_width_ft=0),
            ["equipment", "mower_width_ft"],
        ),
        (lambda data: data["quiet"][0].update(start="5-15"), ["quiet", 0, "start"]),
        (lambda data: data["property"].pop("name"), ["property"]),
    ],
)
def test_a_wrong_word_or_number_is_marked_at_its_place(draft, change, place, sample):
    data = json.loads(json.dumps(sample))
    data.setdefault("equipment", {})
    change(data)
    (fault,) = draft(property_schema()).iter_errors(data)
    assert list(fault.absolute_path) == place


@pytest.mark.parametrize("draft", DRAFTS)
def test_a_pair_is_of_what_it_may_hold(draft, sample):
    data = json.loads(json.dumps(sample))
    turn = {"task": "clip roads", "every": "2 years", "months": ["11-15", "02-10"]}
    data["round"] = [turn]
    data["product"] = [{"grade": "lime-ag", "passing_pct": [[8, 98], [60, 55.5]]}]
    assert list(draft(property_schema()).iter_errors(data)) == []
    turn["months"] = ["11-15", "13-10"]
    (fault,) = draft(property_schema()).iter_errors(data)
    assert list(fault.absolute_path) == ["round", 0, "months", 1]


def test_every_key_has_words_and_no_words_are_without_a_key():
    words = settings_words()
    there = {(table, key) for table, some in words.items() for key in some.keys}
    assert set(key_paths()) == there
    assert {*TABLE_OF.values(), "log_words"} == set(words)
    for some in words.values():
        for row in some.keys.values():
            assert all((row.label, row.meaning, row.why))
            assert len(row.label) < 40


def test_every_key_of_the_schema_is_described():
    schema = property_schema()
    for definition in schema["$defs"].values():
        for key, part in definition["properties"].items():
            assert part["description"], key


def test_the_command_prints_and_writes_the_same(tmp_path):
    run = CliRunner().invoke(main, ["schema"])
    assert json.loads(run.output) == property_schema()
    out = tmp_path / "property.schema.json"
    assert CliRunner().invoke(main, ["schema", "--out", str(out)]).exit_code == 0
    assert json.loads(out.read_text()) == property_schema()


def steps_of(group, before=""):
    for name in group.list_commands(click.Context(group)):
        step = group.get_command(click.Context(group), name)
        if isinstance(step, click.Group):
            yield from steps_of(step, f"{before}{name}-")
        else:
            yield f"{before}{name}", step


def test_every_step_is_described_and_no_option_without_a_word():
    result = json.loads(CliRunner().invoke(main, ["steps", "--json"]).output)
    described = {process["id"]: process for process in result["processes"]}
    steps = dict(steps_of(main))
    assert set(described) == set(steps)
    for name, process in described.items():
        for key in (
            "title",
            "description",
            "version",
            "jobControlOptions",
            "inputs",
            "outputs",
        ):
            assert key in process
        for key, told in process["inputs"].items():
            assert told["description"], f"{name} {key}"
            jsonschema.Draft202012Validator.check_schema(told["schema"])
        for parameter in steps[name].params:
            if isinstance(parameter, click.Option):
                assert parameter.help, f"{name} {parameter.opts}"


def test_bounds_and_choices_of_options_stand_in_their_schema():
    result = json.loads(CliRunner().invoke(main, ["steps", "--json"]).output)
    lime = next(p for p in result["processes"] if p["id"] == "need-lime")["inputs"]
    assert lime["ph"]["schema"] == {"type": "number", "exclusiveMinimum": 2, "maximum": 11}
    assert lime["rnv_pct"]["schema"]["exclusiveMinimum"] == 0
    seed = next(p for p in result["processes"] if p["id"] == "need-seed")["inputs"]
    assert seed["method"]["schema"]["enum"] == ["broadcast", "drill"]
    assert seed["acres"]["minOccurs"] == 1
    acres = next(p for p in result["processes"] if p["id"] == "acres")
    assert acres["inputs"]["files"]["maxOccurs"] == "unbounded"
    assert "out" in acres["outputs"]


def test_dates_of_toml_are_text_of_the_form_date():
    keys = property_schema()["$defs"]["Area"]["properties"]
    assert keys["surveyed"]["format"] == "date"
    jsonschema.validate(dt.date(2027, 9, 25).isoformat(), keys["surveyed"])
    # a planting day may come back each year
    for good in ("2027-09-25", "09-25"):
        jsonschema.validate(good, keys["plant"], format_checker=jsonschema.FormatChecker())
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(
            "13-25", keys["plant"], format_checker=jsonschema.FormatChecker()
        )
