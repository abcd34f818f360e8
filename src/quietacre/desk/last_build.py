"""What the last build of a place said, and whether something was changed since."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, NamedTuple, cast

from quietacre.logbook import LOG
from quietacre.model import OUT, SETTINGS_FILE

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.report_json.report import ReportJson


class LastBuild(NamedTuple):
    """The report of a build; ``old`` when the settings or the log were changed since.

    The report may be of another version of this program and lack a key: each is asked for.
    """

    report: ReportJson
    old: bool


def last_build(folder: Path) -> LastBuild | None:
    """Return the last build of a property folder, None where there is none to be read."""
    path = folder / OUT / "report.json"
    try:
        report = json.loads(path.read_text(encoding="utf-8"))
        made = path.stat().st_mtime
    except (OSError, ValueError):
        return None
    if not isinstance(report, dict):
        return None
    own = (folder / name for name in (SETTINGS_FILE, LOG))
    newest = max((one.stat().st_mtime for one in own if one.is_file()), default=0.0)
    return LastBuild(cast("ReportJson", report), newest > made)
