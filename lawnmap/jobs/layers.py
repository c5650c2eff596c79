"""The job behind ``read --layers``: what a site plan holds, before anything is chosen."""

from __future__ import annotations

from pathlib import Path

from lawnmap.found import Layer
from lawnmap.jobs.reading import look, source_of


def layers(path: Path | str) -> list[Layer]:
    """List the layers of a site plan.

    Raises
    ------
    InputRefused
        When it cannot be read.
    """
    return look(source_of(path))
