"""``quietacre crops``: the crops that are known, and the names they go by."""

from __future__ import annotations

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.errors import NeedProblem


@click.command(name="crops")
@click.argument("word", required=False, metavar="[NAME]")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(word: str | None, *, as_json: bool) -> None:
    """The crops of the table and the common names they go by.

    With NAME the one crop that it means, and what the table holds of it.
    """
    from quietacre.crop_names import crop_names, hint, table_name

    rows = list(crop_names().values())
    if word is not None:
        crop = table_name(word)
        if crop is None:
            raise NeedProblem(
                f"“{word}” is not in the crop table{hint(word)}",
                fix="see all of them with: quietacre crops",
            )
        rows = [crop_names()[crop]]
    if as_json:
        emit({
            "crops": [
                {"crop": row.crop, "names": list(row.names), "sown_as": row.sown_as,
                 "draws_birds": row.draws_birds, "names_from": _source(row.source),
                 **({} if word is None else {"table": _table(row.crop)})}
                for row in rows
            ]
        })  # fmt: skip
        return
    wide = max(len(row.crop) for row in rows)
    say(
        "\n".join(
            f"{row.crop:<{wide}}  {row.sown_as}"
            + (f"; also {', '.join(row.names)}" if row.names else "")
            for row in rows
        )
    )
    if word is not None:
        say("\n".join(_table(rows[0].crop)))
    say(f"common names: {_source(rows[0].source)}")


def _source(ids: str) -> str:
    from quietacre.shipped import cite

    return cite(ids)


def _table(crop: str) -> list[str]:
    """Return what the table holds of a crop, in lines."""
    from quietacre.need.crop_said import crop_lines
    from quietacre.need.tables import crops

    return crop_lines(crops()[crop])
