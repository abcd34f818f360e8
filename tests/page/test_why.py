"""Each figure of a card can be asked why: its terms, its source, its spread."""

from record_of import record_of

from quietacre.figures import printed
from quietacre.page.why import why_of
from quietacre.report_records import AreaReport, StripReport
from quietacre.year.records import YearTask

PLOT = {
    "id": "a01", "kind": "plot", "acres": 2.0, "acres_low": 1.9, "acres_high": 2.1,
    "source": "walks/a.gpx", "method": "walked: 1 lap", "walk": {"sigma_m": 2.1},
    "need": {
        "seed": [{
            "crop": "oats", "rate_lb_ac": 60.0, "basis": "pls", "pls_frac": 0.8, "lb": 150.0,
            "lb_low": 142.5, "lb_high": 157.5, "source": "A book, A college, 2003",
            "from_memory": False, "in_mix_lb_ac": [60, 90], "method": "broadcast",
            "seeds_ft2": 16.0, "seeds_per_lb": 14500.0, "seeds_from_memory": True,
        }],
        "lime": {"text": "laboratory: 1300 lb ENM/ac; product at 400 lb ENM a ton",
                 "basis": "ENM", "parts_ton_ac": [2.0, 1.25], "whole_ton_ac": 3.25,
                 "ton_ac": 2.0, "ton": 4.0, "ton_low": 3.8, "ton_high": 4.2},
        "fertilizer": [{}], "asked_lb_ac": {"n": 45.0, "p2o5": 40.0},
        "given_lb_ac": {"n": 0.0, "p2o5": 40.0}, "left_out_n_lb_ac": 45.0,
        "work": {"plant": {"minutes": 94.0, "text": "2 passes"}},
        "setting": ["oats: 22.0 oz out of the bag on 1,000 sq ft"],
        "cost": 120.5, "cost_ac": 60.25,
    },
}  # fmt: skip


def said(told, kind=AreaReport, *, metric=False):
    rows = why_of(record_of(kind, told))
    return {row.about: printed(" | ".join(row.lines), metric=metric) for row in rows}


def test_a_plot_tells_terms_source_and_spread():
    why = said(PLOT)
    assert list(why) == [
        "Acres",
        "Seed",
        "Lime",
        "Fertilizer",
        "Machine",
        "Dollars",
        "Minutes",
    ]
    assert "between 1.90 and 2.10 ac, 19 times in 20" in why["Acres"]
    assert "A book, A college, 2003" in why["Seed"]
    assert "÷ 0.800 live × 2.00 ac = 150.0 lb, 142.5 to 157.5 lb" in why["Seed"]
    assert "P₂O₅ 40 lb/ac asked, 40 given" in why["Fertilizer"]
    assert "45 lb/ac of N left out" in why["Fertilizer"]
    assert "AEN-73" in why["Minutes"]
    assert (
        "3.25 tons/ac, 2.00 of it now; 2.00 × 2.00 ac = 4.00 tons, 3.8 to 4.2 tons"
        in (why["Lime"])
    )
    assert "How Much Lime To Apply?, University of Missouri Extension, n.d." in why["Lime"]
    assert "16.0 live seeds a sq ft at 14,500 a pound (from memory)" in why["Seed"]
    assert why["Machine"].startswith(
        "spreader: what lands on a small piece of ground = the rate × its area"
    )
    assert "418-121, Virginia Tech, n.d." in why["Machine"]
    assert "$120.50 ÷ 2.00 ac = $60.25 an acre" in why["Dollars"]


def test_each_job_tells_why_it_stands_where_it_does_each_reason_once():
    tasks = [
        {"area_id": "a01", "label": "clip", "reason": "six weeks before (common practice)"},
        {"area_id": "a01", "label": "clip", "reason": "six weeks before (common practice)"},
        {"area_id": "a01", "label": "disk", "reason": "six weeks before (common practice)"},
        {"area_id": "a02", "label": "plant", "reason": "behind rain"},
        {"area_id": "a01", "label": "plant", "reason": ""},
    ]
    tasks = [record_of(YearTask, one) for one in tasks]
    why = why_of(record_of(AreaReport, PLOT), tasks)
    days = {row.about: row.lines for row in why}["Days"]
    assert days[0] == "clip and disk: six weeks before (common practice)"
    assert len(days) == 2
    assert "the fewest trips" in days[1]
    assert "Days" not in said(PLOT)


def test_a_spray_a_drill_and_a_moved_edge_tell_their_terms():
    row = {
        "name": "feed", "use": "foliar feed", "mode": "per acre", "rate": 64.0, "unit": "fl oz", "acres": 1.4,
        "gal": 21.0, "product": 89.6, "gal_low": 20.0, "gal_high": 22.0,
    }  # fmt: skip
    patch = {
        "id": "s01", "kind": "strip", "area": "P",
        "need": {"spray": [row], "setting": ["sprayer"], "seed": [{**PLOT["need"]["seed"][0], "method": "drill"}]},
        "advance": {"limit_ft": 14.2},
    }  # fmt: skip
    why = said(patch, StripReport)
    assert (
        "1.40 ac sprayed × 15.0 gal/ac = 21.0 gal; 89.6 fl oz of product at 64 fl oz/ac"
        in (why["Spray"])
    )
    assert "20.0 to 22.0 gal by the acres' own ±" in why["Spray"]
    assert "LSU AgCenter" in why["Machine"]
    assert why["Machine"].startswith(
        "drill: what falls on a course, all rows caught = the rate"
    )
    assert "less than 14 ft at one place cannot be seen" in why["Moved"]
    percent = {**row, "mode": "percent", "rate": 2.0}
    two = said({**patch, "need": {"spray": [percent]}}, StripReport)
    assert "at 2 % of the water" in two["Spray"]


