"""Settings made in Python, checked as those of a property.toml are."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from quietacre.errors import SettingsProblem
from quietacre.intake.file_faults import GIVEN, Place
from quietacre.intake.property import checked

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from quietacre.settings import Property

#: What the faults are said of.
SOURCE = "settings"


def settings_from(values: Mapping[str, object], folder: Path | None = None) -> Property:
    """Return settings made of plain values, with the keys of property.toml.

    Parameters
    ----------
    values : tables and keys as in property.toml: ``{"property": {"name": …}, "area": […]}``.
        It is not changed.
    folder : where the files lie that they name. Without one, no file may be named: an
        area's ``from`` is left out, and its ground is given to ``measure_given``.

    Raises
    ------
    SettingsProblem
        Every fault at once, each with its key, as of a property.toml.
    """
    document = _plain(values)
    areas = document.get("area")
    if folder is None and isinstance(areas, list):
        for area in areas:
            if isinstance(area, dict):
                area.setdefault("from", GIVEN)
    return checked(document, Place(folder), SOURCE)[0]


def _plain(value: Any, path: str = "") -> Any:  # noqa: ANN401 - any value
    """Return a value as TOML would give it: numbers of numpy and tuples made plain."""
    if hasattr(value, "items"):
        return {str(key): _plain(item, f"{path}.{key}") for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item, f"{path}[{n}]") for n, item in enumerate(value, 1)]
    if type(value).__module__ == "numpy" and getattr(value, "shape", None) == ():
        value = value.item()
    if not isinstance(value, (str, bool, int, float, dt.date)):
        raise SettingsProblem(
            [f"{path.lstrip('.')}: a {type(value).__name__} stands in no settings"],
            source=SOURCE,
        )
    return value
