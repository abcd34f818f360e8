"""GeoPackage, read as the SQLite file that it is: tables only, in a stream.

Nothing in the file can run: views, virtual tables and generated columns are not read,
triggers do not fire on reading, extensions are not loaded, functions are refused, and a
step without a row for ``MAX_QUIET_SECONDS`` ends the reading. No driver is asked, so
none can be tricked.

References
----------
The blob header (GP, version, flags, reference system, envelope) is laid down in
"OGC GeoPackage Encoding Standard", OGC 12-128 (from memory; the tests hold the result
against GDAL's).
"""

from __future__ import annotations

import sqlite3
import struct
import time
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.intake.limits import MAX_FEATURES, MAX_QUIET_SECONDS, MAX_SHAPE_BYTES
from quietacre.intake.reference import to_wgs84
from quietacre.intake.wkb import UnreadableShapeError, shapes_from_binary

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from quietacre.intake.collect import Collector
    from quietacre.intake.reference import Move

SQLITE_MAGIC = b"SQLite format 3\x00"
#: A rollback journal that is in use begins so; one that is done with is blanked.
JOURNAL_MAGIC = bytes.fromhex("d9d505f920a163d7")
ROWS = 2048
#: Bytes of the envelope by its code in the header's flags.
ENVELOPE = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}
EMPTY_FLAG = 0x10
UNDEFINED = (-1, 0)
#: SQLite steps between looks at the clock.
LOOK_STEPS = 20_000
ALLOWED = {sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ, sqlite3.SQLITE_TRANSACTION}
#: Columns that mean something to us, whatever their case.
WANTED = ("name", "kind")
#: So many layers are named when the one asked for is not there.
MOST_NAMED = 12
FUNCTIONS = {"lower", "count"}
#: What table_xinfo says of a column that is neither hidden nor generated.
STORED = 0


@dataclass(frozen=True)
class _Table:
    """One layer: its table, its columns, and how to get to WGS84."""

    name: str
    shape: str
    columns: dict[str, str]  # what it is for us -> its name in the file
    move: Move | None
    srs: int


class _Base:
    """A SQLite file opened to be read, and nothing else."""

    def __init__(self, path: Path) -> None:
        uri = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
        self.base = sqlite3.connect(uri, uri=True, isolation_level=None)
        self.since = time.monotonic()
        self.late = False
        try:
            self._hold()
        except BaseException:
            self.base.close()
            raise

    def _hold(self) -> None:
        """Take from the file what it could do besides being read."""
        for pragma in ("trusted_schema = OFF", "cell_size_check = ON", "query_only = ON"):
            self.base.execute(f"PRAGMA {pragma}")
        self.base.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, MAX_SHAPE_BYTES)
        self.base.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)
        self.base.setlimit(sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH, 0)
        self.base.set_authorizer(self._allow)
        self.base.set_progress_handler(self._late, LOOK_STEPS)
        self.base.text_factory = lambda raw: raw.decode("utf-8", "replace")

    @staticmethod
    def _allow(action: int, one: str | None, two: str | None, *_where: str | None) -> int:
        good = action in ALLOWED or (action == sqlite3.SQLITE_FUNCTION and two in FUNCTIONS)
        good |= action == sqlite3.SQLITE_PRAGMA and one == "table_xinfo"
        return sqlite3.SQLITE_OK if good else sqlite3.SQLITE_DENY

    def _late(self) -> int:
        self.late = time.monotonic() - self.since > MAX_QUIET_SECONDS
        return int(self.late)

    def rows(self, query: str, values: tuple[object, ...] = ()) -> Iterator[list[Any]]:
        """Yield the rows of a query, some at a time, each within the time allowed."""
        self.since = time.monotonic()
        cursor = self.base.execute(query, values)
        while True:
            self.since = time.monotonic()
            block = cursor.fetchmany(ROWS)
            if not block:
                return
            yield block

    def all(self, query: str, values: tuple[object, ...] = ()) -> list[Any]:
        """Return all rows of a query that cannot have many."""
        return [row for block in self.rows(query, values) for row in block]


def collect_geopackage(path: Path, into: Collector) -> None:
    """Add every feature of every feature table of a GeoPackage.

    Raises
    ------
    FileProblem
        It is not a GeoPackage, or holds something that cannot be read.
    """
    for _done, _total in stream_geopackage(path, into):
        pass


def stream_geopackage(path: Path, into: Collector) -> Iterator[tuple[int, int]]:
    """Add features some at a time; yield how many are done, and how many there are.

    Between two yields the caller may take what was gathered out of ``into``.

    Raises
    ------
    FileProblem
        It is not a GeoPackage, or holds something that cannot be read.
    """
    with path.open("rb") as handle:
        if handle.read(len(SQLITE_MAGIC)) != SQLITE_MAGIC:
            raise into.problem("is not a GeoPackage", "check what the file is")
    _check_beside(path, into)
    opened: list[_Base] = []
    with _said(into, opened):
        base = _Base(path)
        opened.append(base)
        try:
            tables, total = _tables(base, into)
            done = 0
            for table in tables:
                label = f"layer {table.name}, " if len(tables) > 1 else ""
                for count in _features(base, table, label, into):
                    done += count
                    yield done, total
        finally:
            base.base.close()


