"""The step ``thatch_surface``: thatch between the cores, where they tell more than their mean.

It is drawn for zones with enough cores, and only where inverse distance foretells a core that it
was not shown better than the mean of the others does. Else the map would show nothing but chance.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from lawnmap import schema
from lawnmap.agronomy.ratings import Bands
from lawnmap.geometry.frame import Frame, about
from lawnmap.geometry.inverse_distance import left_out, surface
from lawnmap.grids import GridMap
from lawnmap.processing.sun.boundary import Least, shade_of
from lawnmap.processing.sun.raster import raster, spacing
from lawnmap.processing.surveying.cores import by_zone
from lawnmap.reference import tables

Floats = npt.NDArray[np.float64]
Outline = Polygon | MultiPolygon
NAMES = [column.name for column in schema.columns("thatch_surface")]
COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


class Surfaces(NamedTuple):
    """The table ``thatch_surface`` of the schema, and a map of each zone that has one."""

    table: pd.DataFrame
    maps: tuple[GridMap, ...]


class _Cores(NamedTuple):
    """Cores of one zone: places [m], thickness [mm], and the frame of the places."""

    places: Floats
    thick_mm: Floats
    frame: Frame


def thatch_surface(
    zones: gpd.GeoDataFrame, lawn: gpd.GeoSeries, features: gpd.GeoDataFrame
) -> Surfaces:
    """Return how well the cores of each zone tell what lies between them, and where to cut it.

    Parameters
    ----------
    zones, features : GeoDataFrame
    lawn : GeoSeries
        What of each zone is lawn, by zone_id.
    """
    rows, maps = [], []
    for zone_id, cores in by_zone(zones, features, ["thatch_mm"]):
        if zone_id not in lawn.index or len(cores) < tables.value("surface_cores").number:
            continue
        ground = lawn.loc[zone_id]
        row, drawn = _of_zone(ground, _cores(ground, cores))
        rows.append({"zone_id": zone_id, "cores": len(cores), **row})
        maps += [drawn] if drawn else []
    return Surfaces(pd.DataFrame(rows, columns=NAMES), tuple(maps))


def _cores(ground: BaseGeometry, cores: pd.DataFrame) -> _Cores:
    frame = about(ground)
    middles = shapely.get_coordinates(shapely.centroid(np.asarray(cores["geometry"].array)))
    return _Cores(frame.to_metres(middles), cores["thatch_mm"].to_numpy(dtype=float), frame)


def _of_zone(ground: Outline, cores: _Cores) -> tuple[dict[str, Any], GridMap | None]:
    off = _rms(left_out(cores.places, cores.thick_mm))
    count = len(cores.thick_mm)
    # The mean of the others less a core is n / (n − 1) times the mean less that core.
    plain = _rms((cores.thick_mm.mean() - cores.thick_mm) * count / (count - 1))
    row = {"error_mm": off, "mean_error_mm": plain, "drawn": off < plain}
    if off >= plain:
        said = f"the cores foretell each other no better than their mean ({off:.1f} mm off)"
        return row | {"says": said}, None
    drawn = _map(ground, cores)
    told = f"{off:.1f} mm off where a core is left out, {plain:.1f} mm by the mean"
    return row | {"says": "; ".join([told, *_cut(ground, drawn, cores.frame)])}, drawn


def _map(ground: Outline, cores: _Cores) -> GridMap:
    (flat,) = cores.frame.flat(np.array([ground], dtype=object))
    west, south, east, north = flat.bounds
    step = spacing(flat.area, (east - west) * (north - south), None)
    grid = raster(np.array([ground], dtype=object), cores.frame, step)
    cells = grid.within(ground)
    at = cores.frame.to_metres(grid.middles(cells))
    return grid.map_of(cells, surface(cores.places, cores.thick_mm, at))


def _cut(ground: Outline, drawn: GridMap, frame: Frame) -> Iterator[str]:
    """Yield along which class of thatch the zone is worth two, and which end is the thicker."""
    least = Least(
        *(tables.value(each).number for each in ("sun_part_least_m2", "sun_part_least_m"))
    )
    best: tuple[float, float, BaseGeometry] | None = None
    for edge in _edges(tables.bands("thatch")):
        thin = shade_of(drawn, ground, edge, least, frame)
        if thin is not None:
            share = shapely.intersection(ground, thin).area / ground.area
            if best is None or abs(share - 0.5) < abs(best[0] - 0.5):
                best = share, edge, thin
    if best is not None:
        thick = shapely.difference(ground, best[2])
        side = _side(thick, ground, frame)
        yield f"{best[1]:g} mm or more to the {side}: worth a zone of its own"


def _edges(bands: Bands) -> list[float]:
    return [low for low, _ in bands if low > 0]


def _side(part: BaseGeometry, whole: BaseGeometry, frame: Frame) -> str:
    """Return on which side of the whole a part lies, as a point of the compass."""
    (one, other) = frame.flat(np.array([part, whole], dtype=object))
    east, north = one.centroid.x - other.centroid.x, one.centroid.y - other.centroid.y
    return COMPASS[round(np.degrees(np.arctan2(east, north)) / 45) % len(COMPASS)]


def _rms(errors: Floats) -> float:
    return float(np.sqrt(np.mean(errors**2)))
