"""The ``quietacre`` command: names, one-line helps, and nothing heavy.

Commands load only when they run, so ``--help`` answers at once.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

import click

from quietacre import __version__

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Command, and what it does in one line; the module has the same name.
COMMANDS = {
    "open": "The desk: the whole job in your own browser.",
    "demo": "Write the invented sample property, build it, and say where the map is.",
    "new": "Start a property folder from your own walks and drawings.",
    "build": "Work out everything for a property folder into its out/.",
    "acres": "True acres of anything readable.",
    "walk": "Turn a walk, or several of one edge, into a boundary with its ±.",
    "width": "How wide the mowed strip must be, and the reverse questions.",
    "strip": "Lay the strip on the ground: its ring, its acres, its weak spots.",
    "advance": "How far the vine's edge moved between two surveys.",
    "year": "The year worked backwards from planting, around the quiet seasons.",
    "add": "Add ground from walks and drawings to a folder that exists.",
    "edge": "Split, join, cut, clip and straighten the edges of areas.",
    "line": "Make the edge of a piece of ground the property line.",
    "survey": "Take in a new survey of a vine patch, and keep the old edge.",
    "mark": "Mark gates, stands, feeders, trees and water on the map.",
    "set": "Change one setting of property.toml in its place.",
    "undo": "Take back the last change to your files.",
    "close": "Keep a year that is over: report, lists, map, papers; never written over.",
    "next": "The day of the next season, for plantings that are finished.",
    "list": "Jobs of one person, machine, piece or day: to print, or with boxes for a phone.",
    "done": "Say that a job of the year is done; it is found, logged, and the next told.",
    "wait": "Say that it has not rained: plantings wait for the day you name.",
    "log": "Write one line of what was done into the log.",
    "seen": "Write down deer, quail, turkey or browse that was seen.",
    "merge": "Bring lines of another log or of ticks into the log.",
    "photo": "Keep photographs, with the line that names each.",
    "copy": "One zip of the whole place to keep, read back and compared.",
    "restore": "Bring a copy of a place back.",
    "need": "Pounds, bags and tank loads for acres, without a folder.",
    "crops": "The crops that are known, and the common names they go by.",
    "declination": "How far a compass points from true north, and its ±.",
    "place": "Lay a picture on the ground by points, with its error.",
    "shortcut": "Put a starter of the desk on your desktop.",
    "schema": "The JSON Schema of property.toml, with a word on every key.",
    "steps": "Every step described for other programs.",
}


class LateGroup(click.Group):
    """A group that imports a command only when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Return the commands in the order a newcomer meets them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Return a command, importing its module."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"quietacre.commands.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the list of commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Name the nearest command when the word is not one."""
        word = args[0] if args else ""
        if word and word not in COMMANDS and not word.startswith("-"):
            import difflib

            near = difflib.get_close_matches(word, COMMANDS, n=1)
            hint = f"; did you mean “{near[0]}”?" if near else ""
            ctx.fail(f"there is no command “{word}”{hint}")
        return super().resolve_command(ctx, args)


@click.group(
    cls=LateGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
)
@click.option(
    "--units",
    type=click.Choice(["us", "metric"]),
    help="Units that lines are said in; without it those of the property's map.",
)
@click.version_option(__version__, prog_name="quietacre")
def main(units: str | None) -> None:
    """True acres, vine strips, amounts and the year for your land.

    Files in, a map and papers out; your own files are changed by no command but those
    that say so.
    Start with: quietacre open, which needs no other command;
    or look at the sample: quietacre demo
    """


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the command line with the given words (for tests)."""
    main.main(args=list(arguments) if arguments is not None else None)


if __name__ == "__main__":
    main()
