"""Crops by the names that people use, what is unknown said, and one list of grains."""

import json
import tomllib

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.crop_names import (
    crop_names,
    draws_birds,
    hint,
    sown_as,
    table_name,
    top_dressed,
)
from quietacre.errors import SettingsProblem
from quietacre.intake.property import read_property, read_property_and_notes
from quietacre.need.seed import seed_needs
from quietacre.need.tables import crops
from quietacre.settings import Mix, Seed


def test_every_crop_has_its_row_and_no_name_means_two():
    assert set(crop_names()) == set(crops())
    seen = {}
    for crop, row in crop_names().items():
        for name in row.names:
            assert table_name(name) == crop, name
            assert seen.setdefault(name.lower(), crop) == crop
        assert (row.sown_as == "legume") == crops()[crop].legume, crop


@pytest.mark.parametrize(
    ("word", "crop"),
    [
        ("white clover", "ladino / white clover"),
        ("White  Clovers", "ladino / white clover"),
        ("cowpeas", "cowpea (iron-and-clay type)"),
        ("iron & clay peas", "cowpea (iron-and-clay type)"),
        ("Oats", "oats"),
        ("radishes", "radish (forage/daikon)"),
        ("black oil sunflowers", "sunflower (black oil)"),
        ("winter rye", "cereal rye"),
    ],
)
def test_a_name_finds_its_crop(word, crop):
    assert table_name(word) == crop


@pytest.mark.parametrize(
    ("word", "offered"),
    [
        ("crimsom clover", "crimson clover"),
        ("clover", "red clover"),
        ("millet", "pearl millet"),
        ("ryegrass", None),
        ("sweet clover", None),
        ("", None),
    ],
)
def test_a_word_that_means_no_one_crop_is_not_taken_for_one(word, offered):
    assert table_name(word) is None
    assert (offered in hint(word)) if offered else hint(word) == ""


def test_the_lists_of_grains_are_one():
    assert sown_as("small grain") < top_dressed()
    assert sown_as("small grain") < draws_birds()
    assert not draws_birds() & sown_as("legume")


def folder(tmp_path, text):
    (tmp_path / "f.geojson").write_text(json.dumps(
        {"type": "Polygon", "coordinates": [[[-86, 33], [-85.999, 33], [-85.999, 33.001], [-86, 33]]]}
    ))  # fmt: skip
    head = (
        '[property]\nname = "p"\n[[area]]\nname = "a"\nkind = "plot"\nfrom = "f.geojson"\n'
    )
    (tmp_path / "property.toml").write_text(head + text)
    return tmp_path


def test_property_file_takes_common_names_and_says_so(tmp_path):
    place = folder(tmp_path, """mix = "m"
[[mix]]
name = "m"
seed = [{ crop = "white clover", rate_lb_ac = 3.0, basis = "bulk" }, { crop = "oat", share = 0.5 }]
[crop."white clovers"]
window = "Sep 1-Oct 15"
[[stock]]
item = "Oats"
amount_lb = 20
""")  # fmt: skip
    prop, notes = read_property_and_notes(place)
    assert [seed.crop for seed in prop.mix[0].seed] == ["ladino / white clover", "oats"]
    assert set(prop.crop) == {"ladino / white clover"}
    assert prop.stock[0].item == "oats"
    assert {note.code for note in notes} == {"crop-read-as"}
    assert any("“white clover” is read as “ladino / white clover”" in n.text for n in notes)


def test_two_tables_of_one_crop_are_refused(tmp_path):
    place = folder(tmp_path, """[[mix]]
name = "m"
seed = [{ crop = "oats", share = 1.0 }]
[crop.oats]
window = "Sep 1-Oct 15"
[crop.oat]
window = "Sep 1-Oct 1"
""")  # fmt: skip
    with pytest.raises(SettingsProblem, match="same crop as"):
        read_property(place)


def test_a_misspelt_crop_is_offered_its_name_not_taken_for_it(tmp_path):
    place = folder(tmp_path, '[[mix]]\nname = "m"\nseed = [{ crop = "crimsom clover", share = 1.0 }]\n')  # fmt: skip
    with pytest.raises(SettingsProblem, match="did you mean “crimson clover”"):
        read_property(place)


def test_a_misspelt_legume_with_its_own_rate_is_a_warning():
    mix = Mix("m", (Seed("crimsom clover", rate_lb_ac=20.0, basis="bulk"),))
    _, said = seed_needs(mix, 1, 1, 1)
    (warned,) = [one for one in said if one.level == "warning"]
    assert warned.code == "crop-not-in-table"
    assert "“crimson clover”" in warned.text
    assert "nitrogen is planned" in warned.text


def test_a_key_in_capitals_gets_its_hint(tmp_path):
    place = folder(tmp_path, '[[soil_test]]\nname = "t"\nneed_lb_ac = { N = 40 }\n')
    with pytest.raises(
        SettingsProblem, match=r"need_lb_ac\.N: there is no such key; did you mean “n”"
    ):
        read_property(place)


def test_the_command_lists_crops_and_finds_one():
    ran = CliRunner().invoke(main, ["crops", "--json"])
    assert {row["crop"] for row in json.loads(ran.output)["crops"]} == set(crops())
    said = CliRunner().invoke(main, ["crops", "white clovers"]).output
    assert said.startswith("ladino / white clover")
    assert "seeds a pound" in said
    ran = CliRunner().invoke(main, ["crops", "crimsom clover"])
    assert ran.exit_code == 2
    assert "“crimson clover”" in ran.output
    ran = CliRunner().invoke(main, ["need", "seed", "--acres", "1", "--crop", "cowpeas"])
    assert "“cowpeas” is read as “cowpea (iron-and-clay type)”" in ran.output


def test_the_sample_keeps_the_tables_own_names():
    from quietacre.demo.sample import sample_files

    text = sample_files()["property.toml"].decode()
    for mix in tomllib.loads(text)["mix"]:
        for seed in mix["seed"]:
            assert seed["crop"] in crops()
