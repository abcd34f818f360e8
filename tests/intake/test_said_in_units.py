"""Sentences on files, in US units and in metric ones."""

import pytest
from in_units import both

from quietacre.errors import BadInput
from quietacre.intake.deed import deed_in
from quietacre.intake.weather import read_weather

DEED = (
    "Beginning at a stone; thence N 0 E 400 feet; thence N 90 E 400 feet; thence S 0 W 400 feet; "
    "thence to the beginning. Excepting therefrom 2.5 acres sold to the school."
)


def test_an_exception_without_calls_and_too_much_rain(tmp_path):
    path = tmp_path / "rain.csv"
    days = [f"2026-{m:02d}-{d:02d},2.5" for m in range(1, 13) for d in range(1, 29)]
    days += [f"2027-{m:02d}-{d:02d},2.5" for m in range(1, 3) for d in range(1, 29)]
    path.write_text("date,inches\n" + "\n".join(days))
    with pytest.raises(BadInput) as refused:
        read_weather(path, shown="rain.csv")
    (note,) = [
        n for n in deed_in(DEED, "d.txt").notes if n.code == "exception-without-calls"
    ]
    # what the deed and the fix say is told as it stands
    us, metric = both([refused.value.what, note.marked.split(":")[0]])
    assert us[0] == "its rain comes to 913 inches a year, more than any farm gets"
    assert metric[0] == "its rain comes to 23,178 mm a year, more than any farm gets"
    assert us[1] == "an exception of 2.5 ac has no calls, so it is not taken off"
    assert metric[1] == "an exception of 1.01 ha has no calls, so it is not taken off"
