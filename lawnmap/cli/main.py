"""The command group: finds commands by entry point, and turns every error into one form.

Nothing heavy is imported here, so that ``--help`` answers at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any

import click

from lawnmap import plugins
from lawnmap.cli import log
from lawnmap.cli.talk import Talk, utf8_streams
from lawnmap.errors import LawnmapError, PluginProblem, UsageProblem
from lawnmap.files.utf8 import as_typed

# What a command leaves with on purpose.
LEAVING = (click.ClickException, click.exceptions.Exit, click.Abort, BrokenPipeError, SystemExit)
FAULT, USAGE, REFUSED, INTERRUPTED = 1, 2, 3, 130


class Commands(click.Group):
    """Commands found by entry point, so that anyone's stand beside ours."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands in the order of the job, then anyone else's by name."""
        del ctx
        found = list(plugins.available("commands"))
        return sorted(found, key=lambda name: (ORDER.index(name) if name in ORDER else 99, name))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that was typed, or say which one was probably meant."""
        name = args[0] if args else ""
        if name and not name.startswith("-") and name not in plugins.available("commands"):
            near = get_close_matches(name, self.list_commands(ctx), n=1)
            meant = f" Did you mean {near[0]}?" if near else ""
            raise click.UsageError(f"There is no command {name!r}.{meant}", ctx)
        found, command, rest = super().resolve_command(ctx, args)
        return found, outside(name) if brought_by(name) else command, rest

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load one command; that of somebody else is only named until it is run.

        So a list of commands waits for nobody's imports, and breaks on none.
        """
        del ctx
        if cmd_name not in plugins.available("commands"):
            return None
        owners = brought_by(cmd_name)
        if owners:
            return click.Command(cmd_name, short_help=f"Brought by {owners}.")
        command: click.Command = plugins.load("commands", cmd_name)
        for each in command.params:
            if each.type is click.STRING:  # a path stays as the system has it
                each.type = WORDS
        return command


class _Words(click.ParamType):  # type: ignore[type-arg]  # generic since click 8.5
    """Text that a person typed, whatever letters the system knows."""

    name = "text"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        return as_typed(click.STRING.convert(value, param, ctx))


WORDS = _Words()


ORDER = [
    "start",
    "read",
    "mark",
    "assess",
    "measure",
    "sun",
    "sampling",
    "plan",
    "export",
    "issue",
    "record",
    "survey",
    "compare",
    "calibrate",
    "place",
    "sites",
    "check",
    "plugins",
    "desktop",
    "about",
]


def brought_by(name: str) -> str:
    """Return who else brings a command of that name; empty when it is ours alone, or nobody's."""
    points = plugins.available("commands").get(name, ())
    if all(map(plugins.is_ours, points)):
        return ""
    return " and ".join(sorted(map(plugins.owner, points)))


def outside(name: str) -> click.Command:
    """Load a command of somebody else: what it raises is told by its owner, and no fault of ours.

    Raises
    ------
    PluginProblem
        When two bring it, it will not load, or it is no command.
    """
    from lawnmap.outside import guard

    owners = brought_by(name)
    who, command = f"the command {name!r} from {owners}", plugins.load("commands", name)
    if not isinstance(command, click.Command):
        raise PluginProblem(f"{who} is no click command", remedy=f"Tell the makers of {owners}.")
    invoke = command.invoke

    def told(context: click.Context) -> Any:
        with guard.told(who, owners, "go on", passing=LEAVING):
            return invoke(context)

    command.invoke = told  # type: ignore[assignment]  # of this one command
    return command


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="lawnmap", message="lawnmap %(version)s")
def main() -> None:
    """Plan the renovation of lawns on a map: from a site plan to exact quantities.

    \b
    A first round:
      lawnmap start garden --title "Back garden"
      lawnmap read plan.geojson --into garden
      lawnmap plan garden
      lawnmap export garden --to map
    """  # noqa: D301 - click keeps the lines of a paragraph that begins with this character


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with an exit code (see docs/commands/index.md)."""
    utf8_streams()
    talk = Talk()
    sys.exit(_answer(list(sys.argv[1:] if arguments is None else arguments), talk))


def _answer(arguments: list[str], talk: Talk) -> int:
    color = False if os.environ.get("NO_COLOR") else None
    try:
        _refuse_untypable(arguments)
        # A command that leaves with a code of its own has that code returned here by click.
        left = main.main(
            arguments, prog_name="lawnmap", standalone_mode=False, obj=talk, color=color
        )
    except click.exceptions.Exit as leaving:
        return int(leaving.exit_code)
    except click.ClickException as error:
        error.show()
        if talk.json:
            talk.refused(error.format_message())
        return USAGE
    except (click.Abort, KeyboardInterrupt):
        talk.progress.end()
        click.echo("lawnmap: stopped. What was saved before is whole.", err=True)
        return INTERRUPTED
    except LawnmapError as error:
        talk.failed(error)
        if talk.debug:
            raise
        return int(error.exit_code)
    except BrokenPipeError:
        # The reader of a pipe went away; there is nobody left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as fault:
        if talk.debug:
            raise
        return _fault(talk, fault)
    return left if isinstance(left, int) else 0


def _refuse_untypable(arguments: Sequence[str]) -> None:
    """Refuse what no system passes on to a program; a program may ask for it all the same."""
    for each in arguments:
        try:
            typable = b"\0" not in os.fsencode(each)
        except UnicodeEncodeError:
            typable = False
        if not typable:
            raise UsageProblem(
                f"{each[:60]!r} holds a character that cannot stand in a command",
                done="Nothing was changed.",
                remedy="Take it out.",
            )


def _fault(talk: Talk, fault: Exception) -> int:
    path = log.write_fault(talk.command, fault)
    where = f"It was noted in {path}." if path else "The log could not be written."
    talk.failed(
        LawnmapError(
            f"a fault in lawnmap ({type(fault).__name__})",
            done="",
            remedy=f"{where} Run again with --debug to see it, and tell its makers.",
        )
    )
    return FAULT
