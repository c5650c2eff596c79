"""The one door to the operating system for everything that writes.

Each call that can fail goes through :meth:`Disk.do`. A test hands in a disk that records the calls,
fails the n-th of them, or ends the process there; so the order of writes and syncs, on which every
promise about a site file rests, is tested as it is and not as somebody described it.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

# Exclusive, so that nobody else's file is written into; no link is followed. Windows lacks two.
NEW_FILE = (
    os.O_WRONLY
    | os.O_CREAT
    | os.O_EXCL
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
)
OWN_LOG = (
    os.O_WRONLY
    | os.O_CREAT
    | os.O_APPEND
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
)
FOLDER = os.O_RDONLY | getattr(os, "O_DIRECTORY", 0) | getattr(os, "O_CLOEXEC", 0)


class Disk:
    """Calls to the operating system.

    Attributes
    ----------
    windows : bool
        Folders cannot be synced there, and a file that anybody has open cannot be replaced.
    """

    windows: bool = os.name == "nt"

    def do(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> T:
        """Make one call."""
        return call(*args, **kwargs)

    def look(self, path: Path) -> os.stat_result | None:
        """Return the facts about `path`, None when nothing is there; any other error is raised.

        ``os.path.exists`` would call an unreadable disk "nothing there".
        """
        try:
            return self.do(os.stat, path)
        except FileNotFoundError:
            return None

    def write_new(self, path: Path, data: bytes, *, mode: int | None = None) -> None:
        """Write a file that is not there yet and sync its content; on failure take it away again.

        Parameters
        ----------
        path : Path
            Must not exist.
        data : bytes
            The whole content.
        mode : int, optional
            Permission bits; by default those of any new file.
        """
        handle = self.do(os.open, path, NEW_FILE, 0o666 if mode is None else 0o600)
        try:
            try:
                if mode is not None and hasattr(os, "fchmod"):
                    self.do(os.fchmod, handle, mode)
                rest = memoryview(data)
                while rest:
                    rest = rest[self.do(os.write, handle, rest) :]
                self.do(os.fsync, handle)
            finally:
                self.do(os.close, handle)
        except BaseException:
            with contextlib.suppress(OSError):  # the failure itself is the news
                self.remove(path)
            raise

    def append(self, path: Path, data: bytes) -> None:
        """Add to the end of a log that only its owner may read.

        It is not synced, and may end in the middle: a log is no promise to anybody.
        """
        handle = self.do(os.open, path, OWN_LOG, 0o600)
        try:
            if hasattr(os, "fchmod"):
                self.do(os.fchmod, handle, 0o600)  # it may be there with other rights
            rest = memoryview(data)
            while rest:
                rest = rest[self.do(os.write, handle, rest) :]
        finally:
            self.do(os.close, handle)

    def sync_folder(self, folder: Path) -> None:
        """Sync the names in `folder`: without it a finished rename may be undone by a power cut."""
        if self.windows:
            return
        handle = self.do(os.open, folder, FOLDER)
        try:
            self.do(os.fsync, handle)
        finally:
            os.close(handle)

    def remove(self, path: Path) -> bool:
        """Remove a file or a link, and tell whether there was one."""
        try:
            self.do(os.unlink, path)
        except FileNotFoundError:
            return False
        return True


DISK = Disk()
