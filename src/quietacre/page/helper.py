"""A small page with boxes for whoever helps: chosen jobs, nothing of the rest of the place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.as_json import marked, plain
from quietacre.page.figures_of_page import figures_for_page
from quietacre.page.map import digest, escaped_json, template
from quietacre.page.pack import packed
from quietacre.page.report_data import slim
from quietacre.page.ticks import ticks_data

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.report_records import Report
    from quietacre.year.records import YearTask

#: Its script, in the order it is put together; most of it is the map's.
HELPER_SCRIPTS = (
    "unpack.js", "data.js", "figures.js", "elements.js", "ticks.js", "boxes.js", "jobs.js",
    "helper.js",
)  # fmt: skip


def helper_page(
    report: Report, tasks: Sequence[YearTask], *, title: str,
    about: Sequence[str] = (), who: str = "", units: str = "us",
) -> str:  # fmt: skip
    """Return one offline file with some jobs of the year, each with its box.

    Parameters
    ----------
    report : everything that was planned.
    tasks : the jobs to list, in order, as the report's year has them.
    title : what stands above them.
    about : what is to be said of the list, a sentence each.
    who : whose list it is: the name that its ticks carry, "" for anybody's.
    units : "us" or "metric".
    """
    place = report.property
    page_data = plain({
        "made_on": report.made_on,
        "property": {"name": place.name, "note": place.note},
        "year": {"tasks": list(tasks), "quiet": [], "missed": []},
        "cautions": report.cautions,
    }, marked)  # fmt: skip
    data = escaped_json(
        packed([{
            "report": slim(page_data, "report"), "units": units, "figures": figures_for_page(),
            "layers": {}, "ticks": ticks_data(report, who=who),
            "list": {"title": title, "about": list(about)},
        }])
    )  # fmt: skip
    inside = "".join(template(name) for name in HELPER_SCRIPTS)
    script = f'"use strict";\n(function () {{\n{inside}}})();'
    style = template("page.css")
    policy = (
        f"default-src 'none'; script-src {digest(script)}; style-src {digest(style)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    return "".join([
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8" />\n',
        f'<meta http-equiv="Content-Security-Policy" content="{policy}" />\n',
        '<meta name="viewport" content="width=device-width, initial-scale=1" />\n',
        "<title>Jobs</title>\n",
        f'<style>{style}</style>\n</head>\n<body class="helper">\n<main id="leaf" class="list"></main>\n',
        "<noscript><p>This list needs its own script to run; your browser has scripts turned "
        "off.</p></noscript>\n",
        f'<script type="application/json" id="ledger-data">{data}</script>\n',
        f"<script>{script}</script>\n</body>\n</html>\n",
    ])  # fmt: skip
