"""How far a command is: a bar on a terminal once it takes long, lines for a program that asks."""

from __future__ import annotations

import os
import sys
import time
from typing import Any

import click

ASKED = "LAWNMAP_PROGRESS"  # set to "lines" by a program that starts lawnmap
LINES = "lines"
PATIENCE_S = 2.0  # what a person waits without wondering
WIDTH = 24
WHOLE = 100


class Progress:
    """Hears how far the work is, and shows it on standard error."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._told: tuple[int, str] | None = None
        self._bar: Any = None

    @property
    def for_a_program(self) -> bool:
        """Whether a program reads along, which gets a line for each step."""
        return os.environ.get(ASKED) == LINES

    def __call__(self, share: float, what: str) -> None:
        """Hear that a share of the work is done, 0 to 1, and what begins."""
        percent = min(max(int(share * WHOLE), 0), WHOLE)
        if self.for_a_program:
            if (percent, what) != self._told:
                self._told = percent, what
                click.echo(f"progress {percent} {what}", err=True)
        elif sys.stderr.isatty() and time.monotonic() - self._began > PATIENCE_S:
            self._show(percent, what)

    def end(self) -> None:
        """Leave the bar as it stands; what is said next begins a line."""
        if self._bar is not None:
            self._bar.__exit__(None, None, None)
            self._bar = None

    def _show(self, percent: int, what: str) -> None:
        if self._bar is None:
            self._bar = click.progressbar(
                length=WHOLE,
                label="Working",
                show_eta=False,
                width=WIDTH,
                file=sys.stderr,
                item_show_func=lambda stage: stage,
            )
            self._bar.__enter__()
        self._bar.update(max(percent - self._bar.pos, 0), what)
        self._bar.render_progress()
