"""``quietacre _work``: the desk's helper, one command after another with the libraries loaded.

It reads a line of JSON for each thing to do and answers with one. It is no command for people.
"""

from __future__ import annotations

import contextlib
import gc
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from quietacre.desk import IN_US
from quietacre.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    import click

    from quietacre.as_json import JsonObject


def answer_lines(root: Callable[[], click.Command]) -> None:
    """Answer lines of JSON until they end; ``root`` gives all commands, loaded when it is called."""
    # what a library prints must not be taken for an answer
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    gc.disable()  # what is loaded first stays; looking through it for what is over takes a tenth
    with contextlib.suppress(ImportError):  # said when it is asked for
        import quietacre.measure.property  # noqa: F401 - while nothing is asked yet
    for line in sys.stdin:
        asked = json.loads(line)
        if "words" in asked:
            answer = _command(root(), asked["words"])
        elif "draw" in asked:
            answer = _drawing(Path(asked["folder"]), asked["draw"], asked["said"])
        elif "ready" in asked:
            answer = _ready(root)
        else:
            answer = _ground(Path(asked["ground"]))
        answers.write(json.dumps(answer) + "\n")
        answers.flush()
        gc.enable()


def _ready(root: Callable[[], click.Command]) -> JsonObject:
    """Load what measuring did without and most else needs."""
    import geopandas  # noqa: F401

    root()
    return {"code": 0, "out": "", "err": ""}


def _command(root: click.Command, words: list[str]) -> JsonObject:
    """Return what a command says: its exit code, standard output and standard error."""
    from click.testing import CliRunner

    result = CliRunner().invoke(root, [*IN_US, *words], prog_name="quietacre")
    err = result.stderr
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        err += f"fault of the program ({type(result.exception).__name__})"
    return {"code": result.exit_code, "out": result.stdout, "err": err}


def _drawing(folder: Path, what: str, asked: JsonObject) -> JsonObject:
    """Return the answer to a question of the page while a person draws."""
    from quietacre.desk.drawing import ANSWERS
    from quietacre.desk.said import answer_for_desk

    return _told(lambda: answer_for_desk(ANSWERS[what](folder, asked)))


def _ground(folder: Path) -> JsonObject:
    """Return the measured ground of a property folder, as a command would say it."""
    from quietacre.desk.ground import ground_json

    return _told(lambda: ground_json(folder))


def _told(answer: Callable[[], Mapping[str, object]]) -> JsonObject:
    """Return an answer as a command would say it: JSON, or one line on why not."""
    try:
        return {"code": 0, "out": json.dumps(answer(), allow_nan=False), "err": ""}
    except BadInput as problem:
        return {"code": 2, "out": "", "err": str(problem)}
    except OSError as problem:
        return {"code": 2, "out": "", "err": problem.strerror or type(problem).__name__}
    except Exception as problem:  # noqa: BLE001 - the process goes on for the next question
        return {
            "code": 1,
            "out": "",
            "err": f"fault of the program ({type(problem).__name__})",
        }
