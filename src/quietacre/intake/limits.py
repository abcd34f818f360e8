"""How much of anything is read, so that no file can run away with the machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.errors import FileProblem

if TYPE_CHECKING:
    from pathlib import Path

MAX_FILE_BYTES = 2_000_000_000
MAX_TEXT_BYTES = 256_000_000  # GPX, GeoJSON, KML, CSV
MAX_TOML_BYTES = 4_000_000
MAX_VERTICES = 40_000_000
MAX_FEATURES = 2_000_000
MAX_FIXES = 2_000_000
MAX_TRACKS = 1_000  # each is searched for its loop
MAX_ARCHIVE_ENTRIES = 2_000
MAX_ARCHIVE_BYTES = 1_000_000_000  # all entries, expanded
MAX_ARCHIVE_RATIO = 200.0  # expanded over packed, for entries above a megabyte
MAX_COPY_ENTRIES = 200_000  # of a copy of a place, with its photographs
MAX_COPY_BYTES = 100_000_000_000  # all of it, expanded
MAX_SHAPE_BYTES = 256_000_000  # one shape of a GeoPackage
MAX_NESTING = 32  # collections in collections
MAX_SECONDS = 15.0  # of reading one file, however small
MAX_SECONDS_A_MEGABYTE = 1.0  # and so much more for its size
MAX_QUIET_SECONDS = 20.0  # a GeoPackage that gives no row


def megabytes(size: int) -> str:
    """Return a byte count as a person says it."""
    return f"{size / 1e6:,.0f} MB"


def check_file(path: Path, shown: str, most_bytes: int = MAX_FILE_BYTES) -> None:
    """Raise FileProblem unless ``path`` is a readable, regular file of a fit size."""
    try:
        there = path.is_file()
        size = path.stat().st_size if there else 0
    except (OSError, ValueError) as problem:
        raise FileProblem(
            "cannot be opened", fix="check the name and its permissions", source=shown
        ) from problem
    if not there:
        what = "is not there"
        if path.is_dir():
            what = "is a folder"
        elif path.exists():
            what = "is not a plain file"
        raise FileProblem(what, fix="check the name of the file", source=shown)
    if size == 0:
        raise FileProblem("is empty", fix="export it again", source=shown)
    if size > most_bytes:
        raise FileProblem(
            f"is {megabytes(size)}; the limit is {megabytes(most_bytes)}",
            fix="split it into smaller files",
            source=shown,
        )


def lies_inside(folder: Path, path: Path) -> bool:
    """Return whether a path ends inside a folder, wherever its links lead."""
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError):  # links that lead round in a ring
        return False


def check_inside(folder: Path, path: Path, shown: str) -> None:
    """Raise FileProblem when ``path`` is a link that leads out of ``folder``."""
    if not lies_inside(folder, path):
        raise FileProblem(
            "is a link out of the property folder",
            fix="copy the file into it",
            source=shown,
        )


def read_text(path: Path, shown: str, most_bytes: int = MAX_TEXT_BYTES) -> str:
    """Return a text file: UTF-8 with or without a mark, or UTF-16 with one.

    Raises
    ------
    FileProblem
        The file is missing, too large, or not text.
    """
    check_file(path, shown, most_bytes)
    return decode(path.read_bytes(), shown)


def decode(data: bytes, shown: str) -> str:
    """Return bytes as text: UTF-8 with or without a mark, or UTF-16 with one."""
    encoding = "utf-8-sig"
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encoding = "utf-16"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as problem:
        raise FileProblem(
            f"is not text (byte {problem.start} is not {encoding.split('-sig')[0].upper()})",
            fix="save it as UTF-8",
            source=shown,
        ) from problem
    if "\x00" in text:
        raise FileProblem(
            "is not text (it holds zero bytes)", fix="export it again", source=shown
        )
    return text