def _check_beside(path: Path, into: Collector) -> None:
    """Raise FileProblem when changes lie beside the file, not in it yet or half taken back."""
    for ending, magic in (("-wal", b""), ("-journal", JOURNAL_MAGIC)):
        beside = path.with_name(path.name + ending)
        try:
            if not beside.is_file():
                continue
            with beside.open("rb") as handle:
                head = handle.read(len(JOURNAL_MAGIC))
        except OSError:  # too long a name for a file beside it
            continue
        if head and head.startswith(magic):
            raise into.problem(
                f"has changes that are not in it yet ({beside.name} lies beside it)",
                "close the program that has it open, then try again",
            )


@contextmanager
def _said(into: Collector, opened: Sequence[_Base]) -> Iterator[None]:
    """Turn what SQLite says into what a person can use.

    Ctrl-C while it looks at the clock reaches us as an interruption of its own.
    """
    try:
        yield
    except sqlite3.Error as problem:
        if "interrupted" in str(problem) and not any(base.late for base in opened):
            raise KeyboardInterrupt from problem
        if "interrupted" in str(problem):
            raise into.problem(
                f"gave no row within {MAX_QUIET_SECONDS:.0f} seconds", "export it again"
            ) from problem
        raise into.problem(
            f"is not a sound GeoPackage ({problem})", "export it again"
        ) from problem
    except UnicodeDecodeError as problem:  # SQLite's own message quotes damaged bytes
        raise into.problem("is not a sound GeoPackage", "export it again") from problem


def _tables(base: _Base, into: Collector) -> tuple[list[_Table], int]:
    """Return the feature tables and the number of features; refuse what could run."""
    made = {
        str(name).casefold(): (name, kind, str(sql or ""))
        for name, kind, sql in base.all(
            "SELECT name, type, sql FROM sqlite_master WHERE type IN ('table', 'view')"
        )
    }

    def plain(name: str) -> bool:
        _, kind, sql = made.get(name.casefold(), ("", "", ""))
        return kind == "table" and sql.lstrip().upper().startswith("CREATE TABLE")

    own = ("gpkg_contents", "gpkg_geometry_columns", "gpkg_spatial_ref_sys")
    for name in own:
        if name not in made:
            raise into.problem(f"has no table {name}", "export it again")
        if not plain(name):
            raise into.problem("its own tables are views", "export it again")
    rows = base.all(
        "SELECT c.table_name, g.column_name, g.srs_id FROM gpkg_contents AS c "
        "LEFT JOIN gpkg_geometry_columns AS g ON lower(g.table_name) = lower(c.table_name) "
        "WHERE c.data_type = 'features' ORDER BY c.table_name"
    )
    if into.wanted_layer is not None:
        rows = _one_layer(rows, into)
    tables, total = [], 0
    for name, column, srs in rows:
        if str(name).casefold() not in made:
            raise into.problem(f"layer “{name}” is not in it", "export it again")
        if not plain(str(name)):
            raise into.problem(
                f"layer “{name}” is a view, which is never run",
                "export the layer as a table",
            )
        if not isinstance(column, str) or not isinstance(srs, int):
            raise into.problem(f"layer “{name}” has no shapes", "export it again")
        real = str(made[str(name).casefold()][0])
        columns = _columns(base, real, column, into)
        many = f"layer {real}, " if len(rows) > 1 else ""
        (count,) = base.all(f"SELECT count(*) FROM {_quoted(real)}")[0]  # noqa: S608 - quoted
        total += int(count)
        if total > MAX_FEATURES:
            raise into.problem(f"holds more than {MAX_FEATURES:,} features", "split it")
        if not count:
            into.note(
                "empty-layer", f"{many or 'the layer '}has no features.", level="info"
            )
            continue
        move = _mover(base, srs, many, into)
        tables.append(_Table(real, columns.pop("shape"), columns, move, srs))
    if not rows:
        raise into.problem("has no layer of features", "export it again with one")
    return tables, total


