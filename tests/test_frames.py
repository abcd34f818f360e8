"""Frames are joined with the settings by id: their order never matters, wrong ids are refused."""

import pytest

from quietacre.acreage.equal_area import measure
from quietacre.build import plan_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.errors import BadInput
from quietacre.measure.property import measure_property
from quietacre.need.plan import plan_needs
from quietacre.strip.plan import plan_strips
from quietacre.year.report import plan_year


@pytest.fixture(scope="module")
def measured(tmp_path_factory):
    place = tmp_path_factory.mktemp("frames") / "p"
    write_sample(place)
    return measure_property(place)


def strips(areas, prop):
    return plan_strips(areas, prop, None, today=SAMPLE_DAY, walk_sigma={})


def year(areas, prop):
    return plan_year(areas, prop, today=SAMPLE_DAY, needs={})


STEPS = pytest.mark.parametrize("step", [strips, plan_needs, year])


@pytest.fixture(scope="module")
def straight(measured):
    return plan_property(measured, today=SAMPLE_DAY)


@pytest.mark.parametrize("order", ["by acres", "shuffled"])
def test_a_frame_in_another_order_gives_the_same_report(measured, straight, order):
    areas = measured.areas
    turned = (
        areas.sort_values("acres")
        if order == "by acres"
        else areas.sample(frac=1, random_state=5)
    )
    assert list(turned["id"]) != list(areas["id"])
    report, layers = plan_property(measured._replace(areas=turned), today=SAMPLE_DAY)
    assert report == straight[0]
    assert layers["strips"].equals(straight[1]["strips"])
    assert list(layers["areas"]["id"]) == list(areas["id"])


def test_each_step_joins_a_sorted_frame_by_itself(measured):
    prop, areas = measured.prop, measured.areas
    turned = areas.sort_values("acres")
    assert strips(turned, prop).report == strips(areas, prop).report
    assert plan_needs(turned, prop).shopping == plan_needs(areas, prop).shopping
    needs = plan_needs(areas, prop).needs
    one, other = (
        plan_year(frame, prop, today=SAMPLE_DAY, needs=needs) for frame in (areas, turned)
    )
    assert one.report == other.report
    assert one.notes == other.notes


@STEPS
def test_metres_are_refused(measured, step):
    with pytest.raises(BadInput, match="must be in EPSG:4326") as caught:
        step(measured.areas.to_crs(32616), measured.prop)
    assert "EPSG:32616" in str(caught.value)
    with pytest.raises(BadInput, match="no reference system"):
        step(measured.areas.set_crs(None, allow_override=True), measured.prop)


@STEPS
def test_ids_missing_doubled_or_unknown_are_refused(measured, step):
    prop, areas = measured.prop, measured.areas
    with pytest.raises(BadInput, match=r"lacks a01 \(“"):
        step(areas.iloc[1:], prop)
    with pytest.raises(BadInput, match="a02 twice"):
        step(areas.iloc[[0, 1, 1, *range(2, len(areas))]], prop)
    with pytest.raises(BadInput, match="x9 that no area"):
        step(areas.assign(id=["x9", *areas["id"][1:]]), prop)
    with pytest.raises(BadInput, match="no column “id”"):
        step(areas.drop(columns="id"), prop)


def test_a_strip_of_no_area_is_refused(measured):
    made = strips(measured.areas, measured.prop).strips
    assert len(made)
    with pytest.raises(BadInput, match="strip of x9"):
        plan_needs(measured.areas, measured.prop, strips=made.assign(of="x9"))


def test_acres_of_metres_are_refused_in_the_same_words(measured):
    with pytest.raises(BadInput, match="must be in EPSG:4326"):
        measure(measured.areas.to_crs(32616))
