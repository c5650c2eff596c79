"""The job ``compare``: did it work? Two surveys of a site, zone by zone."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from lawnmap.errors import InputRefused
from lawnmap.model import Site
from lawnmap.processing.surveying import compare as step
from lawnmap.processing.surveying.afresh import looked_at
from lawnmap.processing.surveying.compare_words import sentence
from lawnmap.reference import tables
from lawnmap.store import photos, surveys
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder, find

NOW = "now"
YEAR_DAYS = 365
DAY_LENGTH = len("2026-09-14")
LEVEL = 0.95
MANY = 10  # judged rows, from which one in twenty by chance is worth a word


class NothingSince(InputRefused):
    """Nothing was looked at since the last survey was closed."""


@dataclass(frozen=True)
class ZoneChange:
    """What is to be said of one zone, and its photos: paths from the site folder.

    ``said`` is empty for a zone that was not looked at in both surveys, or is not in both.
    """

    zone_id: str
    name: str
    said: tuple[str, ...]
    photos_before: tuple[str, ...] = ()
    photos_after: tuple[str, ...] = ()


@dataclass(frozen=True)
class CompareReply:
    """Names of the two surveys (``now`` is the site as it stands), the table, and its sentences.

    ``on`` is the day of the later look, where anybody said.
    """

    earlier: str
    later: str
    table: pd.DataFrame
    zones: tuple[ZoneChange, ...]
    warnings: tuple[str, ...] = ()
    on: dt.date | None = None


def compare(path: Path, *, earlier: str = "", later: str = NOW) -> CompareReply:
    """Compare two surveys of a site.

    Parameters
    ----------
    path : Path
        A site folder.
    earlier : str
        Name of a closed survey; the last one before `later` when not given. For the site as it
        stands that is the last one that says something else.
    later : str
        Name of a closed survey, or ``now`` for the site as it stands.

    Returns
    -------
    CompareReply

    Raises
    ------
    InputRefused
        When there is no such survey, or `earlier` is not the earlier one.
    """
    folder = find(path)
    second = site_store.load(folder) if later == NOW else surveys.named(folder, later).read()
    first, name = _earlier(folder, earlier, later, second)
    table = step.compare(first, second, level=LEVEL)
    day = dt.date.fromisoformat(name[:DAY_LENGTH])
    on = _day(second)
    warnings = (*_season(day, on), *_said(table))
    return CompareReply(name, later, table, _zones(folder, first, second, table), warnings, on)


def _earlier(folder: Folder, earlier: str, later: str, second: Site) -> tuple[Site, str]:
    """Return the earlier survey and its name."""
    there = surveys.listed(folder)
    before = there
    if later != NOW:
        last = surveys.named(folder, later)
        before = [each for each in there if (each.day, each.number) < (last.day, last.number)]
    if earlier:
        found = surveys.named(folder, earlier)
        if found not in before:
            raise InputRefused(
                f"the survey {earlier} is not earlier than {later}",
                file=folder.name,
                remedy="Name the earlier one first.",
            )
        return found.read(), found.name
    if not before:
        raise InputRefused(
            "there is no earlier survey to compare with",
            file=folder.name,
            remedy="Close a survey before the work: lawnmap survey.",
        )
    first = before[0].read()
    new = first.document["features"] != second.document["features"] and looked_at(second)
    if later != NOW or new:
        return first, before[0].name
    if len(before) > 1 and looked_at(second):  # the site as it stands was closed already
        return before[1].read(), before[1].name
    raise NothingSince(
        f"nothing was looked at since the survey of {before[0].name} was closed",
        file=folder.name,
        remedy="Take off what was seen with lawnmap survey --again, count afresh, then compare.",
    )


def _zones(
    folder: Folder, first: Site, second: Site, table: pd.DataFrame
) -> tuple[ZoneChange, ...]:
    names, shown = _names(first) | _names(second), (photos_of(first), photos_of(second))
    found = []
    for zone_id, rows in table.groupby("zone_id", sort=False):
        before, both = (each.get(str(zone_id), ()) for each in shown)
        after = [each for each in both if each not in before]
        found.append(
            ZoneChange(
                str(zone_id),
                names.get(str(zone_id), ""),
                tuple(sentence(row) for _, row in rows.iterrows() if _seen(row)),
                tuple(_there(folder, each) for each in before),
                tuple(_there(folder, each) for each in after),
            )
        )
    return tuple(found)


def _seen(row: pd.Series) -> bool:
    return bool(row["before_from"] and row["after_from"])


def _names(site: Site) -> dict[str, str]:
    zones = site.zones
    return {
        str(zone_id): name
        for zone_id, name in zip(zones.index, zones["name"], strict=True)
        if isinstance(name, str)
    }


def photos_of(site: Site) -> dict[str, list[str]]:
    """Return the photos that each zone names; whatever is no name of a photo is left out."""
    found: dict[str, list[str]] = {}
    for feature in site.document["features"]:
        facts = feature["properties"]
        names = facts.get("photos")
        if facts.get("feature") == "zone" and isinstance(names, list):
            found[str(facts.get("zone_id"))] = [
                each for each in names if isinstance(each, str) and photos.NAME.fullmatch(each)
            ]
    return found


def _there(folder: Folder, name: str) -> str:
    return name if (folder.path / name).is_file() else f"{name} (the file is gone)"


def _day(site: Site) -> dt.date | None:
    """Return the day of a survey: that of its last core or frame, else the one it was given."""
    dated = [each for each in site.features["date"] if isinstance(each, str) and each]
    return dt.date.fromisoformat(max(dated)) if dated else site.surveyed


def _season(before: dt.date, after: dt.date | None) -> tuple[str, ...]:
    """Say when two surveys are of unlike times of the year: moss has seasons of its own."""
    if after is None:
        return ()
    apart = abs((after - before).days) % YEAR_DAYS
    if min(apart, YEAR_DAYS - apart) <= tables.value("same_season_days").number:
        return ()
    return (
        f"{before} and {after} are unlike times of the year: moss swells in the wet and shrinks in "
        "the dry by itself. Count again at the time of year of the first survey before you say "
        "that the work did it.",
    )


def _said(table: pd.DataFrame) -> tuple[str, ...]:
    judged = table["verdict"] != step.UNLIKE
    number = int(judged.sum())
    said = []
    if not judged.all():
        nothing = "" if number else "Nothing could be judged. "
        said.append(
            f"{nothing}A rating, a figure or a single core has no known noise: only moss counted "
            "on points, and thatch in two cores or more, before and after, can be judged."
        )
    if number >= MANY:
        said.append(
            f"Of {number} comparisons about {number * (1 - LEVEL):.0f} lie outside the noise by "
            "chance alone."
        )
    return tuple(said)
