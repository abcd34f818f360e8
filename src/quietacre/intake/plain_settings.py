"""property.toml as it stands, unchecked: for what is shown or asked before anything is read."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from pathlib import Path


def plain_settings(folder: Path) -> dict[str, object] | None:
    """Return the settings of a place unchecked, None when they are no TOML.

    A build, or the first page of the desk, says what is wrong with them.
    """
    try:
        return tomllib.loads((folder / SETTINGS_FILE).read_bytes().decode("utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return None
