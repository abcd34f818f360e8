"""Write the pages that code knows best: every --help, limits, what of the crops was read.

Run: ``python docs/make_pages.py``. A test compares the pages with what this writes.
"""

from __future__ import annotations

import sys
from pathlib import Path

from click.testing import CliRunner

from quietacre.acreage import overlap
from quietacre.cli import COMMANDS, main
from quietacre.intake import limits, photo
from quietacre.intake.limits import megabytes
from quietacre.logbook import COLUMNS, SEEN_FILE
from quietacre.schema import usual_values
from quietacre.words import settings_words
from quietacre.words.columns import column_words, report_words

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from make_crop_page import crop_page  # noqa: E402 - its folder is no package


def commands_page() -> str:
    """Return the page of all commands, as their own help has it."""
    lines = [
        "# Commands",
        "",
        "What `quietacre COMMAND --help` prints; made from it. Before the command may stand",
        "`--units us` or `--units metric`: what the figures of its lines are said in, which else",
        "are those of the place's map. Options, `--json` and what is typed into property.toml are",
        "in US units.",
        "",
    ]
    for name in COMMANDS:
        said = CliRunner().invoke(
            main, [name, "--help"], prog_name="quietacre", terminal_width=92
        )
        lines += [f"## {name}", "", "```text", said.output.rstrip(), "```", ""]
    return "\n".join(lines)


def limits_page() -> str:
    """Return the page of limits, from the numbers that the readers hold to."""
    rows = [
        ("one file", megabytes(limits.MAX_FILE_BYTES)),
        ("a GPX, GeoJSON, KML, CSV or WKT file", megabytes(limits.MAX_TEXT_BYTES)),
        ("property.toml", megabytes(limits.MAX_TOML_BYTES)),
        ("features in a file", f"{limits.MAX_FEATURES:,}"),
        ("vertices in a file", f"{limits.MAX_VERTICES:,}"),
        ("points of all walks in a file", f"{limits.MAX_FIXES:,}"),
        ("tracks and routes in a file", f"{limits.MAX_TRACKS:,}"),
        (
            "pairs of areas, or of rings of one shape, whose boxes meet",
            f"{overlap.PAIRS:,}, and {overlap.PAIRS_AN_AREA} more for each area",
        ),
        (
            "time to read a file",
            f"{limits.MAX_SECONDS:.0f} s, and {limits.MAX_SECONDS_A_MEGABYTE:.0f} s more "
            "for each MB",
        ),
        ("shapes nested in shapes", f"{limits.MAX_NESTING}"),
        ("one shape of a GeoPackage", megabytes(limits.MAX_SHAPE_BYTES)),
        (
            "a GeoPackage that gives no row, in a stream",
            f"{limits.MAX_QUIET_SECONDS:.0f} s",
        ),
        ("entries in a zip or KMZ", f"{limits.MAX_ARCHIVE_ENTRIES:,}"),
        ("a zip or KMZ, expanded", megabytes(limits.MAX_ARCHIVE_BYTES)),
        (
            "a copy of a place, brought back",
            f"{limits.MAX_COPY_ENTRIES:,} entries, {megabytes(limits.MAX_COPY_BYTES)}, and "
            "what the disk has room for",
        ),
        (
            "a photograph",
            f"{megabytes(photo.MAX_PHOTO_BYTES)}, "
            f"{photo.MAX_PHOTO_PIXELS / 1e6:.0f} million pixels",
        ),
        ("expansion of an entry over 1 MB", f"{limits.MAX_ARCHIVE_RATIO:.0f}-fold"),
    ]
    table = "\n".join(f"| {what} | {most} |" for what, most in rows)
    return (HERE / "limits-of-reading.in").read_text().replace("TABLE", table)


def log_page() -> str:
    """Return the page of the log, with the columns that the program knows."""
    table, seen = (
        "\n".join(f"| `{column.name}` | {column.meaning} |" for column in columns)
        for columns in (COLUMNS, SEEN_FILE.columns)
    )
    text = (HERE / "log.in").read_text()
    return text.replace("TABLE", table).replace("SEEN\n", f"{seen}\n")


def columns_page() -> str:
    """Return the page of every column of areas.gpkg, with its unit and what it holds."""
    lines = [
        "# Columns of areas.gpkg",
        "",
        "Every table of `out/areas.gpkg`. The same words stand inside the file, in its own",
        "data dictionary (`gpkg_data_columns`), so that they are there in thirty years.",
        "Layers that hold nothing are left out. Columns that",
        "[a step of another package](extending.md) adds are described in the file alone.",
    ]
    for table, words in column_words().items():
        lines += ["", f"## {table}", "", words.about, "", "| column | unit | holds |"]
        lines += ["|---|---|---|"]
        lines += [
            f"| `{column.name}` | {column.unit} | {column.meaning} |"
            for column in words.columns.values()
        ]
    return "\n".join(lines) + "\n"


def property_page() -> str:
    """Return the page of property.toml: every key with the words that schema and desk have.

    A line ``KEYS table`` of its source becomes that table's keys, ``WORDS table`` what the
    table is for.
    """
    words = settings_words()
    usual = usual_values()
    lines = []
    for line in (HERE / "property-file.in").read_text().splitlines():
        word, _, table = line.partition(" ")
        if word == "WORDS" and table in words:
            lines.append(f"**{table}**: {words[table].about}")
        elif word == "KEYS" and table in words:
            lines += ["| key | what it is | what it changes | usual |", "|---|---|---|---|"]
            for key, row in words[table].keys.items():
                cells = (f"`{key}`", row.meaning, row.why, usual.get((table, key), ""))
                lines.append(
                    "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
                )
        else:
            lines.append(line)
    return "\n".join(lines) + "\n"


def report_page() -> str:
    """Return the page of every key of report.json, record by record."""
    lines = [
        "# Keys of report.json",
        "",
        "Every record of `out/report.json`, beginning with the whole file. *holds* names the record",
        "that a key holds, or holds a list of. Dates are `2027-07-04`; what is not known is null.",
        "Its texts are in US units too, whatever the map shows.",
    ]
    for name, record in report_words().items():
        lines += ["", f"## {name}", "", record.about, "", "| key | unit | is | holds |"]
        lines += ["|---|---|---|---|"]
        for key in record.keys.values():
            by = f", by {key.by}" if key.by else ""
            holds = f"[{key.of}](#{key.of})" if key.of else ""
            lines.append(f"| `{key.name}` | {key.unit} | {key.meaning}{by} | {holds} |")
    return "\n".join(lines) + "\n"


PAGES = {
    "property-file.md": property_page,
    "commands.md": commands_page, "limits-of-reading.md": limits_page,
    "crop-table.md": crop_page, "log.md": log_page, "columns.md": columns_page,
    "report.md": report_page,
}  # fmt: skip

if __name__ == "__main__":
    for page, write in PAGES.items():
        (HERE / page).write_text(write())
