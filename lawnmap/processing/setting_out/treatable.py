"""What of each zone one kind of work covers, and what it keeps clear of: together the whole lawn.

The two sorts of strip are never mixed. An *untreated* one is legal: label, law or site rule set its
width, and where nobody has, nothing is applied. A *hand* one is workmanship, and is treated in
another way or left.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap import schema
from lawnmap.found import Heights
from lawnmap.geometry import ellipsoid, strip
from lawnmap.model import LONLAT, Specification
from lawnmap.processing.setting_out.hand import BLADES, LEFT, applicator, in_place_of_blades, rules
from lawnmap.processing.setting_out.legal import STRIP_NOT_SET, Width, legal_widths, widest
from lawnmap.processing.setting_out.places import SITE, UNTREATED, names_of, places
from lawnmap.processing.setting_out.shares import Share, blade_shares, one_share

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Shapes = npt.NDArray[np.object_]

NAMES = [column.name for column in schema.columns("kept_clear")]
REASON = ["strip", "instead", "because", "width_m", "set_by"]


class Treatable(NamedTuple):
    """The ground of one kind of work.

    Attributes
    ----------
    area : GeoSeries
        By zone_id in the order of the zones, longitude/latitude; empty where nothing is left.
    area_m2 : array
        The same along the slope [m²].
    kept : GeoDataFrame
        The table ``kept_clear`` of the schema, with its shapes. No two of a zone overlap.
    legal : Width
        The widest legal strip on the site and who set it.
    """

    area: gpd.GeoSeries
    area_m2: Floats
    kept: gpd.GeoDataFrame
    legal: Width

    def kept_m2(self, *ways: str) -> Floats:
        """Return the strips of each zone that are treated in one of these ways instead [m²]."""
        if self.kept.empty:
            return np.zeros(len(self.area_m2))
        own = self.kept[self.kept["instead"].isin(ways)]
        by_zone = own.groupby("zone_id")["area_m2"].sum()
        ids = self.area.index.astype(str)
        return np.asarray(by_zone.reindex(ids, fill_value=0.0), dtype=np.float64)


def treatable(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    features: gpd.GeoDataFrame,
    specification: Specification,
    kind: str,
    *,
    heights: Heights | None = None,
    sites: Places | None = None,
) -> Treatable:
    """Part the lawn of each zone into what one kind of work covers and what it keeps clear of.

    Parameters
    ----------
    zones : GeoDataFrame
        By zone_id, with the columns of the step ``measure``; for ``blades`` also those of
        ``choose``. Zones without blades have no ground for them; a rake goes everywhere.
    lawn : GeoSeries
        What of each zone is lawn, in the order of the zones.
    features : GeoDataFrame
    specification : Specification
    kind : str
        ``spray`` or ``granules`` for iron, ``feed``, ``seed`` or ``blades``.
    heights : Heights, optional
        Of the ground: where it is too steep for the machine is then kept clear of blades.
    sites : (n,) array of int, optional
        The site of each zone, where they are of many, without heights; each feature then has its
        own in a column ``site``, and keeps nothing clear on another.

    Returns
    -------
    Treatable
    """
    widths = legal_widths(kind, features, specification)
    legal = widest(widths.values())
    area = np.asarray(lawn.array, dtype=object).copy()
    ground = zones["ground_area_m2"].to_numpy(dtype=float)
    if kind == BLADES:
        none = zones["blades"].to_numpy(dtype=object) == ""
        ground, area[none] = np.where(none, 0.0, ground), shapely.Polygon()
    found = []
    if legal.missing:
        found.append(_stopped(area, features, widths))
        area[:] = shapely.Polygon()
    elif heights is not None or widths or _mapped(kind, features, specification):
        for share in _shares(kind, zones, specification, heights):
            here = area[share.rows]
            along = places(kind, here, features, specification, legal=widths, machine=share.machine)
            area[share.rows], pieces = _cut(here, along, share, sites)
            found.append(pieces)
    left_m2, kept = _measured(zones.index, kind, ground, area, found)
    return Treatable(gpd.GeoSeries(area, index=zones.index, crs=LONLAT), left_m2, kept, legal)


def _mapped(kind: str, features: gpd.GeoDataFrame, specification: Specification) -> bool:
    """Tell whether anything is mapped that this kind of work keeps clear of by workmanship."""
    mapped = set(features["feature"].unique())
    return any(mapped & set(rule.features) for rule in rules(kind, specification, None))


def _shares(
    kind: str, zones: gpd.GeoDataFrame, specification: Specification, heights: Heights | None
) -> list[Share]:
    if kind == BLADES:
        return blade_shares(zones, specification, heights, in_place_of_blades(specification))
    return one_share(zones, applicator(kind, specification))


def _cut(
    lawn: Shapes, along: gpd.GeoDataFrame, share: Share, sites: Places | None
) -> tuple[Shapes, gpd.GeoDataFrame]:
    """Return what strips leave of the lawn of a share, and their pieces with their reasons."""
    kept = [each for each in (along, share.too_steep) if len(each)]
    if not kept:
        return lawn, along
    things = pd.concat(kept, ignore_index=True)
    reasons, group = _grouped(things)
    whose = None if sites is None else strip.Sites(sites[share.rows], things[SITE].to_numpy())
    parted = strip.part(lawn, np.asarray(things.geometry.array, dtype=object), group, whose)
    own = reasons.iloc[parted.group].reset_index(drop=True)
    pieces = own.assign(place=share.rows[parted.zone])
    return parted.outside, gpd.GeoDataFrame(pieces, geometry=list(parted.pieces), crs=LONLAT)


def _grouped(things: pd.DataFrame) -> tuple[pd.DataFrame, Places]:
    """Return the different reasons in the order they count in, and that of each strip.

    Where strips overlap, law comes before workmanship and what is left before what is treated in
    another way; then their words decide, so that the order of the features never does.
    """
    code = things[REASON].groupby(REASON, dropna=False, sort=False).ngroup().to_numpy()
    _, first = np.unique(code, return_index=True)
    reasons = things[REASON].iloc[first].reset_index(drop=True)
    order = reasons.assign(
        hand=reasons["strip"] != UNTREATED, treated=reasons["instead"] != LEFT
    ).sort_values(["hand", "treated", *REASON], kind="stable")
    rank = np.empty(len(order), dtype=np.intp)
    rank[order.index] = np.arange(len(order))
    return reasons.iloc[order.index].reset_index(drop=True), rank[code]


def _stopped(
    lawn: Shapes, features: gpd.GeoDataFrame, widths: Mapping[str, Width]
) -> gpd.GeoDataFrame:
    """Return all lawn as kept clear, since nobody has set a strip that is needed."""
    unset = features[
        features["feature"].isin([key for key, each in widths.items() if each.missing])
    ]
    data = {
        "strip": UNTREATED,
        "instead": schema.NOT_SET,
        "because": ", ".join(sorted(set(names_of(unset)))),
        "width_m": np.nan,
        "set_by": STRIP_NOT_SET,
        "place": np.arange(len(lawn)),
    }
    return gpd.GeoDataFrame(data, geometry=list(lawn), crs=LONLAT)


def _measured(
    index: pd.Index, kind: str, ground: Floats, area: Shapes, kept: list[gpd.GeoDataFrame]
) -> tuple[Floats, gpd.GeoDataFrame]:
    """Return the ground that is left of each zone, and the strips in the order of the zones."""
    left_m2, rows = ground.copy(), [each for each in kept if len(each)]
    if not rows:
        return left_m2, _nothing_kept()
    table = pd.concat(rows, ignore_index=True)
    table = table.sort_values("place", kind="stable", ignore_index=True)
    place = table["place"].to_numpy(dtype=np.intp)
    pieces = np.asarray(table.geometry.array, dtype=object)
    cut, piece = np.unique(place, return_inverse=True)
    left_m2[cut], kept_m2 = _areas(ground[cut], area[cut], pieces, piece)
    names = index.astype(str).to_numpy(dtype=object)
    table = table.assign(zone_id=names[place], kind=kind, area_m2=kept_m2)
    return left_m2, table[[*NAMES, "geometry"]]


@cache
def _nothing_kept() -> gpd.GeoDataFrame:
    """Return the table of strips without a row."""
    return gpd.GeoDataFrame({name: [] for name in NAMES}, geometry=[], crs=LONLAT)


def _areas(ground: Floats, area: Shapes, pieces: Shapes, piece: Places) -> tuple[Floats, Floats]:
    """Return the ground areas of what is left and of each piece [m²]; they add up to the zone's.

    A long side is a geodesic between its ends. Cut in two it lies some hundredths of a millimetre
    elsewhere, so that parts differ from their whole in the seventh digit: all bear a share of it.
    """
    left, kept = ellipsoid.areas(area), ellipsoid.areas(pieces)
    parts = left + np.bincount(piece, kept, minlength=len(ground))
    share = np.divide(ground, parts, out=np.zeros(len(ground)), where=parts > 0)
    return left * share, kept * share[piece]
