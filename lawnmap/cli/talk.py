"""What a command says: results on standard output, everything else on standard error."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from importlib.metadata import version
from typing import Any

import click

from lawnmap.cli.plain_signs import write_plainly
from lawnmap.cli.progress import Progress
from lawnmap.errors import LawnmapError, printable
from lawnmap.files.json_text import dumps

JSON_CONTRACT = 1  # of the JSON that every command prints; raised when a field changes meaning


@dataclass
class Talk:
    """The voice of one command: plain text, or one JSON document."""

    command: str = ""
    json: bool = False
    quiet: bool = False
    debug: bool = False
    warnings: list[str] = field(default_factory=list)
    progress: Progress = field(default_factory=Progress)

    def heard(self, share: float, what: str) -> None:
        """Hear from a job that a share of its work is done, 0 to 1, and what begins."""
        if not self.quiet or self.progress.for_a_program:
            self.progress(share, what)

    def warn(self, *texts: str) -> None:
        """Say what a person should know; also listed in the JSON."""
        self.progress.end()
        for text in texts:
            self.warnings.append(text)
            if not self.quiet:
                click.echo(f"Note: {printable(text)}", err=True)

    def note(self, text: str) -> None:
        """Say what went on, on standard error, unless quiet."""
        self.progress.end()
        if not self.quiet:
            click.echo(printable(text), err=True)

    def result(self, data: Any, text: str) -> None:
        """Print the result: `text` for people, or `data` in the JSON envelope."""
        self.progress.end()
        if self.json:
            click.echo(self._envelope(result=data))
        elif text:
            click.echo(text)

    def failed(self, error: LawnmapError) -> None:
        """Print an error in its fixed form, and as JSON when JSON was asked for."""
        self.progress.end()
        if self.json:
            told = {
                "code": error.exit_code,
                "file": error.file,
                "place": error.place,
                "problem": error.problem,
                "remedy": error.remedy,
            }
            click.echo(self._envelope(error=told))
        click.echo(f"lawnmap: {error}", err=True)

    def refused(self, problem: str) -> None:
        """Print as JSON that the command was not understood; click has told the person."""
        told = {"code": 2, "file": "", "place": "", "problem": problem, "remedy": "See --help."}
        click.echo(self._envelope(error=told))

    def _envelope(self, **content: Any) -> str:
        return dumps(
            {
                "lawnmap": {"version": version("lawnmap"), "json": JSON_CONTRACT},
                "command": self.command,
                "warnings": self.warnings,
                **content,
            },
            indent=1,
        )


def utf8_streams() -> None:
    """Let all be printed whatever the locale: what a stream cannot show is written out plainly."""
    for stream in (sys.stdout, sys.stderr):
        write_plainly(stream)
