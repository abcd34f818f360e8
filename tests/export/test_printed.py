"""No file of a build holds a figure that was not printed, in US units or in metric ones."""

import sqlite3
import subprocess

import pytest
from in_units import us_left

from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.figures import AFTER, BEFORE

US_IN_FILE, METRIC_IN_FILE = 'units = "us"', 'units = "metric"'


@pytest.fixture(scope="module", params=["us", "metric"])
def files(request, tmp_path_factory):
    place = tmp_path_factory.mktemp(request.param) / "p"
    write_sample(place)
    settings = place / "property.toml"
    text = settings.read_text()
    assert US_IN_FILE in text
    if request.param == "metric":
        settings.write_text(text.replace(US_IN_FILE, METRIC_IN_FILE))
    return build_property(place, today=SAMPLE_DAY).files


def texts(name, data, folder):
    """Return all text of a file of a build."""
    path = folder / name
    path.write_bytes(data)
    if name.endswith(".pdf"):
        return subprocess.run(
            ["pdftotext", path, "-"], capture_output=True, text=True, check=True
        ).stdout
    if name.endswith(".gpkg"):
        with sqlite3.connect(path) as file:
            return "\n".join(
                line.decode("utf-8", "replace") if isinstance(line, bytes) else line
                for line in file.iterdump()
            )
    return data.decode()


def test_every_figure_is_printed(files, tmp_path):
    seen = {}
    for name, data in files.items():
        if name == "map.html":  # prints its texts itself: tests/browser
            continue
        seen[name] = texts(name, data, tmp_path)
        assert BEFORE not in seen[name], name
        assert AFTER not in seen[name], name
    assert len(seen) > 8  # noqa: PLR2004 - the files of a build
    assert all(seen.values())


@pytest.mark.parametrize("files", ["metric"], indirect=True)
@pytest.mark.parametrize(
    "name", ["field-sheets.pdf", "calendar.ics", "plan.csv", "phone.gpx", "phone.kml"]
)
def test_a_metric_place_is_metric_in_every_text(files, name, tmp_path):
    assert us_left(texts(name, files[name], tmp_path).replace("\r\n ", "")) == []
