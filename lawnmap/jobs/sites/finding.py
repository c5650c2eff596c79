"""Where sites lie below a folder: each folder with a site file in it, at any depth."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import InputRefused
from lawnmap.store.folder import SITE, Folder

# What lies inside a site: copies of it, or papers made from it, but no sites.
INSIDE = {"backdrop", "exports", "issued", "photos", "replies", "surveys"}
HIDDEN = "."
DEEPEST = 32  # folders below the source; whoever nests them deeper did not mean to


@dataclass(frozen=True)
class Found:
    """A folder that was found.

    Attributes
    ----------
    site_id : str
        Its path below the source, with ``/`` between folders; the source's own name for itself.
    path : Path
        The folder.
    region : str
        The folder next below the source that it lies in; empty when it is that folder.
    problem : str
        Why it cannot be looked into; empty for a site.
    """

    site_id: str
    path: Path
    region: str = ""
    problem: str = ""


@dataclass(frozen=True)
class Search:
    """What was found, by ids; and how many links and too deep folders were passed by."""

    found: tuple[Found, ...]
    links: int = 0
    deeper: int = 0


def search(source: Path, *, leave_out: Path) -> Search:
    """Find the sites below a folder. No link to a folder is followed, so there is no way round.

    Parameters
    ----------
    source : Path
    leave_out : Path
        The folder that results go to, which may lie below the source.

    Returns
    -------
    Search

    Raises
    ------
    InputRefused
        When the source is no folder.
    """
    if not os.path.isdir(source):  # noqa: PTH112 - never raises, whatever the name
        raise InputRefused("is not a folder", file=source.name, remedy="Check the path.")
    found: list[Found] = []
    links, deeper = 0, 0
    own = os.path.relpath(leave_out.resolve(), source.resolve())

    def unread(error: OSError) -> None:
        problem = f"cannot be looked into ({error.strerror})"
        found.append(_found(source, Path(str(error.filename)), problem))

    for name, folders, files in os.walk(source, onerror=unread):
        here = Path(name)
        # A site whose file is gone still has its backups: it must not be passed by.
        if SITE in files or os.path.isdir(Folder(here).backups):  # noqa: PTH112 (never raises)
            found.append(_found(source, here))
        wanted = [
            each
            for each in folders
            if not each.startswith(HIDDEN)
            and each not in INSIDE
            and os.path.relpath(here / each, source) != own
        ]
        further = [each for each in wanted if not os.path.islink(here / each)]  # noqa: PTH114 (same)
        links += len(wanted) - len(further)
        if len(here.relative_to(source).parts) >= DEEPEST:
            deeper += len(further)
            further = []
        folders[:] = sorted(further)
    return Search(tuple(sorted(found, key=lambda each: each.site_id)), links, deeper)


def labels(depots: Iterable[Path | None], source: Path) -> dict[Path | None, str]:
    """Return what each depot is called: its path below the source, else its own name.

    Parameters
    ----------
    depots : iterable of Path or None
        Without links, as :meth:`pathlib.Path.resolve` gives them.
    source : Path
    """
    top, there = source.resolve(), {each for each in depots if each is not None}
    named: dict[Path | None, str] = {None: ""}
    inside = {each for each in there if top in each.parents}
    for each in inside:
        named[each] = as_text(each.relative_to(top).as_posix())
    taken = set(named.values())
    for each in there - inside:
        name = as_text(each.name)
        named[each] = f"../{name}" if name in taken else name
    return named


def as_text(name: str) -> str:
    """Return the name of a file as text; bytes that are no text are shown as escapes."""
    return os.fsencode(name).decode("utf-8", "backslashreplace")


def _found(source: Path, folder: Path, problem: str = "") -> Found:
    parts = folder.relative_to(source).parts
    site_id = "/".join(parts) or source.resolve().name
    region = parts[0] if len(parts) > 1 else ""
    return Found(as_text(site_id), folder, as_text(region), problem)
