"""Where ground that was measured is kept for the next opening of its place."""

from __future__ import annotations

import hashlib
import os
from typing import TYPE_CHECKING

from quietacre.edit.state import user_state

if TYPE_CHECKING:
    from pathlib import Path


def kept_file(folder: Path) -> Path:
    """Return the file in which a place's ground is kept, there or not."""
    name = hashlib.sha256(os.fsencode(folder)).hexdigest()[:24]
    return user_state() / "desk" / "ground" / f"{name}.json"


def is_kept(folder: Path) -> bool:
    """Return whether ground of a place is kept, be it as it was or not."""
    return kept_file(folder.resolve()).is_file()
