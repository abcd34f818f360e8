"""The ground at the desk does not wait for daily records; the year asks for them."""

import json

from quietacre.demo.write import write_sample
from quietacre.desk.ground import ground_json, ground_told
from quietacre.measure.property import measure_property


def test_the_ground_is_the_same_without_its_daily_records(tmp_path):
    write_sample(tmp_path / "p")
    whole = ground_told(measure_property(tmp_path / "p"))
    assert json.dumps(ground_json(tmp_path / "p")) == json.dumps(whole)


def test_a_daily_record_that_cannot_be_read_keeps_no_map_away(desk, sample):
    (sample / "weather-invented.csv").write_text("no record of days\n")
    code, ground = desk.call("/api/ground")
    assert code == 200, ground
    assert len(ground["areas"]) == 20
    code, told = desk.call("/api/amounts")
    assert code == 422
    assert "weather-invented.csv" in told["why"]
