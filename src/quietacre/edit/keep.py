"""A copy of a place to keep: one zip of all its files, compared with them before it counts.

In it lies ``manifest-sha256.txt``, a line a file, in the form of RFC 8493 ("The BagIt File
Packaging Format (V1.0)", IETF, 2018) that ``sha256sum -c`` reads too: names stand as they
are, with nothing encoded, and names that hold line breaks are refused.
"""

from __future__ import annotations

import hashlib
import os
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING

from quietacre.cells import fits_a_line
from quietacre.edit.journal import recover
from quietacre.edit.state import place_home, turn
from quietacre.errors import FileProblem
from quietacre.export.atomic import STAGE_PREFIX, staged
from quietacre.filenames import safe_name
from quietacre.intake.archive import BLOCK, MEGABYTE
from quietacre.intake.limits import lies_inside
from quietacre.model import OUT, SETTINGS_FILE

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

MANIFEST = "manifest-sha256.txt"
#: What systems and office programs leave in folders; common practice, no source.
LEFT_BEHIND = (".DS_Store", "Thumbs.db", "desktop.ini")
#: Packed already: to pack them once more takes time and gives nothing.
PACKED = (".jpg", ".jpeg", ".png", ".zip", ".kmz")


@dataclass(frozen=True)
class KeptCopy:
    """A copy that was written, reopened and compared.

    ``left_out`` are names and why each is not in it; ``odd_names`` are in it, but a system
    other than this one may not be able to keep them.
    """

    path: Path
    files: int
    size_bytes: int
    left_out: tuple[tuple[str, str], ...]
    odd_names: tuple[str, ...]


@dataclass(frozen=True)
class _Found:
    """What a folder holds: files and empty folders to keep, and names left out."""

    files: dict[str, Path]
    empty: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]


def keep_copy(
    folder: Path, to: Path, *, today: dt.date, state: Path | None = None
) -> KeptCopy:
    """Write a copy of a property folder and compare it with the folder.

    Parameters
    ----------
    folder : the property folder; nothing in it is changed, but for a change that was cut
        short before, which is carried to its end first.
    to : a zip file that is not there yet, or a folder in which it gets a name with the day.
    today : the day in its name.
    state : folder for the journals of all places; the person's own when None.

    Raises
    ------
    FileProblem
        ``to`` cannot take it, a name cannot be kept, or a file changed meanwhile. No copy
        is left behind then.
    OSError
        The file system refused; no copy is left behind.
    """
    if not (folder / SETTINGS_FILE).is_file():
        raise FileProblem(
            "there is no property.toml",
            fix="name the property's folder",
            source=str(folder),
        )
    real = folder.resolve()
    target = _target(real, to, today)
    recover(real, state=state)
    with turn(place_home(real, state), real):
        contents = _found(real)
        _check_names(contents)
        before = {name: _stamp(path) for name, path in contents.files.items()}
        top = safe_name(real.name)
        with staged(target) as stage:
            sums = _write(stage, top, contents)
            _compare(stage, top, sums)
            for name, path in contents.files.items():
                if _stamp(path) != before[name]:
                    raise FileProblem(
                        "was changed while it was copied", fix="copy once more", source=name
                    )
    odd = tuple(
        name for name in sums if any(safe_name(part) != part for part in name.split("/"))
    )
    return KeptCopy(target, len(sums), target.stat().st_size, contents.left_out, odd)


def _target(folder: Path, to: Path, today: dt.date) -> Path:
    """Return the zip to write, which is not there yet and lies outside the folder."""
    if to.is_dir():
        stem, number = f"{safe_name(folder.name)}-{today.isoformat()}", 2
        target = to / f"{stem}.zip"
        while target.exists():
            target, number = to / f"{stem}-{number}.zip", number + 1
    elif to.suffix.lower() == ".zip":
        target = to
        if not to.parent.is_dir():
            raise FileProblem(
                "there is no such folder", fix="check its name", source=str(to.parent)
            )
        if target.exists() or target.is_symlink():
            raise FileProblem(
                "is there already, and no copy is written over another",
                fix="name a new file, or a folder", source=str(to),
            )  # fmt: skip
    else:
        raise FileProblem(
            "is no folder that is there, and does not end in .zip",
            fix="check its name: is the stick or disk in place?", source=str(to),
        )  # fmt: skip
    if lies_inside(folder, target):
        raise FileProblem(
            "lies in the folder that is copied", fix="name a place elsewhere, best on another disk",
            source=str(target),
        )  # fmt: skip
    return target


