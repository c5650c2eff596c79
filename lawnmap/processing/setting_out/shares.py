"""Which zones are worked with which machine, and where in them it is too steep for it."""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.found import Heights
from lawnmap.model import LONLAT, Machine, Specification
from lawnmap.processing import machines
from lawnmap.processing.ground import Surface, surface_of
from lawnmap.processing.judgement.reach import RAKE, most_slope_deg
from lawnmap.processing.setting_out.places import COLUMNS, HAND

Shapes = npt.NDArray[np.object_]


class Share(NamedTuple):
    """Zones by their places in the table, what they are worked with, and ground it cannot work."""

    rows: npt.NDArray[np.intp]
    machine: Machine | None
    too_steep: gpd.GeoDataFrame


def one_share(zones: gpd.GeoDataFrame, machine: Machine | None) -> list[Share]:
    """Return all zones as worked with one applicator, which goes up any slope."""
    return [Share(np.arange(len(zones)), machine, _steep((), np.nan, "", ""))]


def blade_shares(
    zones: gpd.GeoDataFrame,
    specification: Specification,
    heights: Heights | None,
    instead: str,
) -> list[Share]:
    """Return the zones that a machine with blades works, by machine; a rake goes everywhere.

    Heights tell where a zone that lets a machine in as a whole is too steep for it in places.

    Parameters
    ----------
    zones : GeoDataFrame
        With ``slope_most_deg`` and the columns of the step ``choose``.
    specification : Specification
    heights : Heights or None
    instead : str
        How ground that is too steep is treated.
    """
    name = zones["blades"].to_numpy(dtype=object)
    motor = (name != "") & (zones["blades_kind"].to_numpy(dtype=object) != RAKE)
    ground: Surface | None = None
    found = []
    for each in sorted(set(name[motor])):
        machine = machines.named(str(each), specification)
        here = np.flatnonzero(motor & (name == each))
        if heights is None or machine is None:
            found.append(Share(here, machine, _steep((), np.nan, "", "")))
            continue
        limit = most_slope_deg(machine)
        steep = zones["slope_most_deg"].to_numpy(dtype=float)[here] > limit
        found.append(Share(here[~steep], machine, _steep((), limit, "", "")))
        if steep.any():
            ground = ground or surface_of(heights)
            facets = ground.facets.shapes[ground.facets.slope_deg > limit]
            set_by = f"the slope limit of the {machine.name}"
            strips = _steep(ground.frame.round(facets), limit, set_by, instead)
            found.append(Share(here[steep], machine, strips))
    return [each for each in found if len(each.rows)]


def _steep(facets: Shapes | tuple[()], limit: float, set_by: str, instead: str) -> gpd.GeoDataFrame:
    """Return one row, with all that is steeper than the limit; none without facets."""
    joined = [shapely.union_all(facets)] if len(facets) else []
    values = (HAND, f"steeper than {limit:.0f}°", np.nan, set_by, instead)
    data = {key: [value] * len(joined) for key, value in zip(COLUMNS, values, strict=True)}
    return gpd.GeoDataFrame(data, geometry=joined, crs=LONLAT)
