"""``quietacre steps``: every step described for other programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

import click

from quietacre import __version__
from quietacre.commands._edge import emit, fail_cleanly, say

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.as_json import JsonObject

#: What the words without a dash are, by their name.
ARGUMENTS = {
    "others": "Other areas, each by its name in property.toml.",
    "folder": "The property folder.",
    "year": "The calendar year.",
    "words": "The job that is done, in your words.",
    "files": "The files to read.",
    "file": "The file to read.",
    "old": "The file of the earlier survey.",
    "new": "The file of the later survey.",
    "word": "A name of a crop, as people call it.",
    "key": "The key path of a setting.",
    "value": "The value to give it.",
    "area": "The piece of ground, by its name.",
    "picture": "The picture to place.",
    "lat": "Latitude in degrees, south negative.",
    "lon": "Longitude in degrees, west negative.",
    "to": "The file or the folder to write to.",
    "archive": "The zip to bring back.",
    "task": "What was done, such as mow.",
}
ANY_NUMBER = "unbounded"


@click.command(name="steps")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
@fail_cleanly
def command(ctx: click.Context, *, as_json: bool) -> None:
    """Every step, described for programs that build forms or pipelines from it.

    With --json in the form of OGC API - Processes, Part 1: id, title, description, inputs
    with their JSON Schema, outputs. Nothing is served: it is a document.
    """
    root = ctx.find_root().command
    processes = [_described(name, step) for name, step in _steps(root, ctx)]
    if as_json:
        emit({"processes": processes})
        return
    wide = max(len(process["id"]) for process in processes)
    say("\n".join(f"{row['id']:<{wide}}  {row['title']}" for row in processes))


def _steps(
    group: click.Command, ctx: click.Context, before: str = ""
) -> Iterator[tuple[str, click.Command]]:
    """Yield the name and the command of every step, those of groups too."""
    if not isinstance(group, click.Group):
        return
    for name in group.list_commands(ctx):
        step = group.get_command(ctx, name)
        if isinstance(step, click.Group):
            yield from _steps(step, ctx, f"{before}{name}-")
        elif step is not None:
            yield f"{before}{name}", step


class StepDescribed(TypedDict):
    """One step as a process of OGC API - Processes, Part 1."""

    id: str
    title: str
    description: str
    version: str
    jobControlOptions: list[str]
    inputs: JsonObject
    outputs: JsonObject


def _described(name: str, step: click.Command) -> StepDescribed:
    """Return one step as a process description."""
    text = (step.help or "").split("\f")[0]
    title, _, more = text.partition("\n\n")
    return {
        "id": name,
        "title": " ".join(title.split()),
        "description": " ".join(more.split()) or " ".join(title.split()),
        "version": __version__,
        "jobControlOptions": ["sync-execute"],
        "inputs": {
            parameter.name: _input(parameter)
            for parameter in step.params
            if parameter.name not in (None, "as_json", "out")
        },
        "outputs": _outputs(step),
    }


def _input(parameter: click.Parameter) -> JsonObject:
    """Return one option or argument as an input with its JSON Schema."""
    help_text = getattr(parameter, "help", None) or ARGUMENTS.get(parameter.name or "", "")
    many = parameter.multiple or parameter.nargs == -1
    made: JsonObject = {
        "title": (parameter.opts or [""])[0],
        "description": help_text,
        "schema": _schema(parameter),
        "minOccurs": int(parameter.required),
    }
    if many:
        made["maxOccurs"] = ANY_NUMBER
    return made


def _schema(parameter: click.Parameter) -> JsonObject:
    """Return the JSON Schema of one value of an option."""
    kind = parameter.type
    made: JsonObject
    if isinstance(kind, click.Choice):
        made = {"type": "string", "enum": list(kind.choices)}
    elif isinstance(kind, (click.types.FloatParamType, click.types.IntParamType)):
        whole = isinstance(kind, click.types.IntParamType)
        made = {"type": "integer" if whole else "number"}
        least, most = getattr(kind, "min", None), getattr(kind, "max", None)
        if least is not None:
            made["exclusiveMinimum" if kind.min_open else "minimum"] = least  # type: ignore[union-attr]
        if most is not None:
            made["maximum"] = most
    elif isinstance(kind, click.types.BoolParamType):
        made = {"type": "boolean"}
    elif isinstance(kind, click.DateTime):
        made = {"type": "string", "format": "date"}
    elif isinstance(kind, click.Tuple):
        made = {"type": "array", "minItems": kind.arity, "maxItems": kind.arity}
    else:
        made = {"type": "string"}
    default = parameter.default
    if isinstance(default, (str, int, float)) and not parameter.required:
        made["default"] = default
    return made


def _outputs(step: click.Command) -> JsonObject:
    """Return what a step gives: its figures as JSON, and the files it can write."""
    made: JsonObject = {}
    for parameter in step.params:
        if parameter.name == "as_json":
            schema = {"type": "object", "contentMediaType": "application/json"}
            made["result"] = {"title": "Every figure, with --json", "schema": schema}
        elif parameter.name == "out":
            help_text = getattr(parameter, "help", None) or ""
            made[parameter.name] = {"title": help_text, "schema": {"type": "string"}}
    return made
