"""``quietacre schema``: the JSON Schema of property.toml."""

from __future__ import annotations

from pathlib import Path

import click

from quietacre.commands._edge import emit, fail_cleanly, say

#: The name an editor finds beside property.toml.
SCHEMA_FILE = "property.schema.json"


@click.command(name="schema")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help=f"Write it to this file, such as {SCHEMA_FILE} beside property.toml.",
)
@click.option("--report", is_flag=True, help="The schema of report.json instead.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, with --out too.")
@fail_cleanly
def command(out: Path | None, *, report: bool, as_json: bool) -> None:
    """The JSON Schema of property.toml, with a word on every key.

    An editor of TOML that reads it completes keys and marks misspelt ones. Put this line on
    top of property.toml, with the file beside it: #:schema ./property.schema.json
    """
    if report:
        from quietacre.report_schema import report_schema

        schema = report_schema()
    else:
        from quietacre.schema import property_schema

        schema = property_schema()
    if out is None:
        emit(schema)
        return
    import json

    from quietacre.export.atomic import write_atomic

    write_atomic(out, (json.dumps(schema, indent=2, ensure_ascii=False) + "\n").encode())
    if as_json:
        emit({"out": str(out)})
    else:
        say(f"wrote {out}")
