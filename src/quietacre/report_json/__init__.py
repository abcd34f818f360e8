"""report.json key by key: the type of each object in it, for whoever reads it in Python.

Inside, the records are read that it is made of.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from quietacre.report_json.report import AreaReportJson, StripReportJson

    #: A piece of ground: an area, or a strip or firebreak.
    PieceJson = AreaReportJson | StripReportJson
