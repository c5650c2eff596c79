"""The one atomic write: after it the file is the old one or the new one, whole, whatever happens.

The new content goes to ``.NAME.tmp`` beside the file, is synced, takes the file's place in one
rename, and the folder is synced. Every writer of lawnmap ends here.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import time
from pathlib import Path

from lawnmap.errors import Busy, LawnmapError, UsageProblem, WriteFailed
from lawnmap.files.disk import DISK, Disk

NOT_CONFIRMED = (
    "{name} was saved, but the disk did not confirm it: after a power cut it may be the old one."
)
UNCHANGED = "Nothing was changed."

# What Windows says while a virus scanner, an indexer or a viewer has the file open.
SHARING_VIOLATIONS = {5, 32, 33}
RETRIES = 20
RETRY_S = 0.1

REMEDIES = {
    errno.ENOSPC: "Make room on the disk and try again.",
    errno.EDQUOT: "Make room in your quota and try again.",
    errno.EFBIG: "The system limits the size of files: raise the limit and try again.",
    errno.EACCES: "Ask for the right to write in that folder, or write somewhere else.",
    errno.EPERM: "Ask for the right to write in that folder, or write somewhere else.",
    errno.EROFS: "The disk is read-only: write somewhere else.",
    errno.ENAMETOOLONG: "Choose a shorter name.",
}


def commit(path: Path, data: bytes, *, force: bool, disk: Disk = DISK) -> tuple[str, ...]:
    """Write `data` to `path` so that the file is never half written.

    Parameters
    ----------
    path : Path
        A file in an existing folder. A link is followed to the file it leads to.
    data : bytes
        The whole content.
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    tuple of str
        Warnings: one when the file is in its place but the disk did not confirm the folder.

    Raises
    ------
    UsageProblem
        When the file is there and `force` is not given.
    WriteFailed
        When the disk does not take it. The old file is still there, whole.
    Busy
        When another write of the same file is going on, or one was cut off.
    """
    try:
        target = disk.do(Path.resolve, path)
        mode = _admitted(path, target, force=force, disk=disk)
        temp = temp_of(target)
        _write_temp(temp, data, mode, disk)
        try:
            move(temp, target, disk=disk)
        except BaseException:
            with contextlib.suppress(OSError):  # the failure itself is the news
                disk.remove(temp)
            raise
    except LawnmapError:
        raise
    except (OSError, RuntimeError) as error:  # RuntimeError: pathlib's name for a loop of links
        raise write_failed(path, error) from error
    return confirm(path.name, target.parent, disk=disk)


def temp_of(path: Path) -> Path:
    """Return where the content of `path` waits; one fixed name, so at most one can be left."""
    return path.with_name(f".{path.name}.tmp")


def confirm(name: str, folder: Path, *, disk: Disk = DISK) -> tuple[str, ...]:
    """Sync `folder` once `name` is in its place; when this fails that is a warning, no error."""
    try:
        disk.sync_folder(folder)
    except OSError:
        return (NOT_CONFIRMED.format(name=name),)
    return ()


def sweep(path: Path, *, disk: Disk = DISK) -> None:
    """Remove what a writer of `path` left when it was killed.

    Only for a caller that holds the lock under which `path` is written.
    """
    try:
        disk.remove(temp_of(disk.do(Path.resolve, path)))
    except (OSError, RuntimeError) as error:
        raise write_failed(path, error) from error


def write_failed(path: Path, error: Exception, *, done: str = UNCHANGED) -> WriteFailed:
    """Return the error for a disk that did not take `path`."""
    number = error.errno if isinstance(error, OSError) else None
    reason = getattr(error, "strerror", None) or str(error)
    return WriteFailed(
        f"could not be written ({reason})",
        file=path.name,
        done=done,
        remedy=REMEDIES.get(number or 0, "Check the disk and the path, and try again."),
    )


def _admitted(path: Path, target: Path, *, force: bool, disk: Disk) -> int | None:
    """Return the permission bits to keep, None for a new file; refuse what must not be replaced."""
    facts = disk.look(target)
    if facts is None:
        if disk.look(target.parent) is None:
            raise WriteFailed(
                "could not be written: its folder does not exist",
                file=path.name,
                done=UNCHANGED,
                remedy="Make the folder first, or write somewhere else.",
            )
        return None
    if not stat.S_ISREG(facts.st_mode):
        kind = "a folder" if stat.S_ISDIR(facts.st_mode) else "not an ordinary file"
        raise WriteFailed(
            f"is {kind}", file=path.name, done=UNCHANGED, remedy="Give the name of a file."
        )
    if not force:
        raise UsageProblem(
            "is there already",
            file=path.name,
            done=UNCHANGED,
            remedy="Give --force to replace it, or choose another name.",
        )
    if not disk.do(os.access, target, os.W_OK):  # a rename would overwrite it all the same
        raise WriteFailed(
            "is read-only",
            file=path.name,
            done=UNCHANGED,
            remedy="Make it writable, or choose another name.",
        )
    return stat.S_IMODE(facts.st_mode)


def _write_temp(temp: Path, data: bytes, mode: int | None, disk: Disk) -> None:
    try:
        disk.write_new(temp, data, mode=mode)
    except FileExistsError as error:
        raise Busy(
            f"another write is going on, or one was cut off: {temp.name} is there",
            file=temp.name[1 : -len(".tmp")],
            done=UNCHANGED,
            remedy=f"If no other lawnmap is running, delete {temp.name} and try again.",
        ) from error


def move(source: Path, target: Path, *, disk: Disk = DISK) -> None:
    """Put `source` in the place of `target`; on Windows wait while somebody has that open."""
    retries = RETRIES if disk.windows else 0
    while True:
        try:
            disk.do(os.replace, source, target)
        except OSError as error:
            if not retries or getattr(error, "winerror", None) not in SHARING_VIOLATIONS:
                raise
            retries -= 1
            disk.do(time.sleep, RETRY_S)
        else:
            return
