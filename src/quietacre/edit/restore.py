"""A copy of a place brought back: looked at whole, unpacked aside, compared, put in place."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import time
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from quietacre.edit.keep import MANIFEST, file_sum
from quietacre.errors import FileProblem
from quietacre.export.atomic import staged_folder
from quietacre.filenames import safe_name
from quietacre.intake.archive import check_entries, extract, whole_archive
from quietacre.intake.limits import (
    MAX_COPY_BYTES,
    MAX_COPY_ENTRIES,
    check_file,
    decode,
    megabytes,
)
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from zipfile import ZipFile, ZipInfo

#: A line of the list of sums: the sum, a space, a space or a star, and the name.
LISTED = re.compile(r"([0-9a-fA-F]{64}) [ *]?(.+)")
UTF8_NAME = 0x800
LONGEST_LIST = 50_000_000


@dataclass(frozen=True)
class Restored:
    """A place that was brought back.

    ``compared`` says that every file was held against the list of sums; ``unlisted`` are
    files that the list does not name, ``left_out`` entries beside the place itself.
    """

    files: int
    compared: bool
    unlisted: tuple[str, ...]
    left_out: tuple[str, ...]


def restore(archive_path: Path, folder: Path) -> Restored:
    """Bring a copy of a place back into a new folder, whole or not at all.

    Parameters
    ----------
    archive_path : a zip that `keep_copy` wrote, or one that a person made of the folder.
    folder : missing, or empty: nothing that is there is ever written over.

    Raises
    ------
    FileProblem
        The zip is broken, holds no place or two, reaches outside, is locked or far too large,
        or differs from its list of sums; or the folder is not empty. Nothing is left behind.
    OSError
        The file system refused; nothing is left behind.
    """
    shown = str(archive_path)
    if folder.is_symlink() or (
        folder.exists() and (not folder.is_dir() or any(folder.iterdir()))
    ):
        raise FileProblem(
            "is already there and not empty", fix="name a new folder", source=str(folder)
        )
    check_file(archive_path, shown, MAX_COPY_BYTES)
    with whole_archive(archive_path, shown) as archive:
        entries = archive.infolist()
        check_entries(
            entries, shown, most_entries=MAX_COPY_ENTRIES, most_bytes=MAX_COPY_BYTES
        )
        named = _by_name(entries, shown)
        root = _root(named, shown)
        inside, left_out = _inside(named, root)
        sums = _listed(archive, inside.pop(MANIFEST, None), shown)
        _check_list(inside, sums, shown)
        _check_room(folder, inside.values())
        try:
            with staged_folder(folder) as stage:
                for name, entry in inside.items():
                    _lay(archive, entry, stage / name, shown)
                    if name in sums and file_sum(stage / name) != sums[name]:
                        raise _differs(name, shown)
        except OSError as problem:
            raise FileProblem(
                f"cannot be written ({problem.strerror or problem})",
                fix="check the folder, its permissions and free space", source=str(folder),
            ) from problem  # fmt: skip
    files = [name for name, entry in inside.items() if not entry.is_dir()]
    unlisted = [name for name in files if sums and name not in sums]
    return Restored(len(files), bool(sums), tuple(unlisted), tuple(left_out))


def _by_name(entries: Sequence[ZipInfo], shown: str) -> dict[str, ZipInfo]:
    """Return the entries by their names with "/" between the parts, Windows paths too."""
    named: dict[str, ZipInfo] = {}
    for entry in entries:
        name = _told(entry).replace("\\", "/")
        parts = PurePosixPath(name).parts
        unfit = [
            part for part in parts
            if any(ord(ch) < ord(" ") for ch in part)
            or (os.name == "nt" and safe_name(part) != part)
        ]  # fmt: skip
        if not parts or unfit:
            raise FileProblem(
                "an entry has no name for a file",
                fix="zip it again",
                source=shown,
                where=name,
            )
        if name.endswith("/") and not entry.filename.endswith("/"):
            if entry.file_size:
                raise FileProblem(
                    "an entry is a folder and a file",
                    fix="zip it again",
                    source=shown,
                    where=name,
                )
            entry.filename = name  # a folder, as Windows spells it
        plain = "/".join(parts)
        if plain in named:
            raise FileProblem(
                "an entry is in it twice", fix="zip it again", source=shown, where=plain
            )
        named[plain] = entry
    return named


def _told(entry: ZipInfo) -> str:
    """Return an entry's name, in UTF-8 also where the archive does not say that it is."""
    if entry.flag_bits & UTF8_NAME or entry.filename.isascii():
        return entry.filename
    with contextlib.suppress(UnicodeError):
        return entry.filename.encode("cp437").decode("utf-8")
    return entry.filename


