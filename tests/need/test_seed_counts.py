"""Seeds on a square foot as a way in, own counts, coatings, and what of it is a doubt."""

import json

import pytest

from quietacre.errors import NeedProblem, SettingsProblem
from quietacre.intake.property import read_property
from quietacre.need.seed import seed_needs
from quietacre.settings import Mix, Seed


def sown(method="broadcast", **keys):
    rows, said = seed_needs(Mix("m", (Seed(**keys),), method), 2.0, 2.0, 2.0)
    return rows[0], {one.code: one for one in said}


def test_seeds_on_a_square_foot_become_pounds():
    row, said = sown("drill", crop="wheat", seeds_ft2=35.0, seeds_per_lb=14_000.0)
    assert row.lb == pytest.approx(2 * 35 * 43_560 / 14_000)
    assert "seed-count-of-the-table" not in said


def test_with_a_tag_they_are_live_seeds():
    row, _ = sown("drill", crop="wheat", seeds_ft2=30.0, seeds_per_lb=14_000.0,
                  purity=0.98, germination=0.9)  # fmt: skip
    assert row.bulk_lb_ac == pytest.approx(30 * 43_560 / 14_000 / (0.98 * 0.9))
    assert row.seeds_ft2 == pytest.approx(30.0)


def test_the_tables_count_is_a_doubt():
    _, said = sown("drill", crop="wheat", seeds_ft2=30.0)
    assert said["seed-count-of-the-table"].level == "warning"


def test_a_crop_without_a_count_is_refused():
    with pytest.raises(NeedProblem, match="how many seeds"):
        sown(crop="lespedeza", seeds_ft2=30.0)


@pytest.mark.parametrize(("germination", "level"), [(0.97, "info"), (0.85, "warning")])
def test_a_reading_that_moves_pounds_by_five_percent_is_a_warning(germination, level):
    _, said = sown(crop="crimson clover", share=1.0, purity=1.0, germination=germination)
    assert said["table-rate-as-live-seed"].level == level


def test_a_coating_alone_takes_more_out_of_the_bag():
    plain, _ = sown(crop="red clover", share=1.0)
    coated, said = sown(crop="red clover", share=1.0, coating=0.34)
    assert coated.lb == pytest.approx(plain.lb / 0.66)
    assert said["coated-seed"].level == "warning"


@pytest.mark.parametrize(
    ("seed", "words"),
    [
        (
            '{ crop = "oats", share = 0.5, seeds_ft2 = 20 }',
            "give it or seeds_ft2, not both",
        ),
        ('{ crop = "oats" }', "give share (of the full rate), rate_lb_ac or seeds_ft2"),
    ],
)
def test_one_rate_a_seed(tmp_path, seed, words):
    (tmp_path / "f.geojson").write_text(json.dumps(
        {"type": "Polygon", "coordinates": [[[-86, 33], [-85.99, 33], [-85.99, 33.01], [-86, 33]]]}
    ))  # fmt: skip
    (tmp_path / "property.toml").write_text(
        '[property]\nname = "p"\n[[area]]\nname = "a"\nkind = "plot"\nfrom = "f.geojson"\n'
        f'[[mix]]\nname = "m"\nseed = [{seed}]\n'
    )
    with pytest.raises(SettingsProblem) as caught:
        read_property(tmp_path)
    assert words in str(caught.value)
