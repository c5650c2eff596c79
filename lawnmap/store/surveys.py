"""Closed surveys: ``surveys/DATE.geojson``, the site as it was found on a day. Never changed.

From the second survey of a day on, its number follows: ``DATE-2.geojson``.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import re
from dataclasses import dataclass

from lawnmap.errors import InputRefused, LawnmapError, SiteDamaged
from lawnmap.files.admit import read_regular
from lawnmap.files.disk import DISK, Disk
from lawnmap.model import Site
from lawnmap.store import document
from lawnmap.store.folder import Folder, not_listed

NAME = re.compile(r"(\d{4}-\d{2}-\d{2})(?:-([1-9]\d{0,2}))?\.geojson")


@dataclass(frozen=True)
class Survey:
    """One closed survey.

    Attributes
    ----------
    day : date
        When it was closed.
    number : int
        1 for the first that was closed on that day, and so on.
    folder : Folder
        The site it is of.
    """

    day: dt.date
    number: int
    folder: Folder

    @property
    def name(self) -> str:
        """Its name: the day, and its number from the second of a day on."""
        return f"{self.day.isoformat()}{f'-{self.number}' if self.number > 1 else ''}"

    def read(self, *, disk: Disk = DISK) -> Site:
        """Return the site as it was.

        Raises
        ------
        InputRefused, SiteDamaged
            When the file is missing, damaged, from a newer lawnmap or a link out of the folder.
        """
        path = self.folder.together(f"surveys/{self.name}.geojson")
        name = f"surveys/{path.name}"
        try:
            return Site(document.decode(disk.do(read_regular, path), name=name))
        except InputRefused as error:
            if isinstance(error.__cause__, OSError):
                raise  # what cannot be opened is not damaged
            raise SiteDamaged(
                error.problem,
                file=name,
                place=error.place,
                remedy="Put it back from a copy of yours, or use another survey.",
            ) from error


def listed(folder: Folder, *, disk: Disk = DISK) -> list[Survey]:
    """Return the closed surveys of a site, the last first; whether they are good is not looked at.

    Raises
    ------
    InputRefused
        When the folder cannot be listed.
    """
    try:
        names = disk.do(os.listdir, folder.surveys)
    except FileNotFoundError:
        return []
    except OSError as error:
        raise not_listed(folder.surveys, error) from error
    found = []
    for name in names:
        match = NAME.fullmatch(name)
        with contextlib.suppress(ValueError):  # a file named for a day that never was
            if match:
                day = dt.date.fromisoformat(match.group(1))
                found.append(Survey(day, int(match.group(2) or 1), folder))
    return sorted(found, key=lambda each: (each.day, each.number), reverse=True)


def named(folder: Folder, name: str, *, disk: Disk = DISK) -> Survey:
    """Return a closed survey by its name.

    Raises
    ------
    InputRefused
        When there is none of that name.
    """
    there = listed(folder, disk=disk)
    for each in there:
        if each.name == name:
            return each
    names = ", ".join(each.name for each in there[:10])
    raise InputRefused(
        f"there is no closed survey {name!r}",
        file=folder.name,
        remedy=f"The surveys are: {names}." if names else "Close one with lawnmap survey.",
    )


def closing(
    folder: Folder, site: Site, *, day: dt.date, disk: Disk = DISK
) -> tuple[Survey, dict[str, bytes]]:
    """Return a survey that is to be closed and its file, to be saved together with the site.

    Raises
    ------
    InputRefused
        When the last closed survey says just the same.
    """
    kept = site.with_header(surveyed=day.isoformat())
    data = document.encode(kept.document, name=f"surveys/{day.isoformat()}.geojson").data
    there = listed(folder, disk=disk)
    _refuse_again(there, site, disk)
    number = 1 + max((each.number for each in there if each.day == day), default=0)
    survey = Survey(day, number, folder)
    return survey, {f"surveys/{survey.name}.geojson": data}


def _refuse_again(there: list[Survey], site: Site, disk: Disk) -> None:
    """Refuse to close what was closed already; a damaged last survey is no reason to refuse."""
    last = None
    with contextlib.suppress(LawnmapError):
        last = there[0].read(disk=disk) if there else None
    if last is not None and last.document["features"] == site.document["features"]:
        raise InputRefused(
            f"nothing was surveyed since the survey of {there[0].name} was closed",
            file=there[0].folder.name,
            remedy="Take new cores and counts, save them, and close the survey then.",
        )
