"""The command group: finds commands by entry point, and turns every error into one form.

Nothing heavy is imported here, so that ``--help`` answers at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from difflib import get_close_matches

import click

from lawnmap import plugins
from lawnmap.cli import log
from lawnmap.cli.talk import Talk, utf8_streams
from lawnmap.errors import LawnmapError, UsageProblem

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
        return super().resolve_command(ctx, args)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load one command; a broken one becomes a command that says whose it is."""
        del ctx
        if cmd_name not in plugins.available("commands"):
            return None
        try:
            command: click.Command = plugins.load("commands", cmd_name)
        except LawnmapError as error:
            return _broken(cmd_name, error)
        return command


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


def _broken(name: str, error: LawnmapError) -> click.Command:
    def tell() -> None:
        raise error

    return click.Command(name, callback=tell, short_help=f"will not load: {error.problem}"[:60])


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
