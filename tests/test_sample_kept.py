"""The finished sample in sample_maps is what the program makes of it, every figure and word.

What changes an output on purpose makes it anew: ``quietacre demo sample_maps/sweetgum-bend``,
its ``years/`` taken away before where what a year came to is told otherwise;
the difference of report.json then shows which figures and words changed.
"""

import json
import math
from pathlib import Path

from quietacre.build import build_property
from quietacre.commands.demo import keep_last_year
from quietacre.demo.sample import SAMPLE_DAY, sample_files

OUT = Path(__file__).parents[1] / "sample_maps" / "sweetgum-bend" / "out"
#: Libraries of other versions add in another order.
CLOSE = 1e-6


def differences(kept, made, at=""):
    """Yield each place where two reports differ, with what stood there and what stands now."""
    if isinstance(kept, dict) and isinstance(made, dict):
        for key in [*kept, *(key for key in made if key not in kept)]:
            yield from differences(kept.get(key), made.get(key), f"{at}.{key}")
    elif isinstance(kept, list) and isinstance(made, list) and len(kept) == len(made):
        for number, (one, two) in enumerate(zip(kept, made, strict=True)):
            yield from differences(one, two, f"{at}[{number}]")
    elif isinstance(kept, float) or isinstance(made, float):
        if not math.isclose(kept or 0, made or 0, rel_tol=CLOSE, abs_tol=CLOSE):
            yield f"{at}: {kept} was, {made} is"
    elif kept != made:
        yield f"{at}: {str(kept)[:200]} was, {str(made)[:200]} is"


def test_differences_are_found():
    kept = {"a": [{"b": 1.0, "c": "x"}], "d": 2, "gone": None}
    assert not list(differences(kept, json.loads(json.dumps(kept))))
    assert list(differences(kept, {"a": [{"b": 1.1, "c": "y"}], "d": 3, "new": 4})) == [
        ".a[0].b: 1.0 was, 1.1 is", ".a[0].c: x was, y is", ".d: 2 was, 3 is",
        ".new: None was, 4 is",
    ]  # fmt: skip
    assert list(differences([1], [1, 2])) == [": [1] was, [1, 2] is"]


def test_the_finished_sample_is_what_is_made_now(tmp_path):
    for name, data in sample_files().items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    last_year = keep_last_year(tmp_path, SAMPLE_DAY)
    built = build_property(tmp_path, today=SAMPLE_DAY)
    assert built.report.years.beside.source == f"as kept in {last_year}"
    # its papers are as they were when it was closed; what it came to is what is made now
    stands, made = (
        json.loads((home / last_year / "year.json").read_text(encoding="utf-8"))
        for home in (OUT.parent, tmp_path)
    )
    found = list(differences(stands, made, last_year))
    assert not found, "\n".join(["make the sample and its years anew:", *found[:30]])
    for name, data in built.files.items():  # what is not bytes of a library
        if name.endswith((".csv", ".sld", ".gpx", ".kml")):
            assert (OUT / name).read_bytes() == data, f"{name}: make the sample anew"
    kept = json.loads((OUT / "report.json").read_text(encoding="utf-8"))
    found = list(differences(kept, json.loads(built.files["report.json"])))
    assert not found, "\n".join(["make the sample anew, or mend this:", *found[:30]])
