"""A plan with no place on the earth: its metres kept as longitude and latitude about an anchor.

The local frame is used and not an equal-area projection, as PROJ's loses digits near its own
centre: a lawn of 1,000 m² beside the anchor came out 25 to 110 cm² wrong, and points nearer than
half a millimetre fell together. With the frame, a plan of 2.5 by 1 km keeps its area within 4e-8.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.errors import InputRefused
from lawnmap.geometry.frame import Frame

LARGEST_M = 20_000.0  # across; past it this is no plan of a site, or not in the unit said

# Exact by the international yard and pound agreement of 1959.
UNITS_M = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": 0.3048, "in": 0.0254, "yd": 0.9144}


class Local(NamedTuple):
    """Where a plan's own zero lies: `origin` [m, in the plan] is put on `anchor` [°]."""

    anchor: tuple[float, float]
    origin: tuple[float, float]

    def to_lonlat(self, shapes: npt.NDArray[np.object_], unit_m: float) -> npt.NDArray[np.object_]:
        """Return shapes in the plan's units as shapes in longitude/latitude about the anchor."""
        frame = Frame(*self.anchor)

        def moved(xy: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
            metres: npt.NDArray[np.float64] = xy * unit_m - np.array(self.origin)
            return frame.to_lonlat(metres)

        return np.asarray(shapely.transform(shapes, moved), dtype=object)

    def to_metres(self, shapes: npt.NDArray[np.object_]) -> npt.NDArray[np.object_]:
        """Return shapes in longitude/latitude as shapes in the plan's metres."""
        frame = Frame(*self.anchor)

        def moved(lonlat: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
            metres: npt.NDArray[np.float64] = frame.to_metres(lonlat) + np.array(self.origin)
            return metres

        return np.asarray(shapely.transform(shapes, moved), dtype=object)


def origin_of(shapes: npt.NDArray[np.object_], unit_m: float) -> tuple[float, float]:
    """Return the middle of a plan in whole metres, to be its origin.

    Raises
    ------
    InputRefused
        When the plan is larger than any site: the unit is wrong, or it is not a local plan.
    """
    west, south, east, north = shapely.total_bounds(shapes) * unit_m
    across = max(east - west, north - south)
    if not across <= LARGEST_M:
        raise InputRefused(
            f"the plan is {across / 1000:.4g} km across", remedy="Check --crs and --units."
        )
    return float(np.round((west + east) / 2)), float(np.round((south + north) / 2))
