"""The same property built twice, in two places, gives the same files to the byte."""

from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY


def test_every_file_is_the_same_again(tmp_path):
    made = []
    for name in ("first", "second place"):
        write_sample(tmp_path / name)
        made.append(build_property(tmp_path / name, today=SAMPLE_DAY).files)
    first, second = made
    assert first.keys() == second.keys()
    assert {"map.html", "phone.gpx", "phone.kml", "areas.gpkg", "field-sheets.pdf",
            "calendar.ics", "report.json"} <= first.keys()  # fmt: skip
    assert [name for name in first if first[name] != second[name]] == []