def test_a_crop_of_few_seeds_is_counted_by_the_acre_and_live_only_by_its_tag():
    few = {**PLOT["need"]["seed"][0], "basis": "bulk", "seeds_ft2": 0.34343,
           "seeds_per_lb": 1360.0, "seeds_from_memory": False}  # fmt: skip
    why = said({**PLOT, "need": {"seed": [few]}})
    assert why["Seed"].endswith("; 15,000 seeds an acre at 1,360 a pound")


def test_a_job_of_one_pass_and_one_load_leaves_no_empty_place():
    work = {"plant": {"minutes": 34.0, "text": ""}}
    minutes = said({**PLOT, "need": {"work": work}})["Minutes"]
    assert minutes.startswith("plant: 34 minutes | area ÷")


def test_a_spot_spray_is_checked_by_hand():
    row = {
        "name": "spot", "use": "spot spray", "mode": "percent by volume", "rate": 2.0,
        "unit": "fl oz", "acres": 0.1, "gal": 15.0, "product": 38.4, "gal_low": 15.0,
        "gal_high": 15.0,
    }  # fmt: skip
    why = said({**PLOT, "need": {"spray": [row], "setting": ["hand gun"]}})
    assert why["Machine"].startswith("hand gun: fluid ounces that wet 18.5 by 18.5 ft")
    assert "LSU AgCenter" not in why["Machine"]


def test_a_rate_from_memory_says_so_and_no_spread_is_made_up():
    row = {
        **PLOT["need"]["seed"][0],
        "from_memory": True,
        "lb_low": 150.0,
        "lb_high": 150.0,
    }
    drawn = {**PLOT, "acres_low": 2.0, "acres_high": 2.0, "walk": None,
             "need": {"seed": [row]}}  # fmt: skip
    why = said(drawn)
    assert "from memory, read nowhere" in why["Seed"]
    assert "±" not in why["Seed"]
    assert "drawn without a ±" in why["Acres"]
    assert "Lime" not in why


def test_a_strip_tells_every_term_of_every_estimate():
    terms = [{"term": "runner growth", "ft": 27.0, "source": "a leaflet"},
             {"term": "edge error", "ft": 12.0, "source": "the walk"}]  # fmt: skip
    row = {"terms": terms, "required_ft": 39.0, "width_ft": 39.0, "passes": 7}
    strip = {
        "kind": "strip", "acres": 2.9, "acres_low": 2.8, "acres_high": 3.0, "width_ft": 39.0,
        "width": {"low": row, "central": row, "stress": row}, "passes": None,
    }  # fmt: skip
    why = said(strip, StripReport)
    assert why["Width"].count("27 ft runner growth (a leaflet)") == 3
    assert "it errs wide" in why["Width"]
    assert "ring as drawn" in why["Acres"]


def test_a_walk_tells_what_its_margin_is_made_of():
    why = [
        {"code": "drift", "text": "drift of the fixes", "half_ac": 0.08, "common": 0.0,
         "source": "simulated walks"},
        {"code": "edge", "text": "the edge as it was kept", "half_ac": 0.06, "common": 1.0,
         "source": "measured on laps"},
    ]  # fmt: skip
    told = said({**PLOT, "walk": {"sigma_m": 2.1, "why": why}})["Acres"]
    assert "why ± 0.10 ac" in told
    assert "± 0.08 ac: drift of the fixes (simulated walks)" in told
    assert "± 0.06 ac: the edge as it was kept (measured on laps)" in told
    assert "why ±" not in said(PLOT)["Acres"]


def test_acres_are_told_in_words_a_landowner_knows():
    assert "on the curve of the earth" in said(PLOT)["Acres"]
    assert "ellipsoid" not in " ".join(said(PLOT).values())


def test_why_is_told_in_metric_units_too():
    why = said(PLOT, metric=True)
    assert "0.809 ha on the curve of the earth" in why["Acres"]
    assert "between 0.769 and 0.850 ha, 19 times in 20" in why["Acres"]
    assert "67.3 kg/ha of live seed" in why["Seed"]
    assert "× 0.809 ha = 68.0 kg, 64.6 to 71.4 kg by the acres' own ±" in why["Seed"]
    assert "67.3-101 kg/ha is printed in a mix" in why["Seed"]
    assert "172 live seeds a m² at 32,000 a kg" in why["Seed"]
    assert (
        "7.29 t/ha, 4.48 of it now; 4.48 × 0.809 ha = 3.63 t, 3.45 to 3.81 t" in why["Lime"]
    )
    assert "P₂O₅ 44.8 kg/ha asked, 44.8 given" in why["Fertilizer"]
    assert "50.4 kg/ha of N left out" in why["Fertilizer"]
    assert "$120.50 ÷ 0.809 ha = $148.88 a hectare" in why["Dollars"]
    assert "the rate × its area" in why["Machine"]  # a formula holds in any unit
    assert "sq ft" not in why["Machine"]
    row = {
        "name": "feed", "use": "foliar feed", "mode": "per acre", "rate": 64.0, "unit": "fl oz", "acres": 1.4,
        "gal": 21.0, "product": 89.6, "gal_low": 20.0, "gal_high": 22.0,
    }  # fmt: skip
    spray = said({**PLOT, "need": {"spray": [row]}}, metric=True)["Spray"]
    assert (
        "0.567 ha sprayed × 140 L/ha = 79.5 L; 2,650 mL of product at 4,677 mL/ha" in spray
    )
    assert "75.7 to 83.3 L by the acres' own ±" in spray
