"""Where lawnmap is: ``command.json``, which ``lawnmap desktop install`` writes beside this file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import NamedTuple

from .problem import INSTALL, Problem

NAME = "command.json"
REMEDY = f"Run {INSTALL} in the environment that holds lawnmap."


class Installed(NamedTuple):
    """How lawnmap is started, and the version that this plugin came with."""

    command: list[str]
    version: str


def installed(folder: Path | None = None) -> Installed:
    """Return how lawnmap is started.

    Parameters
    ----------
    folder : Path, optional
        Where the plugin lies; otherwise where this file does.

    Raises
    ------
    Problem
        When that was never written, is damaged, or its Python is gone.
    """
    path = (folder or Path(__file__).parent) / NAME
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        found = Installed([str(each) for each in told["command"]], str(told["version"]))
    except FileNotFoundError as error:
        raise Problem(
            "the plugin does not know where lawnmap is", file=NAME, remedy=REMEDY
        ) from error
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise Problem("cannot be read", file=NAME, remedy=REMEDY) from error
    if not found.command or not Path(found.command[0]).is_file():
        raise Problem(
            "the Python that lawnmap was installed in is not there any more",
            file=found.command[0] if found.command else NAME,
            remedy=REMEDY,
        )
    return found
