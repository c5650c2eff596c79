"""What was worked out of each site, kept so that a run that was stopped goes on where it was.

``.parts/`` in the folder of results holds a file a site. Each says what it rests on, and a seal
says whether it is whole; whatever else lies there is as if it were not there.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

from lawnmap.errors import LawnmapError
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, sweep
from lawnmap.files.disk import DISK
from lawnmap.files.lock import locked
from lawnmap.files.seal import digest_of, seal_of
from lawnmap.jobs.sites.reduced import Part

PARTS, LOCK, SUFFIX, TEMP = ".parts", "lock", ".json", ".tmp"
FORMAT = 1
LARGEST = 50_000_000
NAME_LENGTH = 32
SHAPE = {
    "site": dict, "steps": dict, "work": dict, "visits": list, "out": list, "crew": str,
    "region": str, "currency": str,
}  # fmt: skip


class Kept:
    """The parts kept in a folder of results. Only for who holds its lock.

    Parameters
    ----------
    out : Path
        The folder of results.
    """

    def __init__(self, out: Path) -> None:
        self.folder = out / PARTS
        self.lock = self.folder / LOCK

    @contextlib.contextmanager
    def held(self) -> Iterator[None]:
        """Make the folders and hold their lock for the length of a ``with`` block.

        When the block fails before anything was worth keeping, what was made here is taken away.

        Raises
        ------
        Busy
            When another run holds the lock.
        WriteFailed
            When the disk does not take the folders.
        """
        fresh = [each for each in (self.folder, *self.folder.parents) if not each.exists()]
        with locked(self.lock, guards=self.folder.parent.name, wait_s=0.0):
            try:
                yield
            except BaseException:
                if fresh and not any(self.folder.rglob(f"*{SUFFIX}")):
                    self._undo(fresh)
                raise

    def _undo(self, fresh: Iterable[Path]) -> None:
        """Take away the folders that were made, the lock with them while it is ours."""
        with contextlib.suppress(OSError):  # the failure itself is the news
            DISK.do(shutil.rmtree, self.folder)
            for folder in fresh:
                if folder != self.folder:
                    DISK.do(os.rmdir, folder)

    def read(self, site_id: str, digest: str) -> Part | None:
        """Return what was worked out of a site from just these inputs; None when there is none."""
        try:
            value = json_text.loads(read_regular(self._path(site_id), limit=LARGEST), name=site_id)
            part = value["part"]
            own = [value["format"], value["site_id"], value["digest"], value["seal"]]
        except (LawnmapError, KeyError, TypeError):
            return None
        if own != [FORMAT, site_id, digest, seal_of(part)]:
            return None
        shaped = isinstance(part, dict) and part.keys() == SHAPE.keys()
        sound = shaped and all(isinstance(part[name], kind) for name, kind in SHAPE.items())
        return part if sound else None

    def write(self, site_id: str, digest: str, part: Part) -> None:
        """Keep what was worked out of a site.

        Raises
        ------
        WriteFailed
            When the disk does not take it.
        """
        head = {"format": FORMAT, "site_id": site_id, "digest": digest, "seal": seal_of(part)}
        path = self._path(site_id)
        sweep(path)  # left by a run that was killed: we hold the lock
        commit(path, json_text.dumps({**head, "part": part}).encode("utf-8"), force=True)

    def forget(self, but: Iterable[str] = ()) -> None:
        """Forget all sites but some, and what a killed run had not finished writing."""
        stay = {self._path(site_id).name for site_id in but}
        with contextlib.suppress(OSError):  # it does no harm there
            for path in sorted(self.folder.iterdir()):
                if path.suffix in {SUFFIX, TEMP} and path.name not in stay:
                    DISK.remove(path)

    def _path(self, site_id: str) -> Path:
        """Return the file of a site; ids are paths of any length, names of files are not."""
        name = digest_of(site_id.encode("utf-8"))[:NAME_LENGTH]
        return self.folder / f"{name}{SUFFIX}"
