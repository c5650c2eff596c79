"""One site of many: its plan worked out and reduced, or what went wrong. Nothing is raised."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import LawnmapError, frames_of
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import planned as plan_of
from lawnmap.jobs.sites import resting
from lawnmap.jobs.sites.reduced import Part, reduced
from lawnmap.store.folder import Folder
from lawnmap.store.sunlight import kept


@dataclass(frozen=True)
class Task:
    """A site to be worked out.

    Attributes
    ----------
    site_id : str
    path : Path
        Its folder.
    depot : Path or None
        As found for it; its cards and machines are used.
    personal : Path
        The person's own folder.
    today : date
    run : str
        Digest of what all sites rest on.
    """

    site_id: str
    path: Path
    depot: Path | None
    personal: Path
    today: dt.date
    run: str

    def digest(self) -> str:
        """Return a digest of everything that the plan rests on."""
        return resting.of_site(Folder(self.path), self.depot, self.run)


@dataclass(frozen=True)
class Trouble:
    """Why a site could not be worked out.

    Attributes
    ----------
    code : int
        The exit code that its own plan would have had.
    frames : tuple of str
        Where a fault lies in the code, for the log; empty for anything else.
    """

    site_id: str
    problem: str
    code: int = LawnmapError.exit_code
    file: str = ""
    place: str = ""
    remedy: str = ""
    frames: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Return the whole message on one line."""
        return str(
            LawnmapError(
                self.problem, file=self.file, place=self.place, done="", remedy=self.remedy
            )
        )


@dataclass(frozen=True)
class Worked:
    """What became of a site.

    Attributes
    ----------
    part : dict or None
        See :func:`lawnmap.jobs.sites.reduced.reduced`.
    digest : str
        What it rests on; empty when that changed meanwhile, so that it is not kept.
    trouble : Trouble or None
    """

    part: Part | None = None
    digest: str = ""
    trouble: Trouble | None = None


def worked(task: Task) -> Worked:
    """Work out one site.

    Returns
    -------
    Worked
    """
    try:
        digest = task.digest()
        part = _part(task)
        return Worked(part, digest if task.digest() == digest else "")
    except LawnmapError as error:
        told = Trouble(
            task.site_id, error.problem, error.exit_code, error.file, error.place, error.remedy
        )
        return Worked(trouble=told)
    except Exception as fault:  # noqa: BLE001 - one site never stops the rest
        return Worked(trouble=of_fault(task.site_id, fault))


def of_fault(site_id: str, fault: Exception) -> Trouble:
    """Return what is to be said of a fault in lawnmap."""
    return Trouble(
        site_id,
        f"a fault in lawnmap ({type(fault).__name__})",
        remedy="Plan this site alone with --debug to see it, and tell its makers.",
        frames=frames_of(fault),
    )


def of_death(site_id: str) -> Trouble:
    """Return what is to be said of a site over which a process ended again and again."""
    return Trouble(
        site_id,
        "the process that worked on it was ended from outside, or broke down",
        remedy="Look whether there is memory enough, or plan this site alone.",
    )


def _part(task: Task) -> Part:
    opened = open_site(task.path)
    specification = choices(opened, depot=task.depot, personal=task.personal, today=task.today)
    made, work = plan_of(
        opened.site,
        specification,
        calendar(opened),
        today=task.today,
        site_id=task.site_id,
        sun=kept(opened.folder),
    )
    return reduced(made, work)
