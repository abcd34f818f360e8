"""Every fault that property.toml can hold, in the words that a person reads."""

import pytest

from quietacre.errors import SettingsProblem
from quietacre.intake.property import parse_property

HEAD = '[property]\nname = "x"\n'
#: What is written, and the faults said of it; none where it is right by a hair.
WRITTEN = [
    ("[property]\nname = 5\n", ["property.name: “5” should be text, in quotes"]),
    ("[property]\n", ["property.name: is missing; add it"]),
    ('name = "x"\n', ["property: is missing; add it", "name: there is no such key; did you mean “area”?"]),
    (HEAD + 'state = "Alabama"\n', ["property.state: “Alabama” should be two capital letters"]),
    (HEAD + 'region = "coastal plains"\n', ["property.region: “coastal plains” is not one of upper South, coastal plain, Midwest; did you mean “coastal plain”?"]),
    (HEAD + 'last_frost = "02-30"\n', ["property.last_frost: “02-30” is not a day of the year"]),
    (HEAD + 'last_frost = "2-3"\n', ["property.last_frost: “2-3” should be month-day, as “05-15”"]),
    (HEAD + 'last_frost = "04-10"\nfirst_frost = "04-10"\n', ["property.first_frost: does not come after last_frost; give both in order"]),
    (HEAD + 'last_frost = "11-06"\n', ["property.first_frost: does not come after last_frost; give both in order"]),
    (HEAD + 'boundary = "edge.gpx"\n', ["property.boundary: “edge.gpx” is not there; did you mean “a.gpx”?"]),
    (HEAD + 'boundary = "a.gpkx"\n', ["property.boundary: “a.gpkx” is not there; did you mean “a.gpx”?"]),
    (HEAD + 'nmae = "y"\n', ["property.nmae: there is no such key; did you mean “name”?"]),
    (HEAD + "keep_vine_confirmed = 1\n", ["property.keep_vine_confirmed: should be true or false"]),
    (HEAD + 'keep_vine_confirmed = "yes"\n', ["property.keep_vine_confirmed: should be true or false"]),
    (HEAD + '[equipment]\nmower_width_ft = "6"\n', ["equipment.mower_width_ft: “6” should be a number, without quotes"]),
    (HEAD + "[equipment]\nmower_width_ft = true\n", ["equipment.mower_width_ft: true should be a number, without quotes"]),
    (HEAD + "[equipment]\nmower_width_ft = 0\n", ["equipment.mower_width_ft: “0” should be more than 0"]),
    (HEAD + "[equipment]\nmower_width_ft = -1\n", ["equipment.mower_width_ft: “-1” should be more than 0"]),
    (HEAD + "[equipment]\nmower_width_ft = nan\n", ["equipment.mower_width_ft: nan is not a number to reckon with; type a plain one"]),
    (HEAD + "[equipment]\nmower_width_ft = 1e300\n", ["equipment.mower_width_ft: 1e+300 is not a number to reckon with; type a plain one"]),
    (HEAD + "[equipment]\nfield_efficiency = 1.5\n", ["equipment.field_efficiency: “1.5” should be 1 or less"]),
    (HEAD + "[equipment]\nmower_overlap_ft = -0.1\n", ["equipment.mower_overlap_ft: “-0.1” should be 0 or more"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plots"\nfrom = "a.gpx"\n', ["area[1].kind: “plots” is not one of plot, patch, native, timber, water, road, keepout, burn; did you mean “plot”?"]),
    (HEAD + '[[area]]\nname = "North"\nfrom = "a.gpx"\n', ["area[1].kind: is missing; add it"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\n[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\n', ["area[2].name: “North” is the name of area[1] too; change one"]),
    (HEAD + '[[area]]\nname = "  "\nkind = "plot"\nfrom = "a.gpx"\n', ["area[1].name: is blank; give it a name"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = []\n', ["area[1].from: is empty; name the file of “North”"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = ["a.gpx", "./a.gpx"]\n', ["area[1].from: names a file twice; list it once"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "../a.gpx"\n', ["area[1].from: “../a.gpx” leads out of the property folder; copy the file into it"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "/etc/a.gpx"\n', ["area[1].from: “/etc/a.gpx” leads out of the property folder; copy the file into it"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "out/map.gpx"\n', ["area[1].from: “out/map.gpx” lies in out/, which every build writes anew; copy the file out of it, or what you drew is lost"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "b.gpx"\n', ["area[1].from: “b.gpx” is not there; did you mean “a.gpx”?"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = 7\n', ["area[1].from: “7” should be a name in quotes, or a list of them"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nover = "a.gpx"\n', ["area[1].over: “a.gpx” is in from too; from is the drawing, over its walk"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nmix = "mm"\n[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n', ["area[1].mix: there is no [[mix]] named “mm”; did you mean “m”?"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nmix = "zebra"\n[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n', ["area[1].mix: there is no [[mix]] named “zebra”"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nsoil_test = "q"\n', ["area[1].soil_test: there is no [[soil_test]] named “q”"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nfeed = [{ spray = "q" }]\n', ["area[1].feed[1].spray: there is no [[spray]] named “q”"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nwalked_inside_ft = 3\nwalked_outside_ft = 3\n', ["area[1].walked_inside_ft: give it or walked_outside_ft, not both"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nstrip = { mix = "q" }\n', ["area[1].strip.mix: there is no [[mix]] named “q”"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nstrip = { mix = "m", bare = true }\n[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n', ["area[1].strip.bare: a bare strip is not sown; leave out bare or mix"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nstrip = { soil_test = "q" }\n', ["area[1].strip.soil_test: there is no [[soil_test]] named “q”"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nstrip = { temperatures = "t.csv" }\n', ["area[1].strip.temperatures: “t.csv” is not there; check its name"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nprevious = { from = "p.gpx", on = 2025-01-01 }\n', ["area[1].previous.from: “p.gpx” is not there; did you mean “a.gpx”?"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nprevious = { from = "a.gpx", on = "2025" }\n', ["area[1].previous.on: “2025” is not a date; write it as 2027-09-26, without quotes"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nplant = "soon"\n', ["area[1].plant: “soon”: is neither a date nor a month-day; write it as 2027-09-26, without quotes, or as “09-26” for a day that comes back each year"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nplant = 2027-09-26T10:00:00\n', ["area[1].plant: is neither a date nor a month-day; write it as 2027-09-26, without quotes, or as “09-26” for a day that comes back each year"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nplant = 1700-01-01\n', ["area[1].plant: 1700-01-01 is no year to plan in; check it"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nplant = 5\n', ["area[1].plant: “5”: is neither a date nor a month-day; write it as 2027-09-26, without quotes, or as “09-26” for a day that comes back each year"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nfertilizer = "removal"\n', ['area[1].fertilizer: "removal" needs harvest, what is hauled off']),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nharvest = { what = "hey" }\n', ["area[1].harvest.what: “hey” is not in the table of what crops carry off; did you mean “hay”?"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nharvest = { what = "hay" }\n', ["area[1].harvest: hay is printed by the ton: give ton_ac alone"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nharvest = { what = "zzzz" }\n', ["area[1].harvest.what: “zzzz” is not in the table of what crops carry off; see quietacre need removal"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\ntasks = [{ task = "clip", days_before = 2000 }]\n', ["area[1].tasks[1].days_before: “2000” should be 1000 or less"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nwas = ["North"]\n', []),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\n[[area]]\nname = "South"\nkind = "plot"\nfrom = "a.gpx"\nwas = ["North"]\n', ["area[2].was: “North” is the name of “North” too; the log cannot tell which is meant"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nmax_products = 0\n', ["area[1].max_products: “0” should be 1 or more"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nmax_products = 1.5\n', ["area[1].max_products: “1.5” should be a whole number"]),
    (HEAD + '[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\nresidue = "wood"\n', ["area[1].residue: “wood” is not one of green, woody; did you mean “woody”?"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats" }]\n', ["mix[1].seed[1]: give share (of the full rate), rate_lb_ac or seeds_ft2"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 0.5, rate_lb_ac = 3 }]\n', ["mix[1].seed[1].share: give it or rate_lb_ac, not both", 'mix[1].seed[1].basis: say whether the rate is "bulk" or "pls"']),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", rate_lb_ac = 3 }]\n', ['mix[1].seed[1].basis: say whether the rate is "bulk" or "pls"']),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", rate_lb_ac = 3, basis = "pls" }]\n', ["mix[1].seed[1].purity: a pls rate needs purity and germination from the tag"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 0.5, germination = 0.9, hard = 0.2 }]\n', ["mix[1].seed[1].hard: germination and hard seed add to more than 1"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 0.5, germination = 0.9, hard = 0.1 }]\n', []),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "otas", share = 0.5 }]\n', ["mix[1].seed[1].crop: “otas” is not in the crop table; give its rate_lb_ac and basis. quietacre crops lists them"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "otas", rate_lb_ac = 3, basis = "bulk" }]\n', []),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 0.5, plant_from = "09-01" }]\n', ["mix[1].seed[1].plant_from: a window has two ends; give plant_from and plant_to, or neither"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 0.5, plant_from = "09-01", plant_to = "09-31" }]\n', ["mix[1].seed[1].plant_to: “09-31” is not a day of the year"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = []\n', ["mix[1].seed: is an empty list; give at least 1"]),
    (HEAD + '[[mix]]\nname = ""\nseed = [{ crop = "oats", share = 1.0 }]\n', ["mix[1].name: is blank; write something"]),
    (HEAD + '[[quiet]]\nname = "q"\nstart = "02-30"\nend = "03-01"\n', ["quiet[1].start: “02-30” is not a day of the year"]),
    (HEAD + '[[quiet]]\nname = "q"\nstart = "02-29"\nend = "03-01"\nkeeps_out = ["plto"]\n', ["quiet[1].keeps_out: “plto” is neither a kind nor an area; did you mean “plot”?"]),
    (HEAD + '[[quiet]]\nname = "q"\nstart = "02-29"\nend = "03-01"\nkeeps_out = ["plot", "strip", "North"]\n[[area]]\nname = "North"\nkind = "plot"\nfrom = "a.gpx"\n', []),
    (HEAD + '[[quiet]]\nname = "q"\nstart = "02-29"\nend = "03-01"\nkeeps_out = "some"\n', ["quiet[1].keeps_out: “some” is not one of all", "quiet[1].keeps_out: “some” should be a name in quotes, or a list of them"]),
    (HEAD + '[[soil_test]]\nname = "s"\nneed_lb_ac = { p = 1, p2o5 = 1, k = 1, k2o = 1 }\n', ["soil_test[1].need_lb_ac.p: give p or p2o5, not both", "soil_test[1].need_lb_ac.k: give k or k2o, not both"]),
    (HEAD + '[[soil_test]]\nname = "s"\nneed_ppm = { p = 1, p2o5 = 1 }\n', ["soil_test[1].need_ppm.p: give p or p2o5, not both"]),
    (HEAD + '[[soil_test]]\nname = "s"\nneed_lb_ac = { n = 1 }\nneed_ppm = { n = 1 }\n', ["soil_test[1].need_ppm: give need_lb_ac or need_ppm, not both"]),
    (HEAD + '[[soil_test]]\nname = "s"\nlime_ton_ac = 1\nlime_lb_ac = 2000\n', ["soil_test[1].lime_lb_ac: give lime_ton_ac or lime_lb_ac, not both"]),
    (HEAD + '[[soil_test]]\nname = "s"\nbuffer = "Mehlich"\nlime_ton_ac = 1\n', ["soil_test[1].buffer: give the laboratory's lime figure or a buffer, not both"]),
    (HEAD + '[[soil_test]]\nname = "s"\nbuffer = "Mehlich"\nlime_lb_ac = 1\n', ["soil_test[1].buffer: give the laboratory's lime figure or a buffer, not both"]),
    (HEAD + '[[soil_test]]\nname = "s"\nlime_basis_pct = 100\nlime_basis_ecce_pct = 100\nlime_basis = "ECCE"\n', ["soil_test[1].lime_basis_pct: give it or lime_basis_ecce_pct, not both"]),
    (HEAD + '[[soil_test]]\nname = "s"\nlime_basis_pct = 100\n', ["soil_test[1].lime_basis: say of which measure lime_basis_pct is the percent"]),
    (HEAD + '[[soil_test]]\nname = "s"\nlime_basis_ecce_pct = 100\nlime_basis = "CCE"\n', ["soil_test[1].lime_basis_ecce_pct: the basis is CCE; use lime_basis_pct"]),
    (HEAD + '[[soil_test]]\nname = "s"\nlime_basis = "ENP"\nlime_ton_ac = 1\n', ["soil_test[1].lime_ton_ac: ENP is written in pounds; give lime_lb_ac"]),
    (HEAD + '[[soil_test]]\nname = "s"\nlime_basis = "ENP"\nlime_lb_ac = 1\n', []),
    (HEAD + '[[soil_test]]\nname = "s"\nph = 12\n', ["soil_test[1].ph: “12” should be 11 or less"]),
    (HEAD + '[[soil_test]]\nname = "s"\nph = 2\n', ["soil_test[1].ph: “2” should be more than 2"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n[crop.otas]\nwindow = "Sep 1-Oct 15"\n', ["crop.otas: no mix sows “otas”; did you mean “oats”?"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n[crop.oats]\nwindow = "sometime"\n', ["crop.oats.window: “sometime” is no planting window to be read; write it as “Sep 1-Oct 15”, “late Aug-early Oct”, “May”, “Jun 1” or “Aug 15-Oct 1; Feb-Mar”"]),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n[crop.oats]\nlags = { clip_days = 20 }\n', ["crop.oats.lags.clip_days: 20 days leave no 21 for the rot and 11 from the second disking to planting; give 32 or more, or fewer rot_days"]),
    (HEAD + "[lags]\nclip_days = 31\n", ["lags.clip_days: 31 days leave no 21 for the rot and 11 from the second disking to planting; give 32 or more, or fewer rot_days"]),
    (HEAD + "[lags]\nclip_days = 32\n", []),
    (HEAD + "[lags]\nclip_days = 40\nrot_days = 30\n", ["lags.clip_days: 40 days leave no 30 for the rot and 11 from the second disking to planting; give 41 or more, or fewer rot_days"]),
    (HEAD + "[lags]\nclip_days = 41\nrot_days = 30\n", []),
    (HEAD + '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n[crop.oats]\ntasks = [{ task = "clip", crop = "oats" }]\n', ["crop.oats.tasks[1].crop: these tasks are this crop's; leave it out"]),
    (HEAD + "[forage]\ndeer = 5\nintake_lb_day = 2\ndays = 100\nutilisation = 0.5\n", ["forage.yield_lb_ac: give it or clips, one of them"]),
    (HEAD + "[forage]\ndeer = 5\nintake_lb_day = 2\ndays = 100\nutilisation = 0.5\nclips = { area_ft2 = 9, dry_frac = 0.2, inside_g = [0, 0], outside_g = [1] }\n", ["forage.clips.outside_g: 1 clippings outside for 2 inside; give one for each, in the same order", "forage.clips.inside_g: nothing grew inside any cage; give yield_lb_ac"]),
    (HEAD + '[map]\npicture = "p.tif"\n', ["map.picture: “p.tif” is not there; check its name"]),
    (HEAD + '[map]\npicture_crs = "EPSG:4326"\n', ["map.picture_crs: there is no picture; give one or leave it out"]),
    (HEAD + '[map]\ntiles = "http://x"\n', ["map.tiles: “http://x” should be an address that begins with https:// and holds {z}, {x} and {y}, without spaces or quotes, as “https://tiles.example.org/{z}/{x}/{y}.png”"]),
    (HEAD + '[map]\ntiles = "https://t.example.org/{z}/{x}.png"\n', ["map.tiles: “https://t.example.org/{z}/{x}.png” lacks {y}"]),
    (HEAD + '[map]\ntiles_credit = "x"\n', ["map.tiles_credit: there is no tiles address; give one or leave it out"]),
    (HEAD + '[map]\nunits = "meters"\n', ["map.units: “meters” is not one of us, metric; did you mean “metric”?"]),
    (HEAD + '[weather]\nfrom = "w.csv"\n', ["weather.from: “w.csv” is not there; check its name"]),
    (HEAD + '[weather]\nfrom = "a.gpx"\nfirst_year = 2000\nlast_year = 1999\n', ["weather.first_year: 2000 is after last_year 1999"]),
    (HEAD + '[weather]\nfrom = "a.gpx"\nrain_days = 61\n', ["weather.rain_days: “61” should be 60 or less"]),
    (HEAD + '[[round]]\ntask = "clip"\nevery = "3 moons"\nmonths = ["01-01", "02-01"]\n', ["round[1].every: “3 moons” should be a length of time, as “3 years” or “6 months”"]),
    (HEAD + '[[round]]\ntask = "clip"\nevery = "3 years"\nmonths = ["01-01"]\n', ["round[1].months[2]: is missing; add it"]),
    (HEAD + '[[round]]\ntask = "clip"\nevery = "3 years"\nmonths = ["01-01", "02-01", "03-01"]\n', ["round[1].months: has more than 2 entries"]),
    (HEAD + '[work]\nweekdays = ["sat", "sunday"]\n', ["work.weekdays[2]: “sunday” is not one of mon, tue, wed, thu, fri, sat, sun; did you mean “sun”?"]),
    (HEAD + "[work]\nhelpers = -1\n", ["work.helpers: “-1” should be 0 or more"]),
    (HEAD + "[work]\ntractors = 0\n", ["work.tractors: “0” should be 1 or more"]),
    (HEAD + '[work]\nblocked_days = ["2027-01-01"]\n', []),
    (HEAD + "[work]\nblocked_days = 2027-01-01\n", ["work.blocked_days: should be a list, in [ ]"]),
    (HEAD + '[log_words]\nmow = "clipp"\n', ['log_words."mow": “clipp” is no job; did you mean “clip”?']),
    (HEAD + "area = 5\n", ["property.area: there is no such key; did you mean “name”?"]),
    (HEAD + '[crop."a b"]\nlags = { rot_days = "x" }\n', ['crop."a b".lags.rot_days: “x” should be a whole number, without quotes', 'crop."a b": no mix sows “a b”']),
    ("x = [\n", ["is not TOML: Invalid value (at end of document)"]),
    (HEAD + "n = [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]\n", ["nests too deep"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "faults"), WRITTEN)
def test_each_fault_is_named_with_its_cure(text, faults, tmp_path):
    (tmp_path / "a.gpx").write_text("")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "map.gpx").write_text("")
    if not faults:
        assert parse_property(text, tmp_path).property.name == "x"
        return
    with pytest.raises(SettingsProblem) as caught:
        parse_property(text, tmp_path)
    assert list(caught.value.faults) == faults


def test_a_file_that_is_about_to_come_is_there_and_a_link_out_is_not(tmp_path):
    area = '[[area]]\nname = "N"\nkind = "plot"\nfrom = "walks/b.gpx"\n'
    assert parse_property(HEAD + area, tmp_path, coming=["walks/b.gpx"]).area[0].name == "N"
    home = tmp_path / "home"
    (home / "walks").mkdir(parents=True)
    (tmp_path / "b.gpx").write_text("")
    (home / "walks" / "b.gpx").symlink_to(tmp_path / "b.gpx")
    with pytest.raises(SettingsProblem) as caught:
        parse_property(HEAD + area, home)
    assert caught.value.faults == (
        "area[1].from: “walks/b.gpx” is a link out of the property folder; copy the file into it",
    )


def test_faults_of_several_kinds_are_said_at_once(tmp_path):
    text = (
        HEAD
        + 'state = "al"\nnmae = 1\n[equipment]\nmower_mph = "3"\n[work]\nhelpers = -1\n'
    )
    text += '[[area]]\nname = "N"\nkind = "plots"\nfrom = "c.gpx"\n'
    with pytest.raises(SettingsProblem) as caught:
        parse_property(text, tmp_path)
    assert [fault.partition(":")[0] for fault in caught.value.faults] == [
        "property.state", "property.nmae", "area[1].kind", "work.helpers",
        "equipment.mower_mph", "area[1].from",
    ]  # fmt: skip
    assert str(caught.value).startswith("property.toml: property.state: “al” should be two")
