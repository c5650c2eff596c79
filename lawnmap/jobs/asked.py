"""What goes on a paper by request only: plan pictures, an earlier survey, photos, a basemap."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.jobs import earlier, photos
from lawnmap.jobs.basemap import basemap
from lawnmap.jobs.opening import Opened
from lawnmap.jobs.pictures import shown
from lawnmap.model import Plan
from lawnmap.processing.disclose import kept_back
from lawnmap.store.folder import Folder

MAP = "map"
BY_REQUEST = ("pictures", "photos", "basemap", "earlier")  # fields of a paper for the map alone


@dataclass(frozen=True)
class Asked:
    """What was asked for.

    Attributes
    ----------
    backdrop : bool
        The plan pictures under the zones of the map.
    before : str
        Name of the closed survey to compare with; the last one when empty.
    photos : bool
        The photos of the zones.
    basemap : str
        Name of the map behind the zones.
    """

    backdrop: bool = False
    before: str = ""
    photos: bool = False
    basemap: str = ""


OPTIONS = tuple(each.name for each in dataclasses.fields(Asked))


def fields(
    asked: Asked, opened: Opened, plan: Plan, names: tuple[str, ...], *, schematic: bool
) -> tuple[dict[str, Any], list[str]]:
    """Return what was asked for as fields of a paper, and warnings.

    Parameters
    ----------
    asked : Asked
    opened : Opened
        The site that the plan is of.
    plan : Plan
    names : tuple of str
        The exports that are made.
    schematic : bool
        Whether the real position is to be left out.

    Raises
    ------
    InputRefused
        When nothing that is made shows it, it would tell what is to be left out, or it is not
        there.
    """
    for option in ("backdrop", "photos", "basemap"):
        if getattr(asked, option) and MAP not in names:
            raise InputRefused(f"--{option} is for the map", remedy="Export with --to map.")
    found: dict[str, Any] = {}
    warnings: list[str] = []
    if asked.backdrop:
        found["pictures"], said = _backdrops(opened.folder, schematic=schematic)
        warnings += said
    if asked.basemap:
        found["basemap"], told = basemap(plan, asked.basemap, schematic=schematic)
        warnings.append(told)
    if asked.before or MAP in names:
        more, told_of = _surveys(asked, opened, names, schematic=schematic)
        found |= more
        warnings += told_of
    return found, warnings


def shown_by(to: str, fields: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was asked for as far as an export shows it: the map alone, and nobody else."""
    return {name: each for name, each in fields.items() if to == MAP or name not in BY_REQUEST}


def refuse_unknown(also: tuple[str, ...], audience: str) -> None:
    """Refuse a name of what is to go out that is not among what is kept back.

    Raises
    ------
    InputRefused
        With the names there are.
    """
    there = kept_back(audience)
    for name in also:
        if name not in there:
            raise InputRefused(
                f"{name!r} is not among what is kept back from this audience ({audience})",
                remedy=f"There are: {', '.join(there)}.",
            )


def _backdrops(folder: Folder | None, *, schematic: bool) -> tuple[Any, list[str]]:
    if schematic:
        raise _tells_place("a plan picture")
    if folder is None:
        raise _no_folder("a plan picture", "--backdrop")
    return shown(folder)


def _tells_place(what: str) -> InputRefused:
    return InputRefused(
        f"{what} may tell the place that --schematic leaves out",
        remedy="Leave one of the two out.",
    )


def _surveys(
    asked: Asked, opened: Opened, names: tuple[str, ...], *, schematic: bool
) -> tuple[dict[str, Any], list[str]]:
    """Return the earlier survey and the photos."""
    folder = opened.folder
    if asked.before and MAP not in names:
        raise InputRefused("--before is for the map", remedy="Export with --to map.")
    if asked.photos and schematic:
        raise _tells_place("a photo")
    if folder is None:
        for option, given in (("--before", asked.before), ("--photos", asked.photos)):
            if given:
                raise _no_folder("what was seen before", option)
        return {}, []
    before, said = earlier.before(folder, opened.site, asked.before)
    found: dict[str, Any] = {"earlier": before.earlier}
    warnings = list(said)
    if asked.photos:
        found["photos"], told = photos.shown(folder, before)
        warnings += [*told, *(_look(found["photos"]) if found["photos"] else ())]
    return found, warnings


def _look(shown_photos: tuple[Any, ...]) -> list[str]:
    size = sum(len(each.image) for each in shown_photos) / 1e6
    return [
        f"{len(shown_photos)} photos go out with the map ({size:.1f} MB): look at each for faces, "
        "number plates and what else is nobody's business."
    ]


def _no_folder(what: str, option: str) -> InputRefused:
    return InputRefused(
        f"{what} is kept in a site folder, and this is none",
        remedy=f"Make one with lawnmap start, or leave {option} out.",
    )
