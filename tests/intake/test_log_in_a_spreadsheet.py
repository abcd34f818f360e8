"""log.csv opened and saved by an office suite: every line is still read, and nothing is lost.

Needs LibreOffice Calc (Debian: libreoffice-calc-nogui); skipped where it is not installed.
"""

import shutil
import subprocess

import pytest

from quietacre.commands.demo import write_sample
from quietacre.edit.logs import Writer, write_line
from quietacre.intake.log import figure, read_log

OFFICE = shutil.which("soffice")
pytestmark = pytest.mark.skipif(OFFICE is None, reason="no office suite is installed")
#: As a comma, semicolon or tab file; cells as shown, or words in quotes.
FILTERS = ("csv", "csv:Text - txt - csv (StarCalc):59,34,76,1,,0,false,true",
           "csv:Text - txt - csv (StarCalc):9,34,76,1,,0,true,true")  # fmt: skip
LINES = (
    {"date": "2027-03-05", "area": "North bottom", "task": "limed", "item": "lime",
     "amount": "2.5", "unit": "ton", "price": "87.50", "minutes": "70",
     "note": "by the gate, north", "who": "Ann"},
    {"date": "2027-03-06", "area": "", "task": "rain 0.6", "rain_in": "0.6"},
    {"date": "2027-09-27", "area": "Long field", "task": "wait", "until": "2027-10-09"},
    {"date": "2027-10-01", "area": "Long field", "task": "bought", "item": "13-13-13",
     "amount": "12", "unit": "bag", "bag_lb": "50", "note": "=SUM(A1)"},
    {"date": "2027-10-02", "area": "North bottom; Long field", "task": "mowed",
     "note": 'two " quotes; a semicolon'},
)  # fmt: skip


def same(one, other):
    """Return whether two cells say the same: as figures where both are."""
    first, second = figure(one), figure(other)
    return first == second if first is not None else one == other


@pytest.mark.parametrize("how", FILTERS, ids=["comma", "semicolon", "tab"])
def test_a_log_saved_by_a_spreadsheet_is_still_read(tmp_path, how):
    place = tmp_path / "place"
    write_sample(place)
    for line in LINES:
        write_line(Writer(place, state=tmp_path / "state"), line)
    before = read_log(place / "log.csv", shown="log.csv")
    out = tmp_path / "saved"
    subprocess.run(
        [OFFICE, "--headless", f"-env:UserInstallation=file://{tmp_path}/profile",
         "--infilter=Text - txt - csv (StarCalc):44,34,76,1", "--convert-to", how,
         "--outdir", str(out), str(place / "log.csv")],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    after = read_log(out / "log.csv", shown="log.csv")
    assert not after.notes
    assert len(after.jobs) == len(before.jobs) > len(LINES)
    for one, other in zip(before.jobs, after.jobs, strict=True):
        assert (one.on, one.area, one.task, one.id) == (
            other.on,
            other.area,
            other.task,
            other.id,
        )
        assert set(one.cells) == set(other.cells)
        for name, cell in one.cells.items():
            assert same(cell, other.cells[name]), (name, cell, other.cells[name])
