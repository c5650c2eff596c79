"""The jobs ``desktop install`` and ``desktop remove``.

The list of what is ours is written before the first file and after the last, so that a run that was
cut off is finished by the next and takes nothing of anybody's for its own.
"""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path, PurePosixPath
from typing import Any

from lawnmap.errors import InputRefused, WriteFailed
from lawnmap.files.admit import read_regular
from lawnmap.files.alone import put
from lawnmap.files.commit import write_failed
from lawnmap.files.disk import DISK
from lawnmap.jobs.desktop import copied, switch
from lawnmap.jobs.desktop.copied import BYTECODE, LIST, Placed
from lawnmap.jobs.desktop.profiles import Profile

LARGEST_SETTINGS = 100_000_000
ASIDE = ".yours"  # not a suffix that Python or the GIS takes for its own
IN_USE = {errno.ENOTEMPTY, errno.EEXIST, errno.ENOENT, errno.ENOTDIR}


@dataclass(frozen=True)
class Done:
    """What was done in a profile.

    Attributes
    ----------
    before, now : str
        Version that was there, and is there; empty for none.
    enabled : bool
        Whether the plugin is switched on.
    kept : tuple of str
        Files that somebody changed or added, by their path as it is now.
    warnings : tuple of str
        Of the disk.
    """

    profile: Profile
    before: str
    now: str
    enabled: bool
    kept: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def data(self) -> dict[str, Any]:
        """Return it as JSON has it."""
        return {
            "profile": self.profile.name,
            "path": str(self.profile.path),
            "gis": self.profile.gis,
            "before": self.before or None,
            "now": self.now or None,
            "enabled": self.enabled,
            "kept": list(self.kept),
        }


def install(
    profile: Profile, *, enable: bool = True, files: Mapping[str, bytes] | None = None
) -> Done:
    """Put the plugin into a profile, in the place of an older one.

    Parameters
    ----------
    profile : Profile
        Its folder must be there.
    enable : bool
        Whether the GIS is to load it; otherwise that stays as it was.
    files : mapping of str to bytes, optional
        The plugin, by path in its folder; that of this lawnmap when not given.

    Returns
    -------
    Done

    Raises
    ------
    InputRefused
        When something that is not ours has the plugin's name, or the settings cannot be edited.
    WriteFailed, Busy
        When the disk does not take it. The next run finishes what this one began.
    """
    new = copied.ours() if files is None else files
    folder = profile.folder
    with _told(profile):
        there = settings(profile)
        turned = _turned(profile, switch.on, there) if enable else there
        before = copied.listed(folder) or Placed()
        DISK.do(os.makedirs, folder, exist_ok=True)
        ours = {name: (copied.digest(data),) for name, data in new.items()}
        both = {name: (*before.digests.get(name, ()), *ours.get(name, ()))
                for name in {**before.digests, **ours}}  # fmt: skip
        warnings = _write(folder, LIST, Placed(before.version, both).encoded())
        kept = [_set_aside(folder, name, both[name]) for name in sorted(new)]
        for name, data in sorted(new.items()):
            if copied.digest_at(folder, name) != ours[name][0]:
                warnings += _write(folder, name, data)
        kept += _taken_away(folder, before, set(before.digests) - set(new))
        now = Placed(version("lawnmap"), ours)
        warnings += _write(folder, LIST, now.encoded())
        warnings += _switched(profile, there, turned)
        added = copied.compared(folder, now).added
    mine = tuple(sorted({*filter(None, kept), *added}))
    return Done(profile, before.version, now.version, switch.is_on(turned), mine, warnings)


