"""The shape of the ground from heights: a plane, or facets, and what part of them a lawn covers.

Everything is in metres in a flat frame. A surface is a set of *facets*: plain polygons that do not
overlap, each with its slope and with the ground there is to one square metre of map. The cells of a
grid as facets are in :mod:`lawnmap.geometry.relief`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]
Mask = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]

PLANE = 3  # heights that fix one


class Plane(NamedTuple):
    """A plane fitted to heights.

    Attributes
    ----------
    east, north : float
        Rise to a metre east and to a metre north.
    slope_deg : float
        From the level [°].
    sigma_deg : float
        Standard error of the slope [°]; NaN for three heights, which any plane fits.
    residual_m : float
        Standard error of one height about the plane [m]; NaN likewise.
    """

    east: float
    north: float
    slope_deg: float
    sigma_deg: float
    residual_m: float


class Facets(NamedTuple):
    """A surface in pieces.

    Attributes
    ----------
    shapes : (n,) array of polygons
        Seen from above [m].
    slope_deg : (n,) array
        From the level [°].
    factor : (n,) array
        Ground area over map area.
    """

    shapes: Shapes
    slope_deg: Floats
    factor: Floats

    def where(self, chosen: Mask | Places) -> Facets:
        """Return some of the facets, by a mask or by their places."""
        return Facets(self.shapes[chosen], self.slope_deg[chosen], self.factor[chosen])


def plane(points: Floats) -> Plane:
    """Return the plane through heights by least squares.

    Parameters
    ----------
    points : (n, 3) array
        East, north and height [m], at least three.

    Raises
    ------
    ValueError
        With fewer than three, or when they stand on one line.
    """
    middle = points.mean(axis=0) if len(points) else np.zeros(3)
    east_north, height = (points - middle)[:, :2], (points - middle)[:, 2]
    spread = np.linalg.svd(east_north, compute_uv=False) if len(points) >= PLANE else np.zeros(2)
    if not spread[1] > 1e-4 * spread[0] > 0:
        raise ValueError("the heights stand on one line, or there are fewer than three places")
    rise, *_ = np.linalg.lstsq(east_north, height, rcond=None)
    spare = len(points) - PLANE
    residual = height - east_north @ rise
    variance = float(residual @ residual) / spare if spare else np.nan
    steep = float(np.hypot(*rise))
    covariance = variance * np.linalg.inv(east_north.T @ east_north)
    # On level ground no direction is the steepest, so the mean of both stands for it.
    across = rise @ covariance @ rise / steep**2 if steep > 0 else np.trace(covariance) / 2
    return Plane(
        east=float(rise[0]),
        north=float(rise[1]),
        slope_deg=float(np.degrees(np.arctan(steep))),
        sigma_deg=float(np.degrees(np.sqrt(across) / (1 + steep**2))),
        residual_m=float(np.sqrt(variance)),
    )


def tin(points: Floats) -> Facets:
    """Return the Delaunay triangles between heights.

    Parameters
    ----------
    points : (n, 3) array
        East, north and height [m]; no two at one place.
    """
    net = shapely.delaunay_triangles(shapely.multipoints(points))
    shapes = shapely.get_parts(net)
    shapes = shapes[shapely.area(shapes) > 0]
    corners = shapely.get_coordinates(shapes, include_z=True).reshape(-1, 4, 3)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    flat = np.abs(normal[:, 2])
    factor = np.linalg.norm(normal, axis=1) / flat
    return Facets(
        np.asarray(shapely.force_2d(shapes), dtype=object),
        np.degrees(np.arccos(1 / factor)),
        factor,
    )


def longest(triangles: Shapes) -> Floats:
    """Return the longest side of each triangle [m]."""
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)
    sides: Floats = np.linalg.norm(np.diff(corners, axis=1), axis=2).max(axis=1)
    return sides


def narrowest(triangles: Shapes) -> Floats:
    """Return how far each triangle's corner is at least from the other side [m]."""
    height: Floats = 2 * shapely.area(triangles) / longest(triangles)
    return height


class Share(NamedTuple):
    """What part of which facet lies in which outline: one a pair."""

    outline: Places
    facet: Places
    area_m2: Floats


def shares(outlines: Shapes, facets: Shapes) -> Share:
    """Return the map area of each facet that lies in each outline, where there is any [m²]."""
    tree = shapely.STRtree(facets)
    outline, facet = tree.query(outlines, predicate="intersects")
    area = shapely.area(facets[facet])
    whole = set(zip(*tree.query(outlines, predicate="covers").tolist(), strict=True))
    cut = np.array(
        [pair not in whole for pair in zip(outline.tolist(), facet.tolist(), strict=True)],
        dtype=bool,
    )
    area[cut] = shapely.area(shapely.intersection(outlines[outline[cut]], facets[facet[cut]]))
    return Share(outline, facet, area)
