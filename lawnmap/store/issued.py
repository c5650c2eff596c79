"""Issued plans: what was handed over, to whom, and what it was worked out from. Never changed.

``issued/DATE-ID/`` holds ``plan.json``, ``inputs.json``, ``to.json``, what was handed over, and
``files.json`` with the digest of each; from the second plan of a day on, its number follows:
``DATE-ID-2``. Nothing else tells which of a day's plans is the last, and that one holds.
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
from lawnmap.store.folder import Folder, not_listed
from lawnmap.store.inside import make_folder

NAME = re.compile(r"(\d{4}-\d{2}-\d{2})-([0-9a-f]{12})(?:-(\d{1,4}))?")
FILE = re.compile(r"(?!(con|prn|aux|nul|com\d|lpt\d)\.)[a-z0-9][a-z0-9_-]*(\.[a-z0-9]+)+")
PLAN, INPUTS, TO, FILES = "plan.json", "inputs.json", "to.json", "files.json"
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

    def papers(self) -> list[str]:
        """Return the names of what was handed over, without what is kept of it here alone."""
        try:
            listed_files = self.read(FILES)
        except InputRefused:
            return []
        named = [each["name"] for each in listed_files] if _is_list(listed_files) else []
        return [each for each in named if each not in {PLAN, INPUTS, TO}]

    def intact(self) -> bool:
        """Tell whether its inputs are still those its id was made from."""
        try:
            return identity(self.read(INPUTS)) == self.id
        except InputRefused:
            return False

    def holds(self, name: str) -> bool:
        """Tell whether one of its files is still as it was handed over.

        Nobody can tell of plans that were issued before there was a list of their files.
        """
        try:
            listed_files = self.read(FILES)
        except InputRefused:
            return not (self.path / FILES).exists()
        if not _is_list(listed_files):
            return False
        return any(each["name"] == name and self._holds(each) for each in listed_files)

    def altered(self) -> list[str]:
        """Return the files that are missing or no longer as they were handed over, by name.

        Plans that were issued before there was a list of their files have only their inputs to be
        held against.
        """
        try:
            listed_files = self.read(FILES)
        except InputRefused:
            there = (self.path / FILES).exists()
            return [FILES] if there else [] if self.intact() else [INPUTS]
        if not _is_list(listed_files):
            return [FILES]
        return [each["name"] for each in listed_files if not self._holds(each)]

    def _holds(self, entry: Mapping[str, Any]) -> bool:
        try:
            data = read_regular(self.path / entry["name"], limit=LARGEST)
        except InputRefused:
            return False
        return _entry(entry["name"], data) == entry


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
        For a file name that not every system can have, and when a link leads out of the folder.
    WriteFailed
        When the disk does not take it; nothing was issued then.
    """
    for name in files:
        if not FILE.fullmatch(name) or name in {PLAN, INPUTS, TO, FILES}:
            raise InputRefused(
                f"{name!r} cannot be the name of an issued file",
                file=folder.name,
                remedy="Use lower-case letters, digits, _ and -, and a suffix.",
            )
    content = {name: _json(value) for name, value in ((PLAN, plan), (INPUTS, inputs), (TO, to))}
    content |= files
    content[FILES] = _json([_entry(name, data) for name, data in sorted(content.items())])
    try:
        with locked(folder.lock, guards=folder.name, disk=disk):
            return _place(folder, day, identity(inputs), content, disk)
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(folder.issued, error) from error


def listed(folder: Folder, *, disk: Disk = DISK) -> list[Issued]:
    """Return what was issued, the last first.

    Raises
    ------
    InputRefused
        When the folder cannot be listed: it is not known then what holds.
    """
    try:
        return _listed(folder, disk)
    except OSError as error:
        raise not_listed(folder.issued, error) from error


def _listed(folder: Folder, disk: Disk) -> list[Issued]:
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


def handed(
    folder: Folder, *, inputs: Mapping[str, Any], to: Mapping[str, str], disk: Disk = DISK
) -> Issued | None:
    """Return what was issued from just these inputs to the same person, if it still is as it was.

    The day is among the inputs: another day is another plan.
    """
    plan_id = identity(inputs)
    for each in listed(folder, disk=disk):
        if each.id == plan_id and not each.altered():
            with contextlib.suppress(InputRefused):
                if each.read(TO) == dict(to):
                    return each
    return None


def _entry(name: str, data: bytes) -> dict[str, Any]:
    """Return what files.json says of a file."""
    return {"name": name, "sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}


def _is_list(value: Any) -> bool:
    """Tell whether a value is a list of plain names with what is said of them."""
    return isinstance(value, list) and all(
        isinstance(each, dict)
        and isinstance(each.get("name"), str)
        and FILE.fullmatch(each["name"]) is not None
        for each in value
    )


def _json(value: Any) -> bytes:
    return (json_text.dumps(value, indent=1) + "\n").encode("utf-8")


def _place(
    folder: Folder, day: dt.date, plan_id: str, content: Mapping[str, bytes], disk: Disk
) -> tuple[Issued, tuple[str, ...]]:
    """Write all files into a waiting folder, then give it its name: it is there whole or not."""
    waiting = folder.own(folder.issued) / ".waiting"
    make_folder(folder, folder.issued, disk=disk)
    if disk.look(waiting) is not None:  # a killed writer left it; we hold the lock
        disk.do(shutil.rmtree, waiting)
    disk.do(os.mkdir, waiting)
    warnings: tuple[str, ...] = ()
    try:
        for name, data in content.items():
            warnings += commit(waiting / name, data, force=False, disk=disk)
        number = 1 + max(
            (each.number for each in _listed(folder, disk) if each.day == day), default=0
        )
        tail = f"-{number}" if number > 1 else ""
        path = folder.issued / f"{day.isoformat()}-{plan_id}{tail}"
        move(waiting, path, disk=disk)
    except BaseException:
        with contextlib.suppress(OSError):  # the failure itself is the news
            disk.do(shutil.rmtree, waiting)
        raise
    warnings += confirm(path.name, folder.issued, disk=disk)
    return Issued(day, plan_id, number, path), warnings