def remove(profile: Profile) -> Done:
    """Take away what was put into a profile, and the line that switches it on.

    Returns
    -------
    Done

    Raises
    ------
    InputRefused
        When the folder of that name is not ours, or the settings cannot be edited.
    WriteFailed, Busy
        When the disk does not take it. The next run finishes what this one began.
    """
    folder = profile.folder
    with _told(profile):
        there = settings(profile)
        turned = _turned(profile, switch.off, there)
        placed = copied.listed(folder)
        warnings = _switched(profile, there, turned)
        if placed is None:
            return Done(profile, "", "", enabled=False, warnings=warnings)
        changed = _taken_away(folder, placed, placed.digests)
        kept = tuple(sorted({*changed, *copied.compared(folder, placed).added}))
        if kept:  # the folder stays, and stays ours: it can be installed into again
            warnings += _write(folder, LIST, Placed().encoded())
        else:
            DISK.remove(folder / LIST)
            _folder_gone(folder)
    return Done(profile, placed.version, "", enabled=False, kept=kept, warnings=warnings)


@contextlib.contextmanager
def _told(profile: Profile) -> Iterator[None]:
    """Tell what the disk or the settings file refuses as the error that it is."""
    try:
        yield
    except (InputRefused, WriteFailed) as error:
        raise error.within(file=profile.name) from error.__cause__
    except OSError as error:
        path = Path(error.filename) if isinstance(error.filename, str) else profile.folder
        raise write_failed(
            path, error, done="The next run finishes what this one began."
        ) from error


def settings(profile: Profile) -> bytes:
    """Return the settings file of a profile; nothing when there is none."""
    facts = DISK.look(profile.settings)
    if facts is None or facts.st_size == 0:
        return b""
    return DISK.do(read_regular, profile.settings, limit=LARGEST_SETTINGS)


def _turned(profile: Profile, turn: Callable[[bytes], bytes], there: bytes) -> bytes:
    try:
        return turn(there)
    except InputRefused as error:
        raise error.within(file=profile.settings.name) from None


def _switched(profile: Profile, there: bytes, turned: bytes) -> tuple[str, ...]:
    if turned == there:
        return ()
    DISK.do(os.makedirs, profile.settings.parent, exist_ok=True)
    return put(profile.settings, turned, force=True)


def _write(folder: Path, name: str, data: bytes) -> tuple[str, ...]:
    path = folder / name
    DISK.do(os.makedirs, path.parent, exist_ok=True)
    return put(path, data, force=True)


def _set_aside(folder: Path, name: str, ours: Iterable[str]) -> str:
    """Give what stands where our file belongs another name, unless it is ours; return that name."""
    path = _in_the_way(folder, name)
    if path is None or (copied.digest_at(folder, name) or "") in ours:
        return ""
    number = 1
    while True:
        aside = path.with_name(f"{path.name}{ASIDE}{f'-{number}' if number > 1 else ''}")
        if not os.path.lexists(aside):
            DISK.do(os.rename, path, aside)
            return aside.relative_to(folder).as_posix()
        number += 1


def _in_the_way(folder: Path, name: str) -> Path | None:
    """Return what stands where a file belongs: it itself, or what is no folder on the way there."""
    path = folder
    for part in PurePosixPath(name).parts:
        path = path / part
        if not os.path.lexists(path):
            return None
        if os.path.islink(path) or not os.path.isdir(path):  # noqa: PTH112, PTH114 - never raise
            return path
    return path


def _taken_away(folder: Path, placed: Placed, names: Iterable[str]) -> list[str]:
    """Take files of ours away, and folders that are empty then; return those that were changed."""
    kept = []
    for name in sorted(names):
        found = copied.digest_at(folder, name)
        if found is not None and found not in placed.digests[name]:
            kept.append(name)
        elif found is not None:
            DISK.remove(folder / name)
        _bytecode_gone(folder / name)
    for place in sorted({(folder / name).parent for name in names}, reverse=True):
        if place != folder:
            _folder_gone(place)
    return kept


def _bytecode_gone(path: Path) -> None:
    """Take away what the Python of the GIS made of a module."""
    if path.suffix == ".py":
        for each in sorted((path.parent / BYTECODE).glob(f"{path.stem}.*.pyc")):
            DISK.remove(each)


def _folder_gone(path: Path) -> None:
    """Take away a folder with the one for bytecode in it, if there is nothing else in them."""
    for each in (path / BYTECODE, path):
        try:
            DISK.do(os.rmdir, each)
        except OSError as error:
            if error.errno not in IN_USE:
                raise
