"""How far an area may be out, from how well its corners are known."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import about

Floats = npt.NDArray[np.float64]

NORMAL_95 = 1.96  # standard errors to either side that hold 95 % of a normal distribution


def area_sigmas(outlines: npt.NDArray[np.object_], sigma_m: Floats) -> Floats:
    """Return the standard error of each outline's area.

    Errors of corners are taken as independent, `sigma_m` in each direction:
    sigma_A = (sigma / 2) · sqrt(sum of |P(i+1) - P(i-1)|²), for all rings. A rectangle gives
    sigma times its diagonal.

    Parameters
    ----------
    outlines : (n,) array of polygons or multipolygons
        Longitude/latitude [°].
    sigma_m : (n,) array
        Standard error of one corner in each direction [m]; NaN where it is not known.

    Returns
    -------
    (n,) array
        Standard errors [m²]; NaN where sigma is not known.

    References
    ----------
    Propagation of the coordinate formula; see Bondesson, Ståhl and Holm, "Standard errors of area
    estimates obtained by traversing and GPS", Forest Science 44(3) (1998) 405-413.
    """
    spans = np.array([_span(outline) for outline in outlines], dtype=np.float64)
    result: Floats = np.asarray(sigma_m, dtype=np.float64) / 2 * spans
    return result


def _span(outline: BaseGeometry) -> float:
    """Return sqrt(sum |P(i+1) - P(i-1)|²) over all rings [m]."""
    if outline.is_empty:
        return 0.0
    frame = about(outline)
    total = 0.0
    for ring in shapely.get_rings(shapely.get_parts(outline)):
        corners = frame.to_metres(shapely.get_coordinates(ring))[:-1]
        across = np.roll(corners, -1, axis=0) - np.roll(corners, 1, axis=0)
        total += float((across**2).sum())
    return float(np.sqrt(total))
