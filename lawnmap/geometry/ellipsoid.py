"""Area and perimeter on the WGS 84 ellipsoid, for arrays of outlines in longitude and latitude.

An edge is taken as a great circle on the authalic sphere, the sphere of the ellipsoid's own area.
For edges of lawn size that is the geodesic to well below a square millimetre, and unlike geodesic
code it runs on whole arrays.

Sources
-------
The authalic latitude and radius are those of EPSG method 9820 (IOGP, Guidance Note 7-2). The area
under an edge is the spherical excess of the quadrangle between the edge and the equator.
C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87 (2013) 43-55, has the same idea as an
option, and is what the tests check against.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import shapely

Floats = npt.NDArray[np.float64]
_Work = Callable[[npt.NDArray[np.object_]], Floats]

A = 6_378_137.0  # equatorial radius of WGS 84 [m]
F = 1 / 298.257_223_563
E2 = F * (2 - F)
E = np.sqrt(E2)


def _q(sin_latitude: Floats | float) -> Floats:
    """Return the authalic q of a latitude (EPSG method 9820)."""
    s = np.asarray(sin_latitude, dtype=np.float64)
    q: Floats = (1 - E2) * (s / (1 - E2 * s * s) + np.arctanh(E * s) / E)
    return q


Q_POLE = float(_q(1.0))
AUTHALIC_RADIUS = float(A * np.sqrt(Q_POLE / 2))  # [m]

# Rounding in the shoelace sums shows from here on; vertices are worked in batches of this size so
# that a million lawns need no more memory than ten thousand.
BATCH = 200_000


def ring_areas(lonlat: Floats, offsets: npt.NDArray[np.int64]) -> Floats:
    """Return the signed area of each closed ring, counter-clockwise positive.

    Parameters
    ----------
    lonlat : (n, 2) array
        Longitude and latitude of all vertices, ring after ring, first vertex repeated last [°].
    offsets : (rings + 1,) array
        Index of the first vertex of each ring, and n.

    Returns
    -------
    (rings,) array
        Signed areas [m²].
    """
    if len(offsets) < 2:  # noqa: PLR2004 - no ring at all
        return np.zeros(0)
    latitude = np.radians(lonlat[:, 1])
    y = _q(np.sin(latitude)) / Q_POLE  # sine of the authalic latitude
    b = np.arcsin(np.clip(y, -1.0, 1.0))
    first = np.repeat(offsets[:-1], np.diff(offsets))
    dx = np.radians(_wrap(np.diff(lonlat[:, 0])))
    middle = (b[1:] + b[:-1]) / 2
    half = (b[1:] - b[:-1]) / 2
    excess = 2 * np.arctan(np.tan(dx / 2) * np.sin(middle) / np.cos(half))
    # Taking the first vertex's latitude off every edge cancels over a closed ring and leaves
    # numbers as small as the lawn, so that double precision is spent on it and not on the earth.
    under = excess - y[first[:-1]] * dx
    under[offsets[1:-1] - 1] = 0.0  # the step from one ring to the next is no edge
    sums = np.add.reduceat(np.append(under, 0.0), offsets[:-1])
    areas: Floats = -(AUTHALIC_RADIUS**2) * sums
    return areas


def ring_lengths(lonlat: Floats, offsets: npt.NDArray[np.int64]) -> Floats:
    """Return the length of each ring or line [m]; arguments as for :func:`ring_areas`.

    The radii of curvature are taken at the middle of each edge, which for edges of lawn size is
    within 1e-9 of the geodesic.
    """
    if len(offsets) < 2:  # noqa: PLR2004 - no ring at all
        return np.zeros(0)
    latitude = np.radians(lonlat[:, 1])
    middle = (latitude[1:] + latitude[:-1]) / 2
    w2 = 1 - E2 * np.sin(middle) ** 2
    east = A / np.sqrt(w2) * np.cos(middle) * np.radians(_wrap(np.diff(lonlat[:, 0])))
    north = A * (1 - E2) / w2**1.5 * np.diff(latitude)
    edges = np.hypot(east, north)
    edges[offsets[1:-1] - 1] = 0.0
    lengths: Floats = np.add.reduceat(np.append(edges, 0.0), offsets[:-1])
    return lengths


def areas(outlines: npt.NDArray[np.object_]) -> Floats:
    """Return the area of each polygon or multipolygon, holes taken out [m²].

    Parameters
    ----------
    outlines : (n,) array of shapely geometries
        Longitude/latitude on WGS 84. Anything without an area gives 0. Ring order is of no account.

    Examples
    --------
    >>> import shapely
    >>> lawn = shapely.box(-1.55, 53.8, -1.549, 53.801)
    >>> round(float(areas([lawn])[0]), 2)
    7333.52
    """
    return _by_batch(outlines, _areas_of_batch)


def perimeters(outlines: npt.NDArray[np.object_]) -> Floats:
    """Return the length of the outer rings of each polygon, or of each line [m]."""
    return _by_batch(outlines, _perimeters_of_batch)


def _wrap(degrees: Floats) -> Floats:
    """Bring differences of longitude into ±180°, so that the antimeridian is no seam."""
    wrapped: Floats = (degrees + 180.0) % 360.0 - 180.0
    # The addition above rounds at 180; where nothing was wrapped the exact difference stands.
    return np.where(np.abs(degrees) <= 180.0, degrees, wrapped)  # noqa: PLR2004 - half a turn


def _by_batch(outlines: npt.NDArray[np.object_], work: _Work) -> Floats:
    """Run `work` over slices of about BATCH vertices."""
    outlines = np.asarray(outlines, dtype=object)
    result = np.zeros(len(outlines))
    vertices = np.cumsum(shapely.get_num_coordinates(outlines))
    start = 0
    while start < len(outlines):
        done = int(vertices[start - 1]) if start else 0
        stop = max(start + 1, int(np.searchsorted(vertices, done + BATCH, side="right")))
        result[start:stop] = work(outlines[start:stop])
        start = stop
    return result


def _rings(
    outlines: npt.NDArray[np.object_],
) -> tuple[Floats, npt.NDArray[np.int64], npt.NDArray[np.int64], npt.NDArray[np.bool_]]:
    """Take outlines apart: vertices, ring offsets, owner of each ring, and which are outer."""
    parts, owner = shapely.get_parts(outlines, return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    outer = np.ones(len(rings), dtype=bool)
    outer[1:] = part[1:] != part[:-1]
    offsets = np.concatenate([[0], np.cumsum(shapely.get_num_coordinates(rings))]).astype(np.int64)
    return shapely.get_coordinates(rings), offsets, owner[part], outer


def _areas_of_batch(outlines: npt.NDArray[np.object_]) -> Floats:
    lonlat, offsets, owner, outer = _rings(outlines)
    signed = np.abs(ring_areas(lonlat, offsets)) * np.where(outer, 1.0, -1.0)
    return np.bincount(owner, weights=signed, minlength=len(outlines)).astype(np.float64)


def _perimeters_of_batch(outlines: npt.NDArray[np.object_]) -> Floats:
    lonlat, offsets, owner, outer = _rings(outlines)
    lengths = np.where(outer, ring_lengths(lonlat, offsets), 0.0)
    result = np.bincount(owner, weights=lengths, minlength=len(outlines)).astype(np.float64)
    lines = np.isin(shapely.get_type_id(outlines), (1, 2, 5))
    if lines.any():
        parts, of = shapely.get_parts(outlines[lines], return_index=True)
        counts = np.concatenate([[0], np.cumsum(shapely.get_num_coordinates(parts))])
        along = ring_lengths(shapely.get_coordinates(parts), counts.astype(np.int64))
        result[lines] = np.bincount(of, weights=along, minlength=int(lines.sum()))
    return result
