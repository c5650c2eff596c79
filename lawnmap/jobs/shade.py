"""The job behind ``sun --suggest`` and ``--split``: zones cut along the line where shade begins."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from shapely.geometry import MultiPolygon, Polygon

from lawnmap.errors import LawnmapError
from lawnmap.geometry import ellipsoid
from lawnmap.geometry.frame import about
from lawnmap.grids import GridMap
from lawnmap.jobs.measure import measure
from lawnmap.jobs.opening import own_folder
from lawnmap.jobs.sun import SunReply
from lawnmap.model import Site
from lawnmap.processing.editing.dividing import Side, divide, parts
from lawnmap.processing.editing.keyed import is_zone
from lawnmap.processing.sun.boundary import Least, shade_of
from lawnmap.processing.sun.raster import Raster
from lawnmap.reference import tables
from lawnmap.store import site as site_store
from lawnmap.store import toml_text
from lawnmap.store.folder import Folder
from lawnmap.store.inside import typed

Outline = Polygon | MultiPolygon


class Part(NamedTuple):
    """A part of a zone as it would be: map area of lawn [m²], and mean hours of sun a day [h]."""

    area_m2: float
    mean_h: float


@dataclass(frozen=True)
class Proposal:
    """Where one zone would be cut.

    Attributes
    ----------
    zone_id, name : str
    shade, rest : Part
    ground : Polygon or MultiPolygon
        Longitude/latitude: the shade, which runs on beyond the zone's edge.
    """

    zone_id: str
    name: str
    shade: Part
    rest: Part
    ground: Outline


@dataclass(frozen=True)
class ShadeReply:
    """Which zones would be cut, and which lie wholly in the shade.

    Attributes
    ----------
    under_h : float
        Below how many hours a day is shade [h].
    proposals : tuple of Proposal
    all_shade : tuple of str
        Zones with less on the average that are not worth a cut.
    """

    under_h: float
    proposals: tuple[Proposal, ...]
    all_shade: tuple[str, ...]


@dataclass(frozen=True)
class CutReply:
    """A site after its zones were cut: the new ids by the old one, and warnings."""

    site: Site
    made: dict[str, tuple[str, ...]]
    warnings: tuple[str, ...]


def shade(site: Site, reply: SunReply, under_h: float | None = None) -> ShadeReply:
    """Propose where zones are to be cut.

    Parameters
    ----------
    site : Site
    reply : SunReply
    under_h : float, optional
        Below how many hours a day is shade; the published least for grass when left out [h].

    Returns
    -------
    ShadeReply
    """
    limit = tables.value("sun_least_h").number if under_h is None else under_h
    lawn = measure(site).lawn
    found = [
        each
        for zone_id in reply.sunlight.zones
        if (each := _proposal(zone_id, site, lawn[zone_id], reply, limit)) is not None
    ]
    cut_ids = {each.zone_id for each in found}
    dark = [zone_id for zone_id, each in reply.sunlight.zones.items() if each.mean_h < limit]
    return ShadeReply(limit, tuple(found), tuple(each for each in dark if each not in cut_ids))


def cut(path: Path, proposed: ShadeReply, today: dt.date) -> CutReply:
    """Cut the zones as proposed and save the site, all at once.

    Ratings are those of the whole zone on both parts, with a note that says so; the sun that was
    seen on the whole is on neither.

    Returns
    -------
    CutReply

    Raises
    ------
    InputRefused
        When `path` is no site folder, or the site is not fit to be saved.
    Busy, WriteFailed, SiteDamaged
        As for :func:`lawnmap.store.site.save`.
    """
    folder = own_folder(path)
    there = site_store.load(folder)
    by_zone = {each.zone_id: each for each in proposed.proposals}
    taken = {str(each) for each in there.zones.index}
    features: list[dict[str, Any]] = []
    made: dict[str, tuple[str, ...]] = {}
    for feature in there.document["features"]:
        proposal = by_zone.get(str(feature["properties"].get("zone_id")))
        if proposal is None or not is_zone(feature):
            features.append(feature)
            continue
        pair = _divided(feature, proposal, taken, proposed.under_h, today)
        features += pair.values()
        taken |= pair.keys()
        made[proposal.zone_id] = tuple(pair)
    if not made:
        return CutReply(there, {}, ())
    saved = site_store.save(folder, there.with_features(features))
    told = [
        "The hours of sun are those before the cut: run lawnmap sun again.",
        *_left_behind(folder, made),
    ]
    return CutReply(saved.site, made, (*saved.warnings, *told))


def _proposal(
    zone_id: str, site: Site, lawn: Outline, reply: SunReply, under_h: float
) -> Proposal | None:
    row = site.zones.loc[zone_id]
    outline = row.geometry
    least = Least(
        *(tables.value(each).number for each in ("sun_part_least_m2", "sun_part_least_m"))
    )
    for sun in reply.sunlight.maps:
        ground = shade_of(sun, outline, under_h, least, about(outline))
        if ground is None:
            continue
        both = [_part(sun, shape) for shape in parts(lawn, ground)]
        if all(np.isfinite(each.mean_h) for each in both):
            return Proposal(zone_id, str(row["name"] or zone_id), both[0], both[1], ground)
    return None


def _part(sun: GridMap, lawn: Outline) -> Part:
    """Return the area of a part, and its mean over the cells of the map."""
    hours = sun.cells.ravel()[Raster.of(sun).within(lawn)]
    hours = hours[np.isfinite(hours)]
    area = float(ellipsoid.areas(np.array([lawn], dtype=object))[0])
    return Part(area, float(hours.mean()) if len(hours) else np.nan)


def _divided(
    feature: dict[str, Any], proposal: Proposal, taken: set[str], under_h: float, today: dt.date
) -> dict[str, dict[str, Any]]:
    facts = feature["properties"]
    seen = facts.get("sun_hours_seen")
    note = (
        f"Cut along the line of {under_h:g} h of sun on {today.isoformat()}: what was rated is of "
        "the whole zone; look at both parts again."
    )
    if seen is not None:
        note += f" Sun as seen on the whole: {seen:g} h."
    notes = " ".join(str(each) for each in (facts.get("private_note"), note) if each)
    shared = {"private_note": notes, "sun_hours_seen": None}
    shady, sunny = (
        Side(f"{proposal.zone_id} {which}", {"name": f"{proposal.name}, {which}", **shared})
        for which in ("shade", "sun")
    )
    return divide(feature, proposal.zone_id, proposal.ground, (shady, sunny), taken)


def _left_behind(folder: Folder, made: dict[str, tuple[str, ...]]) -> Iterator[str]:
    """Yield which choices are for zones that are no more."""
    try:
        data = typed(folder.specification, limit=toml_text.LARGEST)
        chosen = toml_text.loads(data or b"", name=folder.specification.name).get("zones", {})
    except LawnmapError:
        return
    for zone_id, pair in made.items():
        if isinstance(chosen, dict) and zone_id in chosen:
            yield (
                f"specification.toml has choices for {zone_id}, which is no more: write them for "
                f"{' and '.join(pair)}."
            )