def _root(named: Mapping[str, ZipInfo], shown: str) -> str:
    """Return the folder inside the archive that is the place, "" for the archive itself."""
    homes = [
        PurePosixPath(name).parent
        for name, entry in named.items()
        if PurePosixPath(name).name == SETTINGS_FILE and not entry.is_dir()
    ]
    least = min((len(home.parts) for home in homes), default=0)
    top = sorted(str(home) for home in homes if len(home.parts) == least)
    if not top:
        raise FileProblem(
            "holds no property.toml, so it is no copy of a place",
            fix="name a zip that quietacre copy wrote", source=shown,
        )  # fmt: skip
    if len(top) > 1:
        raise FileProblem(
            f"holds {len(top)} places: {', '.join(top[:5])}", fix="zip one of them alone",
            source=shown,
        )  # fmt: skip
    return "" if top[0] == "." else top[0]


def _inside(
    named: Mapping[str, ZipInfo], root: str
) -> tuple[dict[str, ZipInfo], list[str]]:
    """Return the entries of the place by their names in it, and the names of the others."""
    inside: dict[str, ZipInfo] = {}
    others = []
    for name, entry in named.items():
        if not root or name.startswith(f"{root}/"):
            inside[name[len(root) + 1 :] if root else name] = entry
        elif name != root and not root.startswith(f"{name}/"):
            others.append(name)
    return inside, others


def _listed(archive: ZipFile, entry: ZipInfo | None, shown: str) -> dict[str, str]:
    """Return the sums that the list names, none without a list."""
    if entry is None:
        return {}
    if entry.file_size > LONGEST_LIST:
        raise FileProblem(
            f"its {MANIFEST} is {megabytes(entry.file_size)}",
            fix="name another copy",
            source=shown,
        )
    sums = {}
    for number, line in enumerate(decode(archive.read(entry), shown).splitlines(), 1):
        match = LISTED.fullmatch(line)
        if match is None and line.strip():
            raise FileProblem(
                "is no list of sums", fix="name another copy", source=shown,
                where=f"{MANIFEST}: line {number}",
            )  # fmt: skip
        if match is not None:
            sums[match[2].replace("\\", "/").removeprefix("./")] = match[1].lower()
    return sums


def _check_list(inside: Mapping[str, ZipInfo], sums: Mapping[str, str], shown: str) -> None:
    missing = [name for name in sums if name not in inside]
    if missing:
        raise FileProblem(
            f"lacks {len(missing)} files that its {MANIFEST} names (first “{missing[0]}”)",
            fix="name another copy", source=shown,
        )  # fmt: skip


def _check_room(folder: Path, entries: Iterable[ZipInfo]) -> None:
    """Raise FileProblem when the disk has not the room for what is unpacked."""
    home = folder.absolute()
    while not home.exists():
        home = home.parent
    need = sum(entry.file_size for entry in entries)
    free = shutil.disk_usage(home).free
    if need > free:
        raise FileProblem(
            f"needs {megabytes(need)}, and the disk has {megabytes(free)} left",
            fix="make room, or name a folder on another disk", source=str(folder),
        )  # fmt: skip


def _lay(archive: ZipFile, entry: ZipInfo, target: Path, shown: str) -> None:
    """Unpack one entry where nothing stands yet."""
    if entry.is_dir():
        target.mkdir(parents=True, exist_ok=True)
        return
    if target.exists():  # names that this system does not tell apart
        raise FileProblem(
            "two entries have one name on this system", fix="rename one before it is zipped",
            source=shown, where=entry.filename,
        )  # fmt: skip
    extract(archive, entry, target, shown)
    with target.open("rb+") as handle:
        os.fsync(handle.fileno())
    with contextlib.suppress(OSError, OverflowError, ValueError):  # a day that is none
        when = time.mktime((*entry.date_time, 0, 0, -1))
        os.utime(target, (when, when))


def _differs(name: str, shown: str) -> FileProblem:
    return FileProblem(
        f"“{name}” is not what its {MANIFEST} says: the copy is damaged, or was changed",
        fix="name another copy; nothing was restored",
        source=shown,
    )
