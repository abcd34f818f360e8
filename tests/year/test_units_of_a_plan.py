"""What is said of strips and of the year, in US and in metric units."""

import dataclasses
import re

import pytest

from quietacre.build import plan_records
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.figures import AFTER, BEFORE, printed
from quietacre.measure.property import measure_property
from quietacre.model import Note
from quietacre.year.weather_said import weather_lines

US = re.compile(
    r"\d (ac|acres?|ft|feet|in(?! \d)|inch(es)?|mi|miles|mph|lb|pounds|gal|fl oz|tons?|°F)\b"
)
#: A source's own title.
TITLE = re.compile(r"even odds of 32 °F")
METRIC = re.compile(r"\d (ha|m|mm|km|kg|L|mL|t|°C)\b")


def texts(value):
    """Yield every text of a record and of what it holds."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Note):
        yield from texts((value.head, value.more, value.help))
    elif dataclasses.is_dataclass(value):
        for one in dataclasses.fields(value):
            yield from texts(getattr(value, one.name))
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from texts(one)


@pytest.fixture(scope="module")
def said(tmp_path_factory):
    """Return what is said of the strips and the year of the sample."""
    place = tmp_path_factory.mktemp("units") / "p"
    write_sample(place)
    report, _ = plan_records(measure_property(place), today=SAMPLE_DAY)
    told = list(texts((report.strips, report.year)))
    return [*told, *weather_lines(report.year.weather)]


def test_every_figure_has_both_units(said):
    for text in said:
        us, metric = printed(text), printed(text, metric=True)
        for told in (us, metric):
            assert BEFORE not in told
            assert AFTER not in told
        assert not US.search(TITLE.sub("", metric)), metric
        if BEFORE not in text:
            assert us == metric
    assert sum(BEFORE in text for text in said) > 50
    assert any(METRIC.search(printed(text, metric=True)) for text in said)
