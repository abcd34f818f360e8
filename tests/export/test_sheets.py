"""The field sheets as a PDF: a sheet a piece, everything on it, nothing cut, same bytes."""

import itertools
import re
import subprocess
from datetime import date

import pytest
from record_of import record_of

from quietacre.as_json import plain
from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.export.quantities import Say, minutes
from quietacre.export.sheets import field_sheets_pdf
from quietacre.figures import AS_IT_IS, figure
from quietacre.kinds import WORKED
from quietacre.need.spray import TankPlan
from quietacre.report_records import DoneJob, Report

HOSTILE = "<b>{{7*7}}</b> \\ (x) %PDF \u202e🦃 " + "long" * 2_500


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    place = tmp_path_factory.mktemp("sheets") / "p"
    write_sample(place)
    return build_property(place, today=SAMPLE_DAY)


def pages_of(pdf, tmp_path):
    path = tmp_path / "x.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True
    )
    assert done.stderr == ""
    return done.stdout.split("\f")[:-1]


def test_cover_sheets_and_year(built, tmp_path):
    pages = pages_of(built.files["field-sheets.pdf"], tmp_path)
    assert "Sweetgum Bend" in pages[0]
    assert "To buy: $" in pages[0]
    assert "crimson clover" in pages[0]
    worked = [row.name for row in built.report.pieces() if row.kind in WORKED]
    sheets = [page for page in pages if "By hand" in page]
    assert len(sheets) == len(worked)
    for name, sheet in zip(worked, sheets, strict=True):
        assert sheet.lstrip().startswith(name)
        # a piece with much to do goes on over a second sheet, its size stays on the first
        own = next(page for page in pages if page.lstrip().startswith(name))
        assert "west to east" in own
        assert re.search(r"\d+ ft", own)
    field = " ".join(page for page in pages if page.lstrip().startswith("Long field"))
    for words in (
        "6.42 ac",
        "15.6 lb/ac",
        "Set the machine",
        "plant behind rain",
        "of 50 lb",
    ):
        assert words in field
    assert any("The year, worked backwards" in page for page in pages)
    assert any("Who decides" in page for page in pages)
    assert f"page {len(pages)} of {len(pages)}" in pages[-1]


def test_the_last_sheets_tell_why_of_every_piece_and_what_a_vine_takes(built, tmp_path):
    text = "\f".join(pages_of(built.files["field-sheets.pdf"], tmp_path))
    why = " ".join(text[text.index("Why these figures") :].split())
    for row in built.report.pieces():
        assert row.name in why
    for words in (
        "÷ 0.833 live",  # of the crimson clover's tag
        "1.645 × the walk's sigma",
        "Published, rooting:",
        "Keeping it, a year, every year: 13 cuts",
    ):
        assert words in why


