"""The job ``survey``: close a survey, so that what is found later can be compared with it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import InputRefused
from lawnmap.model import Site
from lawnmap.processing.surveying import cores
from lawnmap.processing.surveying.afresh import afresh, looked_at
from lawnmap.store import site as site_store
from lawnmap.store import surveys
from lawnmap.store.folder import Folder, find
from lawnmap.store.surveys import Survey


@dataclass(frozen=True)
class SurveyReply:
    """A closed survey, and how many zones have samples that a later one can be held against."""

    survey: Survey
    zones: int
    counted: int
    cored: int
    warnings: tuple[str, ...] = ()


def survey(path: Path, *, day: dt.date, today: dt.date | None = None) -> SurveyReply:
    """Close the survey of a site as it stands.

    Parameters
    ----------
    path : Path
        A site folder.
    day : date
        When it was surveyed.
    today : date, optional
        No survey is closed for a day after this; `day` when not given.

    Returns
    -------
    SurveyReply

    Raises
    ------
    InputRefused
        For a day to come, a site without zones or where nothing was looked at, or one that was
        closed already as it stands.
    """
    if today is not None and day > today:
        raise InputRefused(f"{day} is still to come", remedy="Give the day of the survey.")
    folder = find(path)
    site = site_store.load(folder)
    if site.zones.empty:
        raise InputRefused(
            "has no zones to survey", file=folder.name, remedy="Read or mark some first."
        )
    if not looked_at(site):
        raise InputRefused(
            "nothing was looked at: no zone has moss, thatch or sward rated, counted or cored",
            file=folder.name,
            remedy="Take it down first: lawnmap assess, mark, or a reply from a visit.",
        )
    kept, files = surveys.closing(folder, site, day=day)
    # From now on only work on record since that day counts as done in a plan. Both are saved at
    # once: a survey that is closed is not closed again, and its day would never be told.
    there = site.with_header(surveyed=day.isoformat())
    warnings = site_store.save(folder, there, also=files).warnings
    counted = set(cores.moss_frames(site.zones, site.features)) & set(site.zones.index)
    cored = set(cores.thatch_mm(site.zones, site.features)) & set(site.zones.index)
    bare = [str(each) for each in site.zones.index if each not in counted | cored]
    if bare:
        warnings += (
            f"{len(bare)} of {len(site.zones)} zones have neither counted points nor cores "
            f"({', '.join(bare[:5])}{' …' if len(bare) > 5 else ''}): "  # noqa: PLR2004 - shown
            "whether the work helped there can be seen, but not told from noise.",
        )
    return SurveyReply(kept, len(site.zones), len(counted), len(cored), warnings)


def again(path: Path, *, day: dt.date) -> tuple[Site, tuple[str, ...]]:
    """Make a site ready to be surveyed once more: what was seen is taken off, the ground stays.

    Else the cores of before and after would be taken together, and a plan rest on both.

    Parameters
    ----------
    path : Path
        A site folder.
    day : date
        When that is begun: a plan made from what will be seen does not count what was done before.

    Returns
    -------
    Site and tuple of str
        As saved, and warnings.

    Raises
    ------
    InputRefused
        Unless the last closed survey holds all that is on the site: nothing seen is ever lost.
    """
    folder = find(path)
    site = site_store.load(folder)
    if not _closed(folder, site):
        raise InputRefused(
            "the survey that is on the site is not closed",
            file=folder.name,
            remedy="Close it first: lawnmap survey.",
        )
    saved = site_store.save(folder, afresh(site).with_header(surveyed=day.isoformat()))
    return saved.site, saved.warnings


def closed(path: Path) -> bool:
    """Tell whether the last closed survey holds all that is on the site."""
    folder = find(path)
    return _closed(folder, site_store.load(folder))


def _closed(folder: Folder, site: Site) -> bool:
    there = surveys.listed(folder)
    return bool(there) and there[0].read().document["features"] == site.document["features"]


def listed(path: Path) -> list[Survey]:
    """Return the closed surveys of a site, the last first."""
    return surveys.listed(find(path))
