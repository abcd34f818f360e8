"""The words on columns, put inside a GeoPackage: its own data dictionary.

The two tables and their names are those of the extension *Schema* of *OGC GeoPackage
Encoding Standard* (Open Geospatial Consortium, 12-128r15, 2018). Its rows were read in
*GeoPackage e-learning: Schema* (Open Geospatial Consortium, n.d.); types of columns are from
memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.words.columns import column_words

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Sequence

    from quietacre.words.columns import Column

EXTENSION = "gpkg_schema"
#: What the standard calls the place where the extension is defined: a name, never asked for.
DEFINED_IN = "http://www.geopackage.org/spec120/#extension_schema"
TABLES = {
    "gpkg_data_columns": """(
        table_name TEXT NOT NULL,
        column_name TEXT NOT NULL,
        name TEXT,
        title TEXT,
        description TEXT,
        mime_type TEXT,
        constraint_name TEXT,
        PRIMARY KEY (table_name, column_name),
        FOREIGN KEY (table_name) REFERENCES gpkg_contents (table_name)
    )""",
    "gpkg_data_column_constraints": """(
        constraint_name TEXT NOT NULL,
        constraint_type TEXT NOT NULL,
        value TEXT,
        min NUMERIC,
        min_is_inclusive BOOLEAN,
        max NUMERIC,
        max_is_inclusive BOOLEAN,
        description TEXT,
        UNIQUE (constraint_name, constraint_type, value)
    )""",
}
ADD_COLUMN = (
    "INSERT INTO gpkg_data_columns (table_name, column_name, title, description, mime_type) "
    "VALUES (?, ?, ?, ?, ?)"
)
#: Shapes are bytes, and the standard asks what bytes are.
SHAPE_TYPE = "application/octet-stream"


def describe_columns(base: sqlite3.Connection, more: Sequence[Column] = ()) -> None:
    """Write what each table and column is into an open GeoPackage.

    Parameters
    ----------
    more : columns of ``areas`` that steps of other packages added.
    """
    base.execute(
        "CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT, column_name TEXT, "
        "extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL, "
        "UNIQUE (table_name, column_name, extension_name))"
    )
    for table, columns in TABLES.items():
        base.execute(f"CREATE TABLE {table} {columns}")
        base.execute(
            "INSERT INTO gpkg_extensions VALUES (?, NULL, ?, ?, 'read-write')",
            (table, EXTENSION, DEFINED_IN),
        )
    words = column_words()
    for (table,) in base.execute("SELECT table_name FROM gpkg_contents").fetchall():
        known = dict(words[table].columns)
        if table == "areas":
            known |= {column.name: column for column in more}
        base.execute(
            "UPDATE gpkg_contents SET description = ? WHERE table_name = ?",
            (words[table].about, table),
        )
        stand = base.execute("SELECT name, type FROM pragma_table_info(?)", (table,))
        for name, kind in stand.fetchall():
            column = known[name]
            title = f"{name} [{column.unit}]" if column.unit else name
            shape = (
                SHAPE_TYPE if kind.endswith(("POLYGON", "LINESTRING", "POINT")) else None
            )
            base.execute(ADD_COLUMN, (table, name, title, column.sentence, shape))
