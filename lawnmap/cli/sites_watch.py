"""How far ``lawnmap sites`` is: a bar on a terminal, the log of faults, what a stop leaves."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

import click

from lawnmap.cli import log
from lawnmap.cli.talk import Talk

if TYPE_CHECKING:
    from lawnmap.jobs.sites.planned import Trouble

WIDTH = 24


class Watch:
    """Hears of each site that is done, and shows it.

    Parameters
    ----------
    talk : Talk
    """

    def __init__(self, talk: Talk) -> None:
        self.talk = talk
        self.what = "Sites"  # or parts of a table
        self.sites = self.finished = self.failed = 0
        self._bar: Any = None

    def begin(self, sites: int, kept: int) -> None:
        """Show a bar when somebody is looking, and say what needs no work."""
        self.sites, self.finished = sites, kept
        if kept:
            what = f"{kept} of {sites} {self.what.lower()}"
            self.talk.note(f"{what} are as they were: nothing to work out there.")
        shown = sys.stderr.isatty() and not self.talk.quiet and kept < sites
        if shown:
            self._bar = click.progressbar(
                length=sites - kept,
                label=self.what,
                show_pos=True,
                show_eta=True,
                width=WIDTH,
                file=sys.stderr,
                item_show_func=lambda failed: f"{failed} not planned" if failed else None,
            )
            self._bar.__enter__()

    def done(self, trouble: Trouble | None) -> None:
        """Count one more site; a fault goes into the log by its frames."""
        self.finished += 1
        self.failed += trouble is not None
        if trouble is not None and trouble.frames:
            log.write_frames(self.talk.command, trouble.frames)
        if self._bar is not None:
            self._bar.update(1, self.failed)
        if self.talk.progress.for_a_program:
            self.talk.heard(self.finished / self.sites, self.what.lower())

    def sharing(self, depot: str, sites: int) -> None:
        """Say on a terminal what takes its time after the last site."""
        self.end()
        if sys.stderr.isatty():
            of = f"depot {depot}" if depot else "no depot"
            self.talk.note(f"Looking for days that {sites} sites of {of} share …")

    def __enter__(self) -> Self:
        """Return this watch."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        frames: TracebackType | None,
    ) -> None:
        """Leave the bar as it stands."""
        del kind, error, frames
        self.end()

    def end(self) -> None:
        """Leave the bar as it stands; what is said next begins a line."""
        if self._bar is not None:
            self._bar.__exit__(None, None, None)
            self._bar = None


@contextlib.contextmanager
def interrupted(talk: Talk, watch: Watch, output: str) -> Iterator[None]:
    """Say what a run that is stopped with Ctrl-C leaves, and how to go on."""
    try:
        yield
    except KeyboardInterrupt:
        watch.end()
        if not watch.sites:
            raise
        done = f"{watch.finished - watch.failed} of {watch.sites} {watch.what.lower()}"
        talk.note(
            f"{done} are kept in {output}; its tables and papers were not written. "
            "The same command goes on from there."
        )
        raise
