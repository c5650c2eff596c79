"""The folder in which a run over a table keeps what is done: partitions in, tables out.

Two marks say what they rest on. Partitions that were laid out from another table, and results that
were worked out by other choices, are taken away before anything is put in their place; so what is
there always belongs together, and a run that was stopped goes on with the first partition missing.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lawnmap.errors import LawnmapError, UsageProblem
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, sweep, write_failed
from lawnmap.files.disk import DISK
from lawnmap.files.seal import digest_of, seal_of
from lawnmap.jobs.sites.engine import partitions
from lawnmap.jobs.sites.kept import PARTS

LAID, TABLES = "laid", "tables"
MARK, OURS = "rests_on.json", ".lawnmap"
LARGEST = 50_000_000
EDGE = 1 << 20  # bytes at either end of the table that are looked at


@dataclass(frozen=True)
class Room:
    """A folder of partitions with a mark of what they rest on."""

    folder: Path

    def told(self, digest: str) -> dict[str, Any] | None:
        """Return what was noted when just this was put there; None when something else is."""
        try:
            mark = json_text.loads(read_regular(self.folder / MARK, limit=LARGEST), name=MARK)
        except LawnmapError:
            return None
        note = mark.get("note") if isinstance(mark, dict) else None
        same = isinstance(note, dict) and mark == _mark(digest, note)
        return note if same else None

    def emptied(self) -> None:
        """Take everything away but the sign that it was ours.

        The mark goes first, and for good: what is left of a folder that could not be emptied rests
        on nothing. The sign stays, so that a run that was killed here can go on.

        Raises
        ------
        UsageProblem
            When the folder holds what we did not put there.
        WriteFailed
            When the disk does not let it be.
        """
        try:
            DISK.do(os.makedirs, self.folder, exist_ok=True)
            self._refuse_foreign()
            if DISK.look(self.folder / OURS) is None:
                DISK.write_new(self.folder / OURS, b"")
            DISK.remove(self.folder / MARK)
            DISK.sync_folder(self.folder)
            for path in sorted(self.folder.iterdir()):
                if path.is_dir() and not path.is_symlink():
                    DISK.do(shutil.rmtree, path)
                elif path.name != OURS:
                    DISK.remove(path)
        except OSError as error:
            raise write_failed(self.folder, error) from error

    def _refuse_foreign(self) -> None:
        ours = [self.folder / name for name in (OURS, MARK)]
        if any(self.folder.iterdir()) and not any(path.is_file() for path in ours):
            raise UsageProblem(
                "holds something else, and the tables of a run go there",
                file=self.folder.name,
                done="Nothing was changed.",
                remedy="Give -o another folder.",
            )

    def mark(self, digest: str, note: Mapping[str, Any]) -> None:
        """Note what the partitions rest on, and what is to be told of them."""
        path = self.folder / MARK
        sweep(path)
        text = json_text.dumps(_mark(digest, note))
        commit(path, text.encode("utf-8"), force=True)


def _mark(digest: str, note: Mapping[str, Any]) -> dict[str, Any]:
    """Return a mark with its seal: one that was damaged is none."""
    return {"digest": digest, "note": dict(note), "seal": seal_of([digest, dict(note)])}


def laid(out: Path) -> Room:
    """Return where partitions of zones lie that were not worked yet."""
    return Room(out / PARTS / LAID)


def tables(out: Path) -> Room:
    """Return where the tables of all partitions go."""
    return Room(out / TABLES)


def of_file(path: Path, choices: Iterable[str]) -> str:
    """Return a digest of a table and how it is read: its size, its age, and both its ends.

    A file of four gigabytes is not read through twice only to see that it is the same.
    """
    facts = path.stat()
    with path.open("rb") as stream:
        first = stream.read(EDGE)
        stream.seek(max(facts.st_size - EDGE, 0))
        last = stream.read(EDGE)
    parts = [str(facts.st_size), str(facts.st_mtime_ns), *choices]
    return of_texts([*parts, digest_of(first), digest_of(last)])


def of_partitions(folder: Path) -> str:
    """Return a digest of what was laid out: what lies at an address has no age."""
    paths = [
        partitions.path_of(folder, table, number)
        for table in partitions.WITH_SHAPES
        for number in partitions.numbers(folder, table)
    ]
    return of_texts(digest_of(path.read_bytes()) for path in paths)


def of_texts(parts: Iterable[str]) -> str:
    """Return a digest of some texts."""
    total = hashlib.sha256()
    for each in parts:
        total.update(hashlib.sha256(each.encode("utf-8", "surrogateescape")).digest())
    return total.hexdigest()
