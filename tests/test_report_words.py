"""No key of report.json without words, and no words without a key."""

import pytest

from quietacre.as_json import plain, record_keys
from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.need.exclosure import Clipped
from quietacre.need.forage import ForageBalance
from quietacre.strip.advance import Breach
from quietacre.strip.law import Step
from quietacre.strip.transects import Measured as TapedRate
from quietacre.words.columns import report_words

#: Keys that the sample does not reach, with the reason.
NOT_IN_SAMPLE = {
    ("need", "unmet"): "its products bring all that is asked",
    ("need", "left_short"): "it leaves nothing short",
    ("area", "from_steps"): "only where a step of another package is used",
    ("need", "done_lb_ac"): "nothing is spread yet; tests/record/test_spent.py reaches it",
}
#: Records that it does not reach.
RECORDS_NOT_IN_SAMPLE = {
    "unmet": "its products bring all that is asked",
    "left_short": "it leaves nothing short",
    "seen": "it has no seen.csv",
    "tick": "its log has lines written by hand alone",
    "way": "all jobs fit",
    "missed": "nothing was missed",
    "offer": "every planting of it is still to come",
    "open_job": "no year of it was closed",
    "step": "keeping the vine is not unlawful",
    "done_amount": "nothing is done yet; tests/record/test_spent.py reaches it",
    "measured": "no tapes were read",
    "breach": "the vine is not across",
    "forage": "it asks for no deer",
    "clipped": "it has no exclosures",
}


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    place = tmp_path_factory.mktemp("keys") / "place"
    write_sample(place)
    return plain(build_property(place, today=SAMPLE_DAY).report)


def walked(value, name, at, found, faults):
    """Hold a value against the words on its record; note keys found and what has no words."""
    if isinstance(value, list):
        for item in value:
            walked(item, name, at, found, faults)
        return
    if not isinstance(value, dict):
        return
    if not name:
        faults.append(f"{at}: a record without words")
        return
    words = report_words()[name].keys
    for key, inner in value.items():
        if key not in words:
            faults.append(f"{at}.{key}: no words")
            continue
        found.add((name, key))
        parts = inner.values() if words[key].by and isinstance(inner, dict) else [inner]
        for part in parts:
            walked(part, words[key].of, f"{at}.{key}", found, faults)


def test_every_key_has_words_and_every_word_a_key(report):
    found, faults = set(), []
    walked(report, "report", "report", found, faults)
    assert sorted(set(faults)) == []
    told = {(name, key) for name, record in report_words().items() for key in record.keys}
    not_found = {
        (name, key) for name, key in told - found if name not in RECORDS_NOT_IN_SAMPLE
    }
    assert sorted(not_found) == sorted(NOT_IN_SAMPLE)
    assert not {name for name, _ in found} & set(RECORDS_NOT_IN_SAMPLE)


def test_each_record_is_held_by_a_key():
    held = {key.of for record in report_words().values() for key in record.keys.values()}
    assert held - {""} == set(report_words()) - {"report"}


def test_a_key_that_ends_in_a_unit_has_it():
    for name, record in report_words().items():
        for key in record.keys.values():
            for ending, unit in {
                "_ft": "ft",
                "_gal": "gal",
                "acres": "ac",
                "_pct": "%",
            }.items():
                if key.name.endswith(ending) and not key.of:
                    assert key.unit == unit, (name, key.name)


def keys_of(kind):
    return {key for key, _, _ in record_keys(kind)}


def test_records_that_the_sample_lacks_are_those_the_code_makes():
    """Each of them is made by hand here, from the code that makes it in a build."""
    words = {name: set(record.keys) for name, record in report_words().items()}
    assert words["forage"] == keys_of(ForageBalance)
    assert words["breach"] == keys_of(Breach)
    assert words["clipped"] == keys_of(Clipped) | {"text"}
    assert words["step"] == keys_of(Step)
    assert words["measured"] == keys_of(TapedRate)
