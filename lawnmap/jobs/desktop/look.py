"""The job ``desktop status``: what is in each profile, and whether it would work."""

from __future__ import annotations

import os
import subprocess
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files import json_text
from lawnmap.jobs.desktop import copied, switch
from lawnmap.jobs.desktop.copied import COMMAND, Compared, Placed
from lawnmap.jobs.desktop.profiles import Profile
from lawnmap.jobs.desktop.put import settings

WAIT_S = 60
# What a GIS sets for its own libraries and Python, and the plugin takes out as well.
MISLEADING = {
    "PYTHONPATH", "PYTHONHOME", "LD_LIBRARY_PATH", "GDAL_DATA", "PROJ_LIB", "PROJ_DATA",
    "GDAL_DRIVER_PATH",
}  # fmt: skip


@dataclass(frozen=True)
class State:
    """How the plugin stands in a profile.

    Attributes
    ----------
    installed : str
        Its version; empty when it is not there.
    here : str
        The version of this lawnmap.
    current : bool
        Whether every file is as this lawnmap would put it there.
    enabled : bool
        Whether it is switched on.
    files : Compared
        What somebody changed, took away or added.
    command : str
        The Python that it starts; empty when that is not said.
    answers : str
        The version that this Python answers with; empty when it does not.
    problem : str
        What keeps it from working, in words; empty when nothing does.
    """

    profile: Profile
    installed: str
    here: str
    current: bool
    enabled: bool
    files: Compared
    command: str = ""
    answers: str = ""
    problem: str = ""

    def data(self) -> dict[str, Any]:
        """Return it as JSON has it."""
        return {
            "profile": self.profile.name,
            "path": str(self.profile.path),
            "gis": self.profile.gis,
            "boxed": self.profile.boxed,
            "installed": self.installed or None,
            "here": self.here,
            "current": self.current,
            "enabled": self.enabled,
            "command": self.command or None,
            "answers": self.answers or None,
            "changed": list(self.files.changed),
            "missing": list(self.files.missing),
            "added": list(self.files.added),
            "problem": self.problem or None,
        }


def look(profile: Profile) -> State:
    """Return how the plugin stands in a profile; what is wrong is told in it, not raised."""
    here = version("lawnmap")
    try:
        enabled = switch.is_on(settings(profile))
        placed = copied.listed(profile.folder)
    except LawnmapError as error:
        problem = str(error.within(file=profile.name))
        return State(profile, "", here, False, False, Compared(), problem=problem)  # noqa: FBT003
    if placed is None or not placed.digests:
        added = copied.compared(profile.folder, placed or Placed())
        return State(profile, "", here, current=False, enabled=enabled, files=added)
    files = copied.compared(profile.folder, placed)
    ours = {name: (copied.digest(data),) for name, data in copied.ours().items()}
    current = placed.digests == ours and not (files.changed or files.missing)
    command, answers, problem = _asked(profile.folder)
    return State(profile, placed.version, here, current, enabled, files, command, answers, problem)


def _asked(folder: Path) -> tuple[str, str, str]:
    """Return the Python that the plugin starts, the version it answers with, and what is wrong."""
    try:
        words = _words(json_text.loads(copied.content(folder / COMMAND, 1), name=COMMAND))
    except InputRefused:
        words = []
    if not words:
        return "", "", f"{COMMAND} is missing or does not say how to start lawnmap"
    python = words[0]
    if not os.path.lexists(python):
        return python, "", "that Python is gone"
    kept = {name: value for name, value in os.environ.items() if name not in MISLEADING}
    try:
        done = subprocess.run(  # noqa: S603 - what install wrote; the plugin runs the same
            [*words, "--version"], capture_output=True, env=kept, timeout=WAIT_S, check=False
        )
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a name of a program"
        return python, "", f"that Python cannot be started ({reason})"
    except subprocess.TimeoutExpired:
        return python, "", f"lawnmap does not answer within {WAIT_S} s"
    name, _, answer = done.stdout.decode("utf-8", "replace").strip().partition(" ")
    if done.returncode or name != "lawnmap":
        return python, "", "that Python has no lawnmap any more"
    return python, answer, ""


def _words(told: Any) -> list[str]:
    words = told.get("command") if isinstance(told, dict) else None
    plain = isinstance(words, list) and all(isinstance(each, str) for each in words)
    return words if plain and words else []