def _found(folder: Path) -> _Found:
    """Return what a folder holds, by names with "/" between their parts, in order."""
    files: dict[str, Path] = {}
    empty: list[str] = []
    left_out = [(f"{OUT}/", "the next build makes it")] if (folder / OUT).exists() else []
    for place, folders, names in os.walk(folder, onerror=_raise):
        here = Path(place)
        inside = here.relative_to(folder)
        if here == folder:
            folders[:] = [one for one in folders if one != OUT]
            names = [name for name in names if name not in (MANIFEST, OUT)]  # noqa: PLW2901
        for one in sorted(folders):
            name = (inside / one).as_posix()
            if (here / one).is_symlink():
                left_out.append((name, "is a link to a folder"))
                folders.remove(one)
            elif one.startswith(STAGE_PREFIX):
                folders.remove(one)
        folders.sort()
        for file in sorted(names):
            name, why = (inside / file).as_posix(), _why_not(folder, here / file)
            if why:
                left_out.append((name, why))
            else:
                files[name] = here / file
        if not folders and not names and here != folder:
            empty.append(inside.as_posix())
    return _Found(files, tuple(empty), tuple(left_out))


def _raise(problem: OSError) -> None:
    raise problem


def _why_not(folder: Path, path: Path) -> str | None:
    """Return why a file is not copied, None for one that is."""
    name = path.name
    if name in LEFT_BEHIND or name.startswith((STAGE_PREFIX, ".~lock.", "~$")):
        return "a program left it behind"
    if path.is_symlink() and not lies_inside(folder, path):
        return "is a link out of the folder"
    return None if path.is_file() else "is no plain file"


def _check_names(contents: _Found) -> None:
    """Raise FileProblem for a name that no zip and no list of files can hold."""
    for name in (*contents.files, *contents.empty):
        if "\\" in name or not fits_a_line(name):
            raise FileProblem(
                "has a name that cannot be kept", fix="give it a plain name", source=name
            )


def _stamp(path: Path) -> tuple[int, int]:
    """Return what changes when a file is changed."""
    stat = path.stat()
    return stat.st_size, stat.st_mtime_ns


def _write(stage: Path, top: str, contents: _Found) -> dict[str, str]:
    """Write the archive; return the sum of each file as it was read."""
    sums: dict[str, str] = {}
    with zipfile.ZipFile(stage, "w", strict_timestamps=False) as archive:
        for one in contents.empty:
            archive.mkdir(f"{top}/{one}")
        for name, path in contents.files.items():
            info = zipfile.ZipInfo.from_file(path, f"{top}/{name}", strict_timestamps=False)
            small = info.file_size <= MEGABYTE and path.suffix.lower() not in PACKED
            info.compress_type = zipfile.ZIP_DEFLATED if small else zipfile.ZIP_STORED
            with path.open("rb") as source, archive.open(info, "w") as sink:
                sums[name] = _sum(source, sink)
        archive.writestr(f"{top}/{MANIFEST}", manifest(sums), zipfile.ZIP_DEFLATED)
    return sums


def _sum(source: IO[bytes], sink: IO[bytes] | None = None) -> str:
    """Return the SHA-256 of what a file holds, and copy it on the way."""
    digest = hashlib.sha256()
    while block := source.read(BLOCK):
        digest.update(block)
        if sink is not None:
            sink.write(block)
    return digest.hexdigest()


def file_sum(path: Path) -> str:
    """Return the SHA-256 of a file, as sixty-four letters and figures."""
    with path.open("rb") as file:
        return _sum(file)


def _compare(stage: Path, top: str, sums: dict[str, str]) -> None:
    """Read an archive back from the disk, and raise FileProblem unless every sum is right."""
    with stage.open("rb+") as handle:
        os.fsync(handle.fileno())
        if hasattr(os, "posix_fadvise"):  # what is kept in memory is no proof
            os.posix_fadvise(handle.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
    held = _sums_inside(stage, top)
    wrong = sorted(n for n in {*sums, *held} if sums.get(n) != held.get(n))
    if wrong:
        raise FileProblem(
            f"the copy does not hold what was written (first “{wrong[0]}”), so none is kept",
            fix="check the disk or stick, and copy to another", source=str(stage.parent),
        )  # fmt: skip


def _sums_inside(stage: Path, top: str) -> dict[str, str]:
    """Return the sum of each file of an archive, but for the list of sums."""
    try:
        with zipfile.ZipFile(stage) as archive:
            sums = {}
            for info in archive.infolist():
                if not info.is_dir():
                    with archive.open(info) as file:
                        sums[info.filename.removeprefix(f"{top}/")] = _sum(file)
            listed = archive.read(f"{top}/{MANIFEST}").decode()
    except (zipfile.BadZipFile, zlib.error, EOFError, LookupError, ValueError) as problem:
        raise FileProblem(
            f"the copy cannot be read back ({problem}), so none is kept",
            fix="check the disk or stick, and copy to another", source=str(stage.parent),
        ) from problem  # fmt: skip
    del sums[MANIFEST]
    return sums if listed == manifest(sums) else {}


def manifest(sums: Mapping[str, str]) -> str:
    """Return the list of sums, a line a file in the order given."""
    return "".join(f"{value}  {name}\n" for name, value in sums.items())
