"""Local metres: a flat frame east and north of an anchor, good to a millimetre over a lawn.

The frame is the transverse Mercator series about the anchor to second order. Against pyproj it is
within 0.01 mm at 1 km and 1 mm at 5 km, and costs nothing to set up, where a transformer a site
costs 11 ms. It is for widths, buffers and drawing; areas come from ``geometry.ellipsoid``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.ellipsoid import E2, A

Floats = npt.NDArray[np.float64]


class Frame(NamedTuple):
    """A flat frame in metres about an anchor in degrees."""

    longitude: float
    latitude: float

    def to_metres(self, lonlat: Floats) -> Floats:
        """Return (n, 2) metres east and north of the anchor from (n, 2) degrees."""
        c = _coefficients(self.latitude)
        lon = np.radians((lonlat[:, 0] - self.longitude + 180.0) % 360.0 - 180.0)
        lat = np.radians(lonlat[:, 1] - self.latitude)
        east = lon * (c.east - c.converge * lat)
        north = lat * (c.north + c.stretch * lat) + c.bend * lon * lon
        return np.column_stack([east, north])

    def to_lonlat(self, metres: Floats) -> Floats:
        """Return (n, 2) degrees from (n, 2) metres: the inverse of :meth:`to_metres`."""
        c = _coefficients(self.latitude)
        east, north = metres[:, 0], metres[:, 1]
        lon = east / c.east
        lat = north / c.north
        for _ in range(6):  # each round gains three to four digits at lawn size
            lon = east / (c.east - c.converge * lat)
            lat = (north - c.bend * lon * lon) / (c.north + c.stretch * lat)
        degrees = np.column_stack(
            [np.degrees(lon) + self.longitude, np.degrees(lat) + self.latitude]
        )
        degrees[:, 0] = (degrees[:, 0] + 180.0) % 360.0 - 180.0
        return degrees

    def flat(self, shapes: npt.NDArray[np.object_]) -> npt.NDArray[np.object_]:
        """Return shapes in degrees as shapes in metres."""
        return np.asarray(shapely.transform(shapes, self.to_metres), dtype=object)

    def round(self, shapes: npt.NDArray[np.object_]) -> npt.NDArray[np.object_]:
        """Return shapes in metres as shapes in degrees."""
        return np.asarray(shapely.transform(shapes, self.to_lonlat), dtype=object)


class _Coefficients(NamedTuple):
    east: float
    north: float
    converge: float
    stretch: float
    bend: float


def _coefficients(latitude: float) -> _Coefficients:
    """Return the series about one latitude: radii of curvature and their first derivatives."""
    s, c = np.sin(np.radians(latitude)), np.cos(np.radians(latitude))
    w2 = 1 - E2 * s * s
    nu = A / np.sqrt(w2)
    rho = A * (1 - E2) / w2**1.5
    return _Coefficients(
        east=float(nu * c),
        north=float(rho),
        converge=float(rho * s),
        stretch=float(1.5 * rho * E2 * s * c / w2),
        bend=float(0.5 * nu * s * c),
    )


def about(shape: BaseGeometry) -> Frame:
    """Return the frame anchored in the middle of a shape's bounds.

    Examples
    --------
    >>> frame = about(shapely.box(-1.551, 53.799, -1.549, 53.801))
    >>> frame.to_metres(np.array([[-1.549, 53.8]])).round(2).tolist()
    [[65.89, 0.0]]
    """
    west, south, east, north = shape.bounds
    return Frame((west + east) / 2, (south + north) / 2)
