"""The places a person had open, and where new ones are kept: small files of the person's own."""

from __future__ import annotations

import contextlib
import datetime as dt
import getpass
import hashlib
import json
import sys
from typing import TYPE_CHECKING

from quietacre.edit.state import user_state
from quietacre.export.atomic import write_atomic
from quietacre.filenames import safe_name
from quietacre.intake.plain_settings import plain_settings
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from pathlib import Path

#: So many places are remembered.
MOST_PLACES = 12


def home_folder() -> Path:
    """Return where new places are kept: in the person's documents."""
    from platformdirs import user_documents_path

    return user_documents_path() / "quietacre"


def _list_file() -> Path:
    return user_state() / "desk" / "places.json"


def known_places() -> list[dict[str, str]]:
    """Return the places that were open, the last first, with their names; gone ones left out."""
    try:
        folders = json.loads(_list_file().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        folders = []
    from pathlib import Path

    places = []
    for folder in folders if isinstance(folders, list) else []:
        path = Path(str(folder))
        if (path / SETTINGS_FILE).is_file():
            places.append({"folder": str(path), "name": name_of(path)})
    return places


def remember(folder: Path) -> None:
    """Put a place first among those that were open. A full disk forgets it, nothing else."""
    folders = [place["folder"] for place in known_places()]
    mine = [str(folder), *(one for one in folders if one != str(folder))][:MOST_PLACES]
    if mine == folders:
        return
    path = _list_file()
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_atomic(path, json.dumps(mine, indent=1).encode())


def name_of(folder: Path) -> str:
    """Return what a place calls itself; its folder's name when it cannot be read."""
    settings = plain_settings(folder)
    name = (settings or {}).get("property", {})
    return str(name.get("name") or folder.name) if isinstance(name, dict) else folder.name


def settings_sum(folder: Path) -> str:
    """Return what a change of property.toml by any hand would change."""
    try:
        return hashlib.sha256((folder / SETTINGS_FILE).read_bytes()).hexdigest()
    except OSError:
        return ""


def new_folder(name: str) -> Path:
    """Return a folder for a new place that is not there yet."""
    stem = safe_name(name.strip() or "My place")
    home = home_folder()
    folder, number = home / stem, 2
    while folder.exists():
        folder, number = home / f"{stem} {number}", number + 1
    return folder


def copies_folder(typed: str) -> Path:
    """Return where a copy goes: what was typed, or a folder beside the places; made if need be."""
    from pathlib import Path

    to = Path(typed).expanduser() if typed.strip() else home_folder() / "copies"
    if to.suffix.lower() != ".zip":
        with contextlib.suppress(OSError):  # the copy itself says what is wrong with it
            to.mkdir(parents=True, exist_ok=True)
    return to


def _copies_file() -> Path:
    return user_state() / "desk" / "copies.json"


def _copies() -> dict[str, dict[str, str]]:
    try:
        copies = json.loads(_copies_file().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return copies if isinstance(copies, dict) else {}


def remember_copy(folder: Path, copy: str) -> None:
    """Put down where the last copy of a place lies, and its day. A full disk forgets it."""
    today = dt.date.today().isoformat()  # noqa: DTZ011 - the person's own day
    copies = {**_copies(), str(folder): {"copy": copy, "on": today}}
    path = _copies_file()
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_atomic(path, json.dumps(copies, indent=1).encode())


def last_copy(folder: Path) -> dict[str, str] | None:
    """Return ``copy`` and ``on`` of the last copy the desk made of a place, None without one."""
    known = _copies().get(str(folder))
    return known if isinstance(known, dict) else None


def drives() -> list[str]:
    """Return the drives that are plugged in, as far as this system shows them."""
    from pathlib import Path

    if sys.platform == "win32":
        letters = [Path(f"{letter}:\\") for letter in "DEFGHIJKLMNOPQRSTUVWXYZ"]
        return [str(path) for path in letters if path.exists()]
    rooms = [Path("/Volumes")]
    with contextlib.suppress(OSError, KeyError):
        me = getpass.getuser()
        rooms += [Path("/media") / me, Path("/run/media") / me]
    drives = []
    for room in rooms:
        with contextlib.suppress(OSError):
            drives += sorted(str(path) for path in room.iterdir() if path.is_dir())
    return drives
