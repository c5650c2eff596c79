"""Commands as they are typed, run in a folder of their own, for pictures of what they make."""

from __future__ import annotations

import contextlib
from pathlib import Path

from how_to import printed


def run(folder: Path, *commands: str) -> list[str]:
    """Run commands one after the other in a folder; return the lines that the last one printed.

    Raises
    ------
    RuntimeError
        One of them ends with another code than 0, or 3 for a site among others that is wrong.
    """
    lines: list[str] = []
    with contextlib.chdir(folder):
        for command in commands:
            lines = printed(command)
            if lines and lines[-1].startswith("(exit"):
                raise RuntimeError("\n".join([command, *lines]))
    return lines