def _one_layer(rows: list[Any], into: Collector) -> list[Any]:
    """Return the layer that was asked for, by its name whatever its capitals."""
    wanted = str(into.wanted_layer)
    matching = [row for row in rows if str(row[0]).casefold() == wanted.casefold()]
    if not matching:
        names = ", ".join(f"“{row[0]}”" for row in rows[:MOST_NAMED]) or "none"
        raise into.problem(f"has no layer “{wanted}”", f"name one of its layers: {names}")
    return matching


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _columns(base: _Base, table: str, shape: str, into: Collector) -> dict[str, str]:
    """Return the stored columns that matter: ``shape``, ``name`` and ``kind``, others if asked."""
    # a generated column is worked out on reading, and may never end
    names = {
        str(row[1]).casefold(): str(row[1])
        for row in base.all(f"PRAGMA table_xinfo({_quoted(table)})")
        if row[6] == STORED
    }
    if shape.casefold() not in names:
        raise into.problem(f"layer “{table}” has no column “{shape}”", "export it again")
    columns: dict[str, str] = {key: names[key] for key in WANTED if key in names}
    if into.keeps_columns:
        key_column = {
            str(row[1])
            for row in base.all(f"PRAGMA table_xinfo({_quoted(table)})")
            if row[5]
        }
        taken = {*columns.values(), names[shape.casefold()], *key_column}
        columns |= {real: real for real in names.values() if real not in taken}
    columns["shape"] = names[shape.casefold()]
    return columns


def _mover(base: _Base, srs: int, label: str, into: Collector) -> Move | None:
    """Return the function from a reference system of the file's own list to WGS84."""
    rows = base.all(
        "SELECT organization, organization_coordsys_id, definition "
        "FROM gpkg_spatial_ref_sys WHERE srs_id = ?",
        (srs,),
    )
    if srs == 0:
        into.note(
            "crs-assumed",
            f"{label or 'it '}does not say its reference system; its coordinates are taken "
            "as WGS84.",
            level="caution",
        )
        return None
    if srs in UNDEFINED or not rows:
        raise into.problem(
            f"{label}does not say its reference system (number {srs})",
            "give the layer its reference system, or export it in WGS84",
        )
    organization, code, definition = rows[0]
    if str(organization).upper() == "EPSG" and isinstance(code, int):
        definition = f"EPSG:{code}"
    return to_wgs84(str(definition), into, label.rstrip(", ") or None)


def _features(base: _Base, table: _Table, label: str, into: Collector) -> Iterator[int]:
    """Add the features of one table; yield how many were in each block of rows."""
    keys = list(table.columns)
    wanted = [table.shape, *table.columns.values()]
    query = f"SELECT {', '.join(map(_quoted, wanted))} FROM {_quoted(table.name)}"  # noqa: S608
    number, other = 0, set()
    for block in base.rows(query):
        blobs, srs_ids = _blobs(block, number, label, into)
        other |= srs_ids - {table.srs, *UNDEFINED}
        shapes = _shapes(blobs, number, label, into)
        for at, (row, shape) in enumerate(zip(block, shapes, strict=True), number + 1):
            into.add(
                shape,
                dict(zip(keys, row[1:], strict=True)),
                f"{label}feature {at}",
                table.move,
            )
        number += len(block)
        yield len(block)
    if other:
        into.note(
            "crs-differs",
            f"{label or 'the layer: '}some shapes say reference system {min(other)}, "
            f"the layer {table.srs}; the layer's was used.",
        )


def _blobs(
    block: list[Any], number: int, label: str, into: Collector
) -> tuple[list[bytes | None], set[int]]:
    """Return well-known binary without the header, None where there is no shape."""
    out: list[bytes | None] = []
    srs_ids = set()
    for at, (raw, *_rest) in enumerate(block, number + 1):
        if raw is None:
            out.append(None)
            continue
        if not isinstance(raw, bytes) or len(raw) < 8 or raw[:2] != b"GP":  # noqa: PLR2004
            raise into.problem(
                "its shape is not in the GeoPackage form", "export it again",
                f"{label}feature {at}",
            )  # fmt: skip
        flags = raw[3]
        size = ENVELOPE.get(flags >> 1 & 7)
        if size is None or flags & 0x20:
            raise into.problem(
                "its shape has a header that is not read", "export it again",
                f"{label}feature {at}",
            )  # fmt: skip
        srs_ids.add(struct.unpack_from("<i" if flags & 1 else ">i", raw, 4)[0])
        out.append(None if flags & EMPTY_FLAG else raw[8 + size :])
    return out, srs_ids


def _shapes(
    blobs: list[bytes | None], number: int, label: str, into: Collector
) -> list[Any]:
    """Return the geometries, None where there is none; name the one that is broken."""
    there = [blob for blob in blobs if blob is not None]
    try:
        made = iter(shapes_from_binary(there))
    except UnreadableShapeError:
        for at, blob in enumerate(blobs, number + 1):
            if blob is None:
                continue
            try:
                shapes_from_binary([blob])
            except UnreadableShapeError as problem:
                raise into.problem(
                    f"its shape {problem}", "draw it again", f"{label}feature {at}"
                ) from problem
        raise
    return [None if blob is None else next(made) for blob in blobs]
