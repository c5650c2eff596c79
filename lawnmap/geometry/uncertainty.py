"""How far an area may be out, from how well its corners are known."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.rings import LINE, RADIAN, Rings, batches, wrapped

Floats = npt.NDArray[np.float64]

NORMAL_95 = 1.96  # standard errors to either side that hold 95 % of a normal distribution


def area_sigmas(outlines: npt.NDArray[np.object_], sigma_m: Floats) -> Floats:
    """Return the standard error of each outline's area.

    Errors of corners are taken as independent, `sigma_m` in each direction:
    ``sigma_A = (sigma / 2) · sqrt(sum of |P(i+1) - P(i-1)|²)``, for all rings. A rectangle gives
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
    across = np.zeros(len(outlines))
    for here, rings in batches(outlines):
        across[here] = spans(rings)
    return of_spans(across, sigma_m)


def of_spans(span_m: Floats, sigma_m: Floats) -> Floats:
    """Return the standard errors of areas whose :func:`spans` are known already [m²]."""
    result: Floats = np.asarray(sigma_m, dtype=np.float64) / 2 * span_m
    return result


def spans(rings: Rings) -> Floats:
    """Return ``sqrt(sum |P(i+1) - P(i-1)|²)`` over all rings of each outline [m]."""
    closed = rings.sort != LINE
    if not closed.all():
        rings = rings.where(closed)
    if not len(rings.counts):
        return np.zeros(rings.outlines)
    middle = _beside(rings, rings.above, np.add)
    middle *= 0.5
    east = wrapped(_beside(rings, rings.lonlat[:, 0], np.subtract)) * RADIAN
    east *= rings.in_series(middle, rings.scale.east)
    north = _beside(rings, rings.above, np.subtract)
    north *= rings.in_series(middle, rings.scale.north)
    east *= east
    north *= north
    east += north
    return np.sqrt(rings.summed(np.add.reduceat(east, rings.starts)))


def _beside(rings: Rings, values: Floats, taken: np.ufunc) -> Floats:
    """Return the next vertex's value with the one's before; none where the first comes again."""
    found = np.zeros(len(values))
    taken(values[2:], values[:-2], out=found[1:-1])
    found[rings.starts] = taken(values[rings.starts + 1], values[rings.ends - 1])
    found[rings.ends] = 0.0
    return found
