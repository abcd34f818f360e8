"""The sample property written into a folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from pathlib import Path


def write_sample(folder: Path, place_id: str | None = None) -> None:
    """Write the sample property into a folder that is missing, empty or the sample's.

    Parameters
    ----------
    folder : where it goes.
    place_id : an id of its own for a copy to try things on; without one the folder is the
        same whenever it is written.

    Raises
    ------
    FileProblem
        The folder holds files that are not the sample's: they are left alone.
    """
    from quietacre.demo.sample import sample_files
    from quietacre.export.atomic import write_atomic

    files = sample_files()
    if place_id is not None:
        text = files[SETTINGS_FILE].decode()
        files[SETTINGS_FILE] = text.replace(
            "[property]\n", f'[property]\nid = "{place_id}"\n', 1
        ).encode()
    if folder.exists() and not folder.is_dir():
        raise FileProblem(
            "is a file, not a folder", fix="name a new folder", source=str(folder)
        )
    for name, data in files.items():
        path = folder / name
        if path.exists() and path.read_bytes() != data:
            raise FileProblem(
                f"already holds another {name}",
                fix="name a new folder for the sample; nothing was changed",
                source=str(folder),
            )
    if folder.is_dir() and any(folder.iterdir()) and not (folder / SETTINGS_FILE).exists():
        raise FileProblem(
            "holds files of yours",
            fix="name a new folder for the sample; nothing was changed",
            source=str(folder),
        )
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        write_atomic(folder / name, data)
