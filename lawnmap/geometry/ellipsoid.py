"""Area and perimeter on the WGS 84 ellipsoid, for arrays of outlines in longitude and latitude.

Edges are geodesics. Rings of up to about a kilometre are worked in series
(``geometry.small_rings``), larger ones here in closed form: the area under an edge is the spherical
excess of the quadrangle between it and the equator, on the authalic sphere (that of the
ellipsoid's own area), and what the geodesic bends more or less than the great circle.

Sources
-------
EPSG method 9820 (IOGP, Guidance Note 7-2) for the authalic sphere. C. F. F. Karney, "Algorithms for
geodesics", J. Geodesy 87 (2013) 43-55, is what the tests check against.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.rings import INNER, Rings, batches, wrapped
from lawnmap.geometry.small_rings import small_sizes
from lawnmap.geometry.wgs84 import AUTHALIC_RADIUS, Q_POLE, authalic_q, radii

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]

MOST_BOW = 0.5  # of longitude [rad]: the bow is a series that holds no further


def measured(outlines: Shapes) -> tuple[Floats, Floats]:
    """Return the area and the perimeter of each outline.

    Parameters
    ----------
    outlines : (n,) array of shapely geometries
        Longitude/latitude on WGS 84. Ring order is of no account.

    Returns
    -------
    areas : (n,) array
        Of each polygon or multipolygon, holes taken out [m²]; of anything else 0.
    perimeters : (n,) array
        Length of the outer rings of each polygon, or of each line [m].

    Examples
    --------
    >>> import shapely
    >>> areas, perimeters = measured([shapely.box(-1.55, 53.8, -1.549, 53.801)])
    >>> round(float(areas[0]), 2), round(float(perimeters[0]), 2)
    (7333.52, 354.38)
    """
    found = np.zeros((2, len(outlines)))
    for here, rings in batches(outlines):
        found[:, here] = sizes(rings)
    return found[0], found[1]


def areas(outlines: Shapes) -> Floats:
    """Return the area of each outline alone; see :func:`measured`."""
    return measured(outlines)[0]


def perimeters(outlines: Shapes) -> Floats:
    """Return the perimeter of each outline alone; see :func:`measured`."""
    return measured(outlines)[1]


def sizes(rings: Rings) -> tuple[Floats, Floats]:
    """Return what :func:`measured` does, of outlines that are taken apart already."""
    ring_areas, lengths, small = small_sizes(rings)
    if not small.all():
        ring_areas[~small], lengths[~small] = large_sizes(rings.where(~small))
    lengths[rings.sort == INNER] = 0.0
    return rings.summed(np.abs(ring_areas) * rings.sort), rings.summed(lengths)


def large_sizes(rings: Rings) -> tuple[Floats, Floats]:
    """Return the area of each ring, counter-clockwise positive [m²], and its length [m].

    Edges of 10 km give an area to within 1e-8 and a length to within 2e-9 of the geodesic's, edges
    of 200 km to within 1e-5 and 1e-6.
    """
    starts = rings.starts
    latitude = np.radians(rings.lonlat[:, 1])
    y = authalic_q(np.sin(latitude)) / Q_POLE  # sine of the authalic latitude
    b = np.arcsin(np.clip(y, -1.0, 1.0))
    dx, north, up = np.radians(wrapped(_steps(rings.lonlat[:, 0]))), _steps(latitude), _steps(b)
    for each in (dx, north, up):
        each[rings.ends] = 0.0  # the step from one ring to the next is no edge
    across, along = radii(np.sin(latitude + north / 2))
    parallel = across * np.cos(latitude + north / 2)
    middle = b + up / 2
    excess = 2 * np.arctan(np.tan(dx / 2) * np.sin(middle) / np.cos(up / 2))
    bent = _bow(np.sin(latitude + north / 2), dx, parallel * dx, along * north)
    round_bent = _bow(np.sin(middle), dx, np.cos(middle) * dx, up)
    more = np.where(np.abs(dx) <= MOST_BOW, bent / AUTHALIC_RADIUS**2 - round_bent, 0.0)
    # Taking the first vertex's latitude off every edge cancels over a closed ring and leaves
    # numbers as small as the lawn, so that double precision is spent on it and not on the earth.
    under = excess - rings.spread(y[starts]) * dx + more
    lengths = _lengths(parallel, along, dx, north)
    return -(AUTHALIC_RADIUS**2) * np.add.reduceat(under, starts), np.add.reduceat(lengths, starts)


def _bow(sine: Floats, dx: Floats, east: Floats, north: Floats) -> Floats:
    """Return what lies between an edge and its chord; see ``geometry.small_rings``."""
    return sine * dx * (east * east + 3 * north * north) / 12


def _lengths(parallel: Floats, along: Floats, dx: Floats, north: Floats) -> Floats:
    """Return the lengths of edges [m]: Delambre's formulas, with the radii at their middle."""
    chord = np.hypot(parallel * np.sin(dx / 2), along * np.sin(north / 2) * np.cos(dx / 2))
    lengths: Floats = 2 * AUTHALIC_RADIUS * np.arcsin(np.minimum(chord / AUTHALIC_RADIUS, 1.0))
    return lengths


def _steps(values: Floats) -> Floats:
    """Return how much further each value's next one is; after the last there is none."""
    return np.diff(values, append=values[-1:])
