"""The step ``core_places``: where in each zone to take the cores, so that nobody picks the spot."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap import schema
from lawnmap.geometry.frame import about
from lawnmap.geometry.scatter import along_w, one_in_each
from lawnmap.model import LONLAT

Floats = npt.NDArray[np.float64]

NAMES = [column.name for column in schema.columns("core_places")]
WALK, CHANCE = "w", "chance"
LAYOUTS = (WALK, CHANCE)
HOLLOW = 0.8  # of its hull: in an L most of a W lies beside the lawn, and places would heap up


class Layout(NamedTuple):
    """How places are laid out: along a W, or by chance in equal parts of the zone.

    ``apart_m`` is the least distance between two places of chance [m]; None is half the side of a
    square as large as each one's part of the zone.
    """

    kind: str = WALK
    apart_m: float | None = None
    seed: int = 0


def core_places(lawn: gpd.GeoSeries, counts: Mapping[str, int], layout: Layout) -> gpd.GeoDataFrame:
    """Return the places, numbered in each zone.

    A zone too hollow for a W has one place by chance in each of equal parts instead.

    Parameters
    ----------
    lawn : GeoSeries
        What of each zone is lawn, by zone_id.
    counts : mapping of str to int
        Places wanted in each zone; zones without any are left out.
    layout : Layout
        The same seed gives the same places.

    Returns
    -------
    GeoDataFrame
        The layer ``core_places`` of the schema.
    """
    rows = []
    for zone_id, count in counts.items():
        shape = lawn.loc[zone_id]
        if count < 1 or shape is None or shape.is_empty:
            continue
        frame = about(shape)
        (flat,) = frame.flat(np.array([shape], dtype=object))
        own = layout._replace(kind=CHANCE) if _hollow(flat) else layout
        places = frame.to_lonlat(_places(flat, str(zone_id), count, own))
        rows += [
            {"zone_id": zone_id, "number": number, "layout": own.kind}
            | {"geometry": shapely.Point(place)}
            for number, place in enumerate(places, start=1)
        ]
    return gpd.GeoDataFrame(rows, columns=[*NAMES, "geometry"], geometry="geometry", crs=LONLAT)


def _hollow(flat: BaseGeometry) -> bool:
    return bool(flat.area < HOLLOW * shapely.convex_hull(flat).area)


def _places(flat: BaseGeometry, zone_id: str, count: int, layout: Layout) -> Floats:
    if layout.kind == WALK:
        return along_w(flat, count)
    apart = layout.apart_m
    if apart is None:
        apart = float(np.sqrt(flat.area / count)) / 2
    return one_in_each(flat, count, apart_m=apart, seed=[layout.seed, *zone_id.encode()])
