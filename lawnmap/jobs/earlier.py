"""The survey that a plan is set beside: what was found then, and what can be said of the change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import geopandas as gpd

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.jobs.compare import DAY_LENGTH, CompareReply, NothingSince, compare, photos_of
from lawnmap.model import Site
from lawnmap.paper import Earlier
from lawnmap.processing.surveying.afresh import looked_at
from lawnmap.store import photos, surveys
from lawnmap.store.folder import Folder

Names = tuple[str, ...]


class Before(NamedTuple):
    """An earlier survey for a paper, its name, and names of each zone's photos, then and since."""

    earlier: Earlier | None
    photos: Mapping[str, tuple[Names, Names]]
    name: str = ""


def before(folder: Folder, site: Site, name: str = "") -> tuple[Before, Names]:
    """Return the survey to set a site beside, if there is any, and warnings.

    Parameters
    ----------
    folder : Folder
    site : Site
        As it stands.
    name : str
        Of a closed survey; the last one that says something else when not given.

    Raises
    ------
    InputRefused, SiteDamaged
        When the one that was named is not there, or cannot be read.
    """
    if not name and not (surveys.listed(folder) and looked_at(site)):
        return _alone(site), ()
    try:
        reply = compare(folder.path, earlier=name)
        then = surveys.named(folder, reply.earlier).read()
    except SiteDamaged as error:
        if name:
            raise
        return _alone(site), (f"{error} The map has no view of before and after.",)
    except NothingSince:
        return _alone(site), ()
    except InputRefused as error:
        if name:
            raise
        return _alone(site), (f"{error} The map has no view of before and after.",)
    return _before(then, site, reply), ()


def _alone(site: Site) -> Before:
    """Return the photos of a site that has no survey to be set beside."""
    there = photos_of(site).items()
    return Before(None, {zone: ((), tuple(names)) for zone, names in there if names})


def _before(then: Site, site: Site, reply: CompareReply) -> Before:
    parents = _parents(site)
    kin = _kin(then, site, parents)
    kept = [each for each in then.zones.index if each in site.zones.index or each in kin]
    changes = reply.table[reply.table["zone_id"].isin([*site.zones.index, *kept])]
    changes = changes.assign(
        recut=[each in kin for each in changes["zone_id"]],
        kin=[kin.get(each, "") for each in changes["zone_id"]],
    )
    day, now = reply.earlier[:DAY_LENGTH], reply.on.isoformat() if reply.on else ""
    earlier = Earlier(
        day=day,
        zones=_zones(then.zones.loc[kept], then, site),
        now=now if now > day else "",
        changes=changes.reset_index(drop=True),
        warnings=reply.warnings,
    )
    shown = {
        each.zone_id: (_good(each.photos_before), _good(each.photos_after))
        for each in reply.zones
        if each.zone_id in site.zones.index
    }
    there = {zone: pair for zone, pair in shown.items() if any(pair)}
    return Before(earlier, there, reply.earlier)


def _good(names: Names) -> Names:
    """Return the names of photos that are there."""
    return tuple(each for each in names if photos.NAME.fullmatch(each))


def _zones(zones: gpd.GeoDataFrame, then: Site, site: Site) -> gpd.GeoDataFrame:
    """Return the zones as they lay; a site placed since has only the outlines of today."""
    if then.placed == site.placed:
        return zones
    zones = zones[zones.index.isin(site.zones.index)]
    return zones.set_geometry(site.zones.geometry.loc[zones.index].to_numpy(), crs=zones.crs)


def _parents(site: Site) -> dict[str, list[str]]:
    """Return the zones that each zone of today was cut or merged from, however long ago."""
    lines = site.zones["came_from"].dropna()
    return {str(key): str(line).replace(",", " ").split() for key, line in lines.items() if line}


def _kin(then: Site, site: Site, parents: Mapping[str, list[str]]) -> dict[str, str]:
    """Return what zones were cut or merged since: what each came from, or what became of it."""
    names = _names(then) | _names(site)
    found: dict[str, list[str]] = {}
    for zone_id, before_it in parents.items():
        if zone_id in then.zones.index:
            continue
        for old in before_it:
            if old in then.zones.index:
                found.setdefault(zone_id, []).append(names[old])
                found.setdefault(old, []).append(names[zone_id])
    return {zone_id: ", ".join(dict.fromkeys(kin)) for zone_id, kin in found.items()}


def _names(site: Site) -> dict[str, str]:
    zones = site.zones
    return {
        str(key): name if isinstance(name, str) and name.strip() else str(key)
        for key, name in zip(zones.index, zones["name"], strict=True)
    }
