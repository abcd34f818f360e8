"""The files a build writes, told once, and the page's mark of a set that is not whole."""

from __future__ import annotations

#: Names in the order they are shown, and what each is for.
OUTPUTS = {
    "map.html": "the map, which also prints as field sheets",
    "field-sheets.pdf": "a sheet for each piece of ground, to print without a browser",
    "areas.gpkg": "every layer, for a desktop GIS",
    "ground.sld": "its styles",
    "shopping.csv": "what to buy",
    "plan.csv": "the year, for a spreadsheet",
    "calendar.ics": "the year, for a calendar",
    "phone.gpx": "boundaries, strips and marks for the phone",
    "phone.kml": "the same in another form",
    "report.json": "every figure, for other programs",
    "build.json": "which build wrote the others, to tell a set that is not whole",
}
PAGE = "map.html"
#: Written last; whoever finds it beside the others can tell whether they belong together.
BUILD_FILE = "build.json"


def listed() -> str:
    """Return the names of the outputs as words for a sentence."""
    *names, last = OUTPUTS
    return f"{', '.join(names)} and {last}"
