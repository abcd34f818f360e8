"""Two copies of property.toml beside each other, and the commands that take settings over."""

from __future__ import annotations

import shlex
import tomllib
from typing import TYPE_CHECKING

from quietacre.commands._edge import emit, say
from quietacre.commands._log_edge import ask
from quietacre.errors import SettingsProblem

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

SETTINGS_ENDING = ".toml"


def compare_settings(folder: Path, files: Iterable[Path], *, as_json: bool) -> None:
    """Say what other copies of property.toml say otherwise; ends with 2 where they do.

    Raises
    ------
    BadInput
        A copy, or property.toml itself, cannot be read.
    """
    from quietacre.edit.differ import differences
    from quietacre.edit.property_file import Text, read_settings
    from quietacre.intake.limits import MAX_TOML_BYTES, check_file

    ours = read_settings(folder)
    records, lines, commands = [], [], []
    for path in files:
        check_file(path, str(path), MAX_TOML_BYTES)
        try:
            theirs = tomllib.loads(Text.of(path.read_bytes()).text)
        except (ValueError, RecursionError) as problem:
            raise SettingsProblem(
                [f"is not TOML: {problem}"], source=str(path)
            ) from problem
        changes = differences(ours, theirs)
        records.append({"file": str(path), "otherwise": [vars(one) for one in changes]})
        if not changes:
            lines.append(f"{path}: says the same as property.toml; move it away")
            continue
        lines.append(
            f"{path}: {len(changes)} of its settings are otherwise in property.toml:"
        )
        for one in changes:
            lines.append(
                f"  {one.key}: {one.ours or 'nothing'} here, {one.theirs or 'nothing'} there"
            )
            words = ["quietacre", "set", str(folder), one.key]
            commands.append(shlex.join([*words, one.theirs or "--remove"]))
    if as_json:
        emit({"files": records})
    elif not commands:
        say("\n".join(lines))
    if commands:
        text = "" if as_json else "\n".join(lines) + "\n"
        ask(
            f"{text}nothing was written; type those to take over, then move the copy away:",
            commands,
        )
