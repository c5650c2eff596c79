"""What was drawn and not yet saved, kept after every stroke so that a crash costs at most one.

Several pages may be open on one site. Each holds a draft of its own, by a lock that a killed holder
gives back at once; the next to come takes one that was left, before an empty one.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from lawnmap.errors import Busy, InputRefused
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, move, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.lock import locked
from lawnmap.store.features import whole
from lawnmap.store.folder import Folder

MOST = 9  # pages on one site at a time
LARGEST = 10_000_000  # bytes


@dataclass(frozen=True)
class Kept:
    """Changes that were not saved.

    Attributes
    ----------
    revision : int
        Of the site that they were made to.
    changes : mapping of str to GeoJSON feature or None
        By key; None takes a feature away.
    saved_at : str
        When they were kept, in UTC.
    """

    revision: int
    changes: Mapping[str, dict[str, Any] | None] = field(repr=False)
    saved_at: str = ""


@dataclass(frozen=True)
class Draft:
    """The place of one page's draft. Only its holder writes there."""

    path: Path
    disk: Disk = DISK

    def keep(self, kept: Kept) -> None:
        """Write a draft; after this it survives whatever happens to the program.

        Raises
        ------
        WriteFailed
            When the disk does not take it.
        """
        saved_at = kept.saved_at or f"{dt.datetime.now(dt.UTC):%Y-%m-%dT%H:%M:%SZ}"
        content = {
            "saved_at": saved_at,
            "revision": kept.revision,
            "changes": dict(kept.changes),
        }
        sweep(self.path, disk=self.disk)
        commit(self.path, json_text.dumps(content).encode("utf-8"), force=True, disk=self.disk)

    def read(self) -> Kept | None:
        """Return what was kept; None when there is nothing, or nothing that can be read."""
        if not self.path.is_file():
            return None
        try:
            content = json_text.loads(read_regular(self.path, limit=LARGEST), name=self.path.name)
        except InputRefused:
            return None
        if not _good(content):
            return None
        return Kept(content["revision"], content["changes"], content["saved_at"])

    def forget(self) -> None:
        """Take the draft away, once it was saved or is not wanted.

        Raises
        ------
        WriteFailed
            When the disk does not let it go.
        """
        try:
            self.disk.remove(self.path)
        except OSError as error:
            raise write_failed(self.path, error) from error


@contextlib.contextmanager
def held(folder: Folder, *, disk: Disk = DISK) -> Iterator[Draft]:
    """Hold a draft for the length of a ``with`` block: one that was left over, else a new one.

    A file that is no draft, damaged or of another lawnmap, is kept as ``draft.damaged-1.json``.

    Raises
    ------
    Busy
        When nine pages are open on the site.
    InputRefused
        When a link leads a draft out of the folder.
    """
    names = [f"draft{f'-{n}' if n > 1 else ''}.json" for n in range(1, MOST + 1)]
    paths = [folder.own(folder.private / name) for name in names]
    for path in sorted(paths, key=lambda path: not path.is_file()):  # stable: the first of each
        with contextlib.ExitStack() as stack:
            lock = path.with_suffix(".lock")
            try:
                stack.enter_context(locked(lock, guards=folder.name, wait_s=0.0, disk=disk))
            except Busy:
                continue
            draft = Draft(path, disk)
            _clear(draft)
            yield draft
            return
    raise Busy(
        f"{MOST} pages are open on it already",
        file=folder.name,
        remedy="Close one of them, and try again.",
    )


def _clear(draft: Draft) -> None:
    """Give what is no draft another name: the next stroke would be written over it."""
    number = 1
    try:
        facts = draft.disk.look(draft.path)
        if facts is None or facts.st_size == 0 or draft.read() is not None:
            return
        while os.path.lexists(free := draft.path.with_suffix(f".damaged-{number}.json")):
            number += 1
        move(draft.path, free, disk=draft.disk)
    except OSError as error:
        raise write_failed(draft.path, error) from error


def _good(content: Any) -> bool:
    """Tell a draft from whatever else somebody put in its place."""
    return (
        isinstance(content, dict)
        and whole(content.get("revision"))
        and isinstance(content.get("saved_at"), str)
        and isinstance(content.get("changes"), dict)
        and all(each is None or _feature(each) for each in content["changes"].values())
    )


def _feature(each: Any) -> bool:
    return (
        isinstance(each, dict)
        and each.get("type") == "Feature"
        and isinstance(each.get("properties"), dict)
        and isinstance(each.get("geometry"), dict)
    )
