"""Issued plans: what was handed over, to whom, and what it was worked out from. Never changed.

``issued/DATE-ID/`` holds ``plan.json``, ``inputs.json``, ``to.json`` and what was handed over; from
the second plan of a day on, its number follows: ``DATE-ID-2``.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import json
import os
import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, confirm, move, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.lock import locked
from lawnmap.store.folder import Folder

NAME = re.compile(r"(\d{4}-\d{2}-\d{2})-([0-9a-f]{12})(?:-(\d{1,4}))?")
FILE = re.compile(r"(?!(con|prn|aux|nul|com\d|lpt\d)\.)[a-z0-9][a-z0-9_-]*(\.[a-z0-9]+)+")
PLAN, INPUTS, TO = "plan.json", "inputs.json", "to.json"
ID_LENGTH = 12
LARGEST = 200_000_000


@dataclass(frozen=True)
class Issued:
    """One plan that was handed over.

    Attributes
    ----------
    day : date
        When it was issued.
    id : str
        12 hexadecimal digits: see :func:`identity`.
    number : int
        1 for the first plan that was issued on that day, and so on.
    path : Path
        Its folder.
    """

    day: dt.date
    id: str
    number: int
    path: Path

    def read(self, name: str) -> Any:
        """Return the value in one of its JSON files.

        Raises
        ------
        InputRefused
            When the file is missing or damaged.
        """
        data = read_regular(self.path / name, limit=LARGEST)
        return json_text.loads(data, name=f"{self.path.name}/{name}")

    def intact(self) -> bool:
        """Tell whether its inputs are still those its id was made from."""
        try:
            return identity(self.read(INPUTS)) == self.id
        except InputRefused:
            return False


def identity(inputs: Mapping[str, Any]) -> str:
    """Return the id of a plan: 12 hexadecimal digits of SHA-256 over its inputs.

    Parameters
    ----------
    inputs : mapping
        JSON values. The text hashed has sorted keys, no blanks, UTF-8, and numbers as the shortest
        text that reads back to the same double; so it depends on nothing but the values.

    Examples
    --------
    >>> identity({"b": 1, "a": [0.1, "é"]}) == identity({"a": [0.1, "é"], "b": 1})
    True
    """
    text = json.dumps(
        inputs, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:ID_LENGTH]


def issue(
    folder: Folder,
    *,
    day: dt.date,
    inputs: Mapping[str, Any],
    plan: Any,
    to: Mapping[str, str],
    files: Mapping[str, bytes],
    disk: Disk = DISK,
) -> tuple[Issued, tuple[str, ...]]:
    """Keep a plan that is handed over.

    Parameters
    ----------
    folder : Folder
        The site.
    day : date
        The day of issue.
    inputs, plan : JSON values
        What it was worked out from, and its rows.
    to : mapping of str to str
        Whom it went to, such as ``{"audience": "client", "name": "…"}``.
    files : mapping of str to bytes
        What was handed over, by name: lower-case letters, digits, ``_`` and ``-``, and a suffix.

    Returns
    -------
    Issued and tuple of str
        What was kept, and warnings.

    Raises
    ------
    InputRefused
        For a file name that not every system can have.
    WriteFailed
        When the disk does not take it; nothing was issued then.
    """
    for name in files:
        if not FILE.fullmatch(name) or name in {PLAN, INPUTS, TO}:
            raise InputRefused(
                f"{name!r} cannot be the name of an issued file",
                file=folder.name,
                remedy="Use lower-case letters, digits, _ and -, and a suffix.",
            )
    content = {name: _json(value) for name, value in ((PLAN, plan), (INPUTS, inputs), (TO, to))}
    try:
        with locked(folder.lock, guards=folder.name, disk=disk):
            return _place(folder, day, identity(inputs), {**content, **files}, disk)
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(folder.issued, error) from error


def listed(folder: Folder, *, disk: Disk = DISK) -> list[Issued]:
    """Return what was issued, the last first."""
    try:
        names = disk.do(os.listdir, folder.issued)
    except FileNotFoundError:
        return []
    found = []
    for name in names:
        match = NAME.fullmatch(name)
        with contextlib.suppress(ValueError):  # a folder named for a day that never was
            if match:
                day = dt.date.fromisoformat(match.group(1))
                number = int(match.group(3) or 1)
                found.append(Issued(day, match.group(2), number, folder.issued / name))
    return sorted(found, key=lambda each: (each.day, each.number), reverse=True)


def _json(value: Any) -> bytes:
    return (json_text.dumps(value, indent=1) + "\n").encode("utf-8")


def _place(
    folder: Folder, day: dt.date, plan_id: str, content: Mapping[str, bytes], disk: Disk
) -> tuple[Issued, tuple[str, ...]]:
    """Write all files into a waiting folder, then give it its name: it is there whole or not."""
    waiting = folder.issued / ".waiting"
    if disk.look(folder.issued) is None:
        disk.do(os.mkdir, folder.issued)
        disk.sync_folder(folder.path)
    if disk.look(waiting) is not None:  # a killed writer left it; we hold the lock
        disk.do(shutil.rmtree, waiting)
    disk.do(os.mkdir, waiting)
    warnings: tuple[str, ...] = ()
    for name, data in content.items():
        warnings += commit(waiting / name, data, force=False, disk=disk)
    number = 1 + max(
        (each.number for each in listed(folder, disk=disk) if each.day == day), default=0
    )
    tail = f"-{number}" if number > 1 else ""
    path = folder.issued / f"{day.isoformat()}-{plan_id}{tail}"
    move(waiting, path, disk=disk)
    warnings += confirm(path.name, folder.issued, disk=disk)
    return Issued(day, plan_id, number, path), warnings
