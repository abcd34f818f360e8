"""``quietacre _work``: the desk's helper, one command after another with the libraries loaded.

It reads a line of JSON for each thing to do and answers with one. It is no command for people.
"""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

import click

from quietacre.errors import BadInput


@click.command(name="_work", hidden=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """Answer lines of JSON until they end."""
    root = ctx.find_root().command
    # what a library prints must not be taken for an answer
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    for line in sys.stdin:
        asked = json.loads(line)
        words = asked.get("words")
        answer = _ground(Path(asked["ground"])) if words is None else _command(root, words)
        answers.write(json.dumps(answer) + "\n")
        answers.flush()


def _command(root: click.Command, words: list[str]) -> dict[str, Any]:
    """Return what a command says: its exit code, standard output and standard error."""
    from click.testing import CliRunner

    result = CliRunner().invoke(root, words, prog_name="quietacre")
    err = result.stderr
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        err += f"fault of the program ({type(result.exception).__name__})"
    return {"code": result.exit_code, "out": result.stdout, "err": err}


def _ground(folder: Path) -> dict[str, Any]:
    """Return the measured ground of a property folder, as a command would say it."""
    from quietacre.desk.ground import ground_json

    try:
        return {"code": 0, "out": json.dumps(ground_json(folder)), "err": ""}
    except BadInput as problem:
        return {"code": 2, "out": "", "err": str(problem)}