def test_nothing_stands_outside_the_paper(built, tmp_path):
    """Every word's box, as pdftotext finds it, lies inside the printable page."""
    path = tmp_path / "x.pdf"
    path.write_bytes(built.files["field-sheets.pdf"])
    done = subprocess.run(
        ["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True
    )
    boxes = re.findall(
        r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"',
        done.stdout,
    )
    assert len(boxes) > 1500
    for left, top, right, bottom in (map(float, box) for box in boxes):
        assert left >= 28
        assert top >= 20
        assert right <= 612 - 28
        assert bottom <= 792 - 14


def test_same_input_same_bytes(built):
    again = field_sheets_pdf(built.report, built.layers)
    assert again == built.files["field-sheets.pdf"]


def test_metric(built, tmp_path):
    pages = pages_of(field_sheets_pdf(built.report, built.layers, units="metric"), tmp_path)
    sheet = next(p for p in pages if p.lstrip().startswith("Long field"))
    assert "2.60 ha" in sheet
    assert "kg/ha" in sheet
    # sentences that other parts wrote keep their own units; figures of ours do not
    assert "15.6 lb/ac" not in sheet


def test_hostile_names_are_cut_and_harmless(built, tmp_path):
    report = plain(built.report)
    report["property"]["name"] = HOSTILE
    for row in (*report["areas"], *report["strips"]):
        row["name"] = HOSTILE
        row["record"] = [{"on": "2026-05-02", "task": HOSTILE, "said": HOSTILE}] * 9
    for row in report["areas"]:
        row["note"], row["history"] = HOSTILE, [HOSTILE] * 3
    for task in report["year"]["tasks"]:
        task["area"] = task["label"] = HOSTILE
    for line in report["shopping"]:
        line["item"] = HOSTILE
    pages = pages_of(field_sheets_pdf(record_of(Report, report), built.layers), tmp_path)
    assert "<b>{{7*7}}</b> \\ (x) %PDF" in pages[0]
    assert len(pages) < 60


def test_nothing_but_a_name(built, tmp_path):
    report = record_of(Report, {"made_on": "2027-01-02", "property": {"name": "Empty"}})
    layers = {name: built.layers[name].iloc[:0] for name in ("areas", "strips")}
    pages = pages_of(field_sheets_pdf(report, layers), tmp_path)
    assert len(pages) == 2
    assert "Nothing is amiss" in pages[1]


def test_figures():
    us, metric = Say(), Say(metric=True)
    assert us.acres(2.5) == "2.50 ac"
    assert metric.acres(2.5) == "1.01 ha"  # 2.5 ac = 1.0117 ha
    assert metric.rate(100.0) == "112.1 kg/ha"  # 1 lb/ac = 1.12085 kg/ha
    assert metric.gallons(10.0) == "37.9 L"
    assert us.pack(50.0, "lb") == "50 lb"
    assert us.pounds(1234.0) == "1,234 lb"
    assert (minutes(60), minutes(150)) == ("60 min", "2.5 h")


def test_sentences_are_said_in_metric_units_and_names_stay():
    us, metric = Say(), Say(metric=True)
    text = (
        f"{figure(1318, 'ft')} at {figure(82.6, 'lb/ac')}, "
        f"{figure(0.25, 'in', AS_IT_IS, to=0.5)} deep, {figure(10, 'ft', to=20)} from “20 ft oak”; "
        "13-13-13, 2 in 3 years"
    )
    assert us.words(text) == (
        "1,318 ft at 82.6 lb/ac, 0.25–0.5 in deep, 10–20 ft from “20 ft oak”; "
        "13-13-13, 2 in 3 years"
    )
    # by definition: 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 ac = 4046.8564224 m²
    assert metric.words(text) == (
        "402 m at 92.6 kg/ha, 6.4–13 mm deep, 3.0–6.1 m from “20 ft oak”; "
        "13-13-13, 2 in 3 years"
    )


def test_no_sheet_says_a_day_like_a_computer(built, tmp_path):
    for page in pages_of(built.files["field-sheets.pdf"], tmp_path):
        # what is to be typed into property.toml is a day as the file wants it
        assert not re.search(r"(?<!on = )\b20\d\d-\d\d-\d\d\b", page)


def test_a_worked_piece_fits_one_sheet_or_runs_on_to_a_second(built, tmp_path):
    pages = pages_of(built.files["field-sheets.pdf"], tmp_path)
    sheets = [number for number, page in enumerate(pages) if "By hand" in page]
    # the boxes to fill in stand on a piece's last sheet: no piece has a third, one here a second
    ahead = [after - before for before, after in itertools.pairwise([0, *sheets])]
    assert set(ahead) <= {1, 2}
    assert ahead.count(2) <= 1
    for number in sheets:
        assert all(word in pages[number] for word in ("rain", "ground", "who"))


def test_a_warning_is_not_torn_over_two_columns(built, tmp_path):
    """A bar beside a warning runs on without a break: no part of it at another place."""
    pages = pages_of(built.files["field-sheets.pdf"], tmp_path)
    strip = next(p for p in pages if p.lstrip().startswith("Vine hollow strip"))
    lines = strip.splitlines()
    first = next(n for n, line in enumerate(lines) if "does not hold until July 14" in line)
    assert "least width is 74 ft." in lines[first + 1]
    # thin places stand in their table, not once more below it
    assert "Too thin" in strip
    assert "is only 74 ft wide" not in strip


def test_a_long_warning_goes_on_elsewhere_whole_and_no_shorter_than_it_is():
    from datetime import UTC, datetime

    from quietacre.export.paper import MARGIN, PAGE_H, Column, Paper
    from quietacre.export.plat import RED

    pdf = Paper("x", datetime(2027, 1, 2, tzinfo=UTC))
    pdf.add_page()
    text = "stake the edge before you trust any width of the strip round it " * 4
    beside = (120.0, 60.0, 80.0)
    column = Column(pdf, MARGIN, PAGE_H - MARGIN - 6.0, 98.0, beside)
    column.text(text, bar=RED)
    assert column.x == 120.0
    assert column.y > 60.0 + 4 * 9.5 * 0.44  # all of its lines stand there
    plain = Column(pdf, MARGIN, PAGE_H - MARGIN - 6.0, 98.0, beside)
    plain.text(text)  # a text without a bar fills what is left
    assert plain.x == 120.0
    assert plain.y < column.y
    pdf.output()  # closes its fonts


def test_a_heading_goes_on_with_what_stands_under_it():
    from datetime import UTC, datetime

    from quietacre.export.paper import HEAD_GAP_MM, MARGIN, PAGE_H, Column, Paper
    from quietacre.export.plat import RED
    from quietacre.export.sheets.care import write_care

    pdf = Paper("x", datetime(2027, 1, 2, tzinfo=UTC))
    pdf.add_page()
    text = "stake the edge before you trust any width of the strip round it " * 4
    top = PAGE_H - MARGIN - 20.0  # the heading has room here, the warning has not
    column = Column(pdf, MARGIN, top, 98.0, (120.0, 60.0, 80.0))
    write_care(column, [("Take care", text, RED)])
    assert column.x == 120.0
    alone = Column(pdf, 120.0, 60.0, 80.0)
    write_care(alone, [("Take care", text, RED)])
    # the heading stands there, too
    assert column.y == pytest.approx(alone.y - HEAD_GAP_MM)
    pdf.output()


def test_a_long_name_is_whole_on_its_own_sheet_and_told_apart_elsewhere(built, tmp_path):
    report = plain(built.report)
    start = "The long strip of old pasture along the county road where the mailbox stood until the flood"
    halves = [f"{start} of 1993 ({half} half)" for half in ("north", "south")]
    worked = [row for row in report["areas"] if row["kind"] == "plot"][:2]
    for row, name in zip(worked, halves, strict=True):
        row["name"] = name
    of = {row["id"]: row["name"] for row in worked}
    for task in report["year"]["tasks"]:
        task["area"] = of.get(task["area_id"], task["area"])
    pages = pages_of(field_sheets_pdf(record_of(Report, report), built.layers), tmp_path)
    text = " ".join(" ".join(pages).split())
    for half in ("north", "south"):
        title = f"The long strip of old pasture .* of 1993 \\({half} half\\)"
        assert re.search(title, text)
        assert f"1993 ({half} half): " in text  # its jobs in the year
    year = next(page for page in pages if "The year, worked backwards" in page)
    assert re.search(r"The long st\S*… \(north half\)|The lon\S*.*north", year)
    assert re.search(r"The long st\S*… \(south half\)|The lon\S*.*south", year)


def test_a_spray_of_a_part_says_of_what_and_tons_are_tons(built, tmp_path):
    pages = pages_of(built.files["field-sheets.pdf"], tmp_path)
    sheet = " ".join(next(p for p in pages if p.lstrip().startswith("Vine hollow")).split())
    assert "20.9 gal on 1.40 ac (50 % of its 2.79 ac, the share you wrote)" in sheet
    assert re.search(r"lime-ag\s+20.35 tons\s+21 tons\s+\$1,092.00", pages[0])
    us, metric = Say(), Say(metric=True)
    assert (us.packs(1, 2000.0, "lb"), us.packs(5, 50.0, "lb")) == ("1 ton", "5 × 50 lb")
    # 2,000 lb are 907.185 kg
    assert metric.packs(21, 2000.0, "lb") == "21 × 907.2 kg"
    assert metric.needed(40700.0, "lb", 2000.0) == "18.46 t"


def test_tanks_are_counted_as_they_are_filled():
    from quietacre.export.sheets.amounts import tanks

    def said(full, last):
        told = {"loads_full": full, "last_load_gal": last}
        return tanks(record_of(TankPlan, told), Say())

    assert said(0, 20.9) == "one part tank of 20.9 gal"
    assert said(1, 4.0) == "1 full tank and 4.0 gal"
    assert said(2, 0.0) == "2 full tanks"


def test_a_firebreak_is_disked_round_its_block(built, tmp_path):
    brk = next(s for s in built.report.strips if s.kind == "firebreak")
    assert brk.ring.passes.order.endswith("toward the block")
    pages = pages_of(built.files["field-sheets.pdf"], tmp_path)
    sheet = next(p for p in pages if p.lstrip().startswith("South burn block firebreak"))
    assert "Disk passes" in sheet
    assert "Mower passes" not in sheet


def test_the_bill_is_what_the_pieces_cost(built):
    """The page says the bill is shared out among the pieces: their costs add up to it."""
    costs = [p.need.cost or 0.0 for p in built.report.pieces() if p.need]
    assert sum(costs) == pytest.approx(built.report.totals.cost, abs=0.01 * len(costs))


def test_what_was_done_again_and_again_is_one_line():
    from quietacre.export.sheets.care import done_here

    record = [
        DoneJob(date(2026, month, 5), "strip cut", "strip cut; 150 minutes")
        for month in (9, 8, 7, 6, 5)
    ]
    record.insert(1, DoneJob(date(2026, 8, 20), "lime", "lime: 7 tons"))
    assert done_here(record) == [
        "strip cut: Sat, September 5, 2026, Wed, August 5, 2026, Sun, July 5, 2026, and 2 before",
        "Thu, August 20, 2026: lime: 7 tons",
    ]
    assert done_here([]) == []
    many = [DoneJob(date(2026, 9, 5), name, "") for name in "abcde"]
    assert done_here(many)[-1] == "2 more: see the log"


def test_jobs_that_are_done_are_counted_and_not_listed(tmp_path):
    write_sample(tmp_path / "p")
    built = build_property(tmp_path / "p", today=date(2026, 11, 27))
    done = [
        t
        for t in built.report.year.tasks
        if t.state == "done" and t.area == "Vine hollow strip"
    ]
    assert done
    pages = pages_of(built.files["field-sheets.pdf"], tmp_path)
    strip = next(p for p in pages if p.lstrip().startswith("Vine hollow strip"))
    assert f"{len(done)} jobs of the plan are done, and not listed" in strip
    assert "(done)" not in strip
