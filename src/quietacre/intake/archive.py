"""Zip archives, unpacked only after every entry has been looked at."""

from __future__ import annotations

import contextlib
import errno
import stat
import struct
import zipfile
import zlib
from collections import Counter
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.limits import (
    MAX_ARCHIVE_BYTES,
    MAX_ARCHIVE_ENTRIES,
    MAX_ARCHIVE_RATIO,
    megabytes,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

MEGABYTE = 1_000_000
BLOCK = 1 << 20
#: What the system says when it has no room or no handles left.
NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EMFILE, errno.ENFILE}


@dataclass(frozen=True)
class Member:
    """An unpacked file, and what it is called inside the archive."""

    name: str
    path: Path


def unpack(path: Path, place: Path, shown: str, wanted: Sequence[str]) -> list[Member]:
    """Unpack the entries whose names end in one of ``wanted`` into ``place``.

    Files go into numbered folders under plain names, whatever the archive calls them;
    those that differ in their ending only stay together.

    Returns
    -------
    list of Member
        The unpacked files, in the archive's order.

    Raises
    ------
    FileProblem
        The archive is broken, locked, too large, or tries to reach outside.
    """
    with whole_archive(path, shown) as archive:
        entries = archive.infolist()
        check_entries(entries, shown)
        chosen = [e for e in entries if _is_wanted(e, wanted)]
        stems: dict[str, int] = {}
        members: list[Member] = []
        for entry in chosen:
            stem, _, ending = entry.filename.rpartition(".")
            number = stems.setdefault(stem, len(stems))
            target = place / str(number) / f"file.{ending.lower()}"
            if target.exists():  # names that differ in the case of their ending
                target = place / f"{number}-{len(members)}" / target.name
            members.append(extract(archive, entry, target, shown))
        return members


@contextlib.contextmanager
def whole_archive(path: Path, shown: str) -> Iterator[zipfile.ZipFile]:
    """Open a zip archive; whatever its damage raises inside is said in one line.

    Raises
    ------
    FileProblem
        The archive is broken.
    OSError
        There is no room for what is unpacked.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            yield archive
    except OSError as problem:
        if problem.errno in NO_ROOM:  # ours, not the archive's
            raise
        raise _broken(shown) from problem
    except (
        zlib.error,
        struct.error,
        zipfile.BadZipFile,
        zipfile.LargeZipFile,
        EOFError,
        LookupError,
        OverflowError,
        RuntimeError,  # and what is not implemented
        ValueError,  # and names that are not text
    ) as problem:
        raise _broken(shown) from problem


def _broken(shown: str) -> FileProblem:
    return FileProblem(
        "is a broken or unusual zip archive", fix="zip it again", source=shown
    )


def others_inside(path: Path, endings: Sequence[str]) -> list[str]:
    """Return names of an archive's files of some endings, for a word on what is not read."""
    with zipfile.ZipFile(path) as archive:
        return [e.filename for e in archive.infolist() if _is_wanted(e, endings)]


def check_entries(
    entries: Sequence[zipfile.ZipInfo],
    shown: str,
    *,
    most_entries: int = MAX_ARCHIVE_ENTRIES,
    most_bytes: int = MAX_ARCHIVE_BYTES,
) -> None:
    """Raise FileProblem for entries that would reach outside, double, or swell beyond measure."""

    def refuse(what: str, fix: str, name: str | None = None) -> FileProblem:
        return FileProblem(what, fix=fix, source=shown, where=name)

    if len(entries) > most_entries:
        raise refuse(
            f"holds {len(entries):,} entries; the limit is {most_entries:,}",
            "split it",
        )
    total = sum(entry.file_size for entry in entries)
    if total > most_bytes:
        raise refuse(
            f"expands to {megabytes(total)}; the limit is {megabytes(most_bytes)}",
            "split it",
        )
    names = Counter(entry.filename for entry in entries)
    double = next((name for name, times in names.items() if times > 1), None)
    if double is not None:
        raise refuse("an entry is in it twice", "zip it again", double)
    for entry in entries:
        name = entry.filename
        parts = PurePosixPath(name.replace("\\", "/")).parts
        if ".." in parts or name.startswith(("/", "\\")) or ":" in name or "\x00" in name:
            raise refuse("an entry reaches outside the archive", "zip it again", name)
        if stat.S_ISLNK(entry.external_attr >> 16):
            raise refuse("an entry is a link", "zip the files themselves", name)
        if entry.flag_bits & 0x1:
            raise refuse("an entry is locked with a password", "zip it without one", name)
        packed = max(entry.compress_size, 1)
        if entry.file_size > MEGABYTE and entry.file_size / packed > MAX_ARCHIVE_RATIO:
            raise refuse(
                f"an entry expands {entry.file_size / packed:,.0f}-fold; the limit is "
                f"{MAX_ARCHIVE_RATIO:,.0f}",
                "zip it again",
                name,
            )


def _is_wanted(entry: zipfile.ZipInfo, wanted: Sequence[str]) -> bool:
    """Return whether an entry is a file of a wanted ending, and no leftover of a system."""
    parts = PurePosixPath(entry.filename.replace("\\", "/")).parts
    leftover = "__MACOSX" in parts or (parts and parts[-1].startswith("._"))
    return not leftover and entry.filename.lower().endswith(tuple(wanted))


def extract(
    archive: zipfile.ZipFile, entry: zipfile.ZipInfo, target: Path, shown: str
) -> Member:
    """Unpack an entry, no longer than it says that it is.

    Raises
    ------
    FileProblem
        It is longer.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    left = entry.file_size
    with archive.open(entry) as source, target.open("wb") as sink:
        while block := source.read(BLOCK):
            left -= len(block)
            if left < 0:  # the header lied about the size
                raise FileProblem(
                    "an entry is larger than it says",
                    fix="zip it again",
                    source=shown,
                    where=entry.filename,
                )
            sink.write(block)
    return Member(entry.filename.replace("\\", "/"), target)
