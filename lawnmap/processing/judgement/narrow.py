"""Ground too narrow for a machine: how much of a zone something of its width gets into."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.frame import flats
from lawnmap.model import Machine
from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import Mask
from lawnmap.processing.judgement.reach import RAKE
from lawnmap.reference import tables

Places = npt.NDArray[np.intp]
POLYGON = 3  # what GEOS counts one as


def room_m(machine: Machine) -> float:
    """Return the width that a machine takes [m]; 0 for a rake and where nobody knows."""
    if machine.kind == RAKE:
        return 0.0
    return machine.overall_width_m or machine.width_m or 0.0


def too_narrow(zones: gpd.GeoDataFrame, here: Places, width_m: Floats) -> Mask:
    """Return where something of a width gets into too little of a zone.

    Parameters
    ----------
    zones : GeoDataFrame
        With ``outline_area_m2`` and ``perimeter_m``. They may lie anywhere on the earth.
    here : array of int, shape (pairs,)
        Rows of the zones that are asked about.
    width_m : array, shape (pairs,)
        Width in each [m].
    """
    least = tables.value("reach_least_share").number
    area, edge = (
        zones[column].to_numpy(dtype=float)[here] for column in ("outline_area_m2", "perimeter_m")
    )
    # Within half a width of the edge lies at most the edge times that: nearly always this settles
    # it, but for edges of holes, which the perimeter does not count.
    share = 1 - edge * width_m / 2 / np.where(area > 0, area, np.inf)
    outlines = np.asarray(zones.geometry.array)[here]
    plain = shapely.get_type_id(outlines) == POLYGON
    plain &= shapely.get_num_interior_rings(outlines) == 0
    doubtful = np.flatnonzero(~plain | (share < least))
    share[doubtful] = _reached(flats(outlines[doubtful]), width_m[doubtful])
    return np.asarray(share < least)


def _reached(flat: npt.NDArray[np.object_], width_m: Floats) -> Floats:
    """Return the share of each shape [m] that a disc of a width gets to, 0 to 1."""
    area = shapely.area(flat)
    inside = shapely.buffer(flat, -width_m / 2, quad_segs=4)
    reached = shapely.area(shapely.buffer(inside, width_m / 2))
    return np.divide(reached, area, out=np.ones(len(flat)), where=area > 0)
