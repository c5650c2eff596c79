"""What of each zone one kind of work covers, and what it keeps clear of: together the whole lawn.

The two sorts of strip are never mixed. An *untreated* one is legal: label, law or site rule set its
width, and where nobody has, nothing is applied. A *hand* one is workmanship, and is treated in
another way or left.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap import schema
from lawnmap.found import Heights
from lawnmap.geometry import ellipsoid, strip
from lawnmap.model import LONLAT, Specification
from lawnmap.processing.setting_out.hand import BLADES, LEFT, applicator, in_place_of_blades
from lawnmap.processing.setting_out.legal import STRIP_NOT_SET, Width, legal_widths, widest
from lawnmap.processing.setting_out.places import UNTREATED, called, places
from lawnmap.processing.setting_out.shares import blade_shares, one_share

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
    """
    area = np.asarray(lawn.array, dtype=object).copy()
    widths = legal_widths(kind, features, specification)
    legal = widest(widths.values())
    if legal.missing:
        kept = _stopped(zones, area, features, widths)
        area[:] = shapely.Polygon()
        return _treatable(zones, area, [kept], kind, legal)
    if kind == BLADES:
        area[zones["blades"].to_numpy(dtype=object) == ""] = shapely.Polygon()
        shares = blade_shares(zones, specification, heights, in_place_of_blades(specification))
    else:
        shares = one_share(zones, applicator(kind, specification))
    found = []
    for share in shares:
        here = area[share.rows]
        along = places(kind, here, features, specification, legal=widths, machine=share.machine)
        kept = [each for each in (along, share.too_steep) if len(each)]
        if not kept:
            continue
        things = pd.concat(kept, ignore_index=True)
        reasons, group = _grouped(things)
        parted = strip.part(here, np.asarray(things.geometry.array, dtype=object), group)
        area[share.rows] = parted.outside
        found.append(_pieces(parted, reasons, share.rows))
    return _treatable(zones, area, found, kind, legal)


def _grouped(things: pd.DataFrame) -> tuple[pd.DataFrame, Places]:
    """Return the different reasons in the order they count in, and that of each strip.

    Where strips overlap, law comes before workmanship and what is left before what is treated in
    another way; then their words decide, so that the order of the features never does.
    """
    order = things.assign(
        hand=things["strip"] != UNTREATED, treated=things["instead"] != LEFT
    ).sort_values(["hand", "treated", *REASON], kind="stable")
    reasons = order[REASON].drop_duplicates(ignore_index=True)
    number = {tuple(row): place for place, row in enumerate(_keys(reasons))}
    group = np.array([number[row] for row in _keys(things)], dtype=np.intp)
    return reasons, group


def _keys(rows: pd.DataFrame) -> list[tuple[Any, ...]]:
    """Return rows as keys; a width that nobody can give is a key too."""
    return list(rows[REASON].fillna({"width_m": -1.0}).itertuples(index=False, name=None))


def _pieces(parted: strip.Parted, reasons: pd.DataFrame, rows: Places) -> gpd.GeoDataFrame:
    """Return the pieces with their reasons; ``place`` tells whose each is."""
    own = reasons.iloc[parted.group].reset_index(drop=True)
    return gpd.GeoDataFrame(
        own.assign(place=rows[parted.zone]), geometry=list(parted.pieces), crs=LONLAT
    )


def _stopped(
    zones: gpd.GeoDataFrame, lawn: Shapes, features: gpd.GeoDataFrame, widths: Mapping[str, Width]
) -> gpd.GeoDataFrame:
    """Return all lawn as kept clear, since nobody has set a strip that is needed."""
    unset = features[
        features["feature"].isin([key for key, each in widths.items() if each.missing])
    ]
    words = unset.drop(columns=unset.geometry.name).to_dict("records")
    names = {called({str(key): value for key, value in row.items()}) for row in words}
    data = {
        "strip": UNTREATED,
        "instead": schema.NOT_SET,
        "because": ", ".join(sorted(names)),
        "width_m": np.nan,
        "set_by": STRIP_NOT_SET,
        "place": np.arange(len(zones)),
    }
    return gpd.GeoDataFrame(data, geometry=list(lawn), crs=LONLAT)


def _treatable(
    zones: gpd.GeoDataFrame,
    area: Shapes,
    kept: list[gpd.GeoDataFrame],
    kind: str,
    legal: Width,
) -> Treatable:
    """Return both parts with their areas along the slope, strips in the order of the zones."""
    rows = [each for each in kept if len(each)]
    empty = gpd.GeoDataFrame({name: [] for name in [*REASON, "place"]}, geometry=[], crs=LONLAT)
    table = pd.concat(rows, ignore_index=True) if rows else empty
    table = table.sort_values("place", kind="stable", ignore_index=True)
    place = table["place"].to_numpy(dtype=np.intp)
    left_m2, kept_m2 = _areas(zones, area, np.asarray(table.geometry.array, dtype=object), place)
    names = zones.index.astype(str).to_numpy(dtype=object)
    table = table.assign(zone_id=names[place], kind=kind, area_m2=kept_m2)
    shapes = gpd.GeoSeries(area, index=zones.index, crs=LONLAT)
    return Treatable(shapes, left_m2, table[[*NAMES, "geometry"]], legal)


def _areas(
    zones: gpd.GeoDataFrame, area: Shapes, pieces: Shapes, place: Places
) -> tuple[Floats, Floats]:
    """Return the ground areas of what is left and of each piece [m²]; they add up to the zone's.

    A long side is a geodesic between its ends. Cut in two it lies some hundredths of a millimetre
    elsewhere, so that parts differ from their whole in the seventh digit: all bear a share of it.
    """
    left, kept = ellipsoid.areas(area), ellipsoid.areas(pieces)
    parts = left + np.bincount(place, kept, minlength=len(zones))
    ground = zones["ground_area_m2"].to_numpy(dtype=float)
    share = np.divide(ground, parts, out=np.zeros(len(zones)), where=parts > 0)
    return left * share, kept * share[place]
