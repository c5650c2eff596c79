"""A closed traverse: latitudes, departures, the closing error and Bowditch's rule."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

# A leg is suspected when it runs this near to the closing error, and no other leg comes within so
# much of the same. Common practice, no source.
PARALLEL_DEG = 10.0
APART_DEG = 5.0


class Traverse(NamedTuple):
    """A closed traverse as measured and as adjusted.

    Attributes
    ----------
    lengths : (n,) array
        Of the legs [m].
    latitudes, departures : (n,) arrays
        How far each leg leads north and east, as measured [m].
    adjusted_latitudes, adjusted_departures : (n,) arrays
        The same after Bowditch's rule: each sums to nothing.
    """

    lengths: Floats
    latitudes: Floats
    departures: Floats
    adjusted_latitudes: Floats
    adjusted_departures: Floats

    @property
    def perimeter_m(self) -> float:
        """Sum of the legs [m]."""
        return float(self.lengths.sum())

    @property
    def error_m(self) -> float:
        """Closing error: how far from its beginning the traverse ends [m]."""
        return math.hypot(self.latitudes.sum(), self.departures.sum())

    @property
    def one_in(self) -> float:
        """The closing error as 1 in so many of the perimeter."""
        return self.perimeter_m / self.error_m if self.error_m > 0 else math.inf

    @property
    def points(self) -> Floats:
        """(n, 2) adjusted points, east and north of the first, where each leg begins."""
        steps = np.column_stack([self.adjusted_departures, self.adjusted_latitudes])
        points: Floats = np.vstack([np.zeros(2), steps[:-1].cumsum(axis=0)])
        return points

    @property
    def suspect(self) -> int | None:
        """The only leg that runs along the closing error, so that its length may be wrong."""
        if self.error_m <= 0:
            return None
        east, north = self.departures.sum(), self.latitudes.sum()
        across = np.abs(self.departures * north - self.latitudes * east)
        along = np.abs(self.departures * east + self.latitudes * north)
        angles = np.degrees(np.arctan2(across, along))
        first, second = np.argsort(angles, kind="stable")[:2]
        clear = angles[first] <= PARALLEL_DEG and angles[second] - angles[first] > APART_DEG
        return int(first) if clear else None


def bowditch(lengths: Floats, bearings_deg: Floats) -> Traverse:
    """Return a closed traverse, its closing error shared out by the lengths of the legs.

    Parameters
    ----------
    lengths : (n,) array
        Of the legs in the order walked [m]; n of 3 up.
    bearings_deg : (n,) array
        Clockwise from north [°].

    References
    ----------
    The compass rule of N. Bowditch, in any surveying text: the correction of a latitude (departure)
    is the closing latitude (departure) times the leg's share of the perimeter.
    """
    turn = np.radians(bearings_deg)
    latitudes, departures = lengths * np.cos(turn), lengths * np.sin(turn)
    share = lengths / lengths.sum()
    return Traverse(
        lengths,
        latitudes,
        departures,
        latitudes - share * latitudes.sum(),
        departures - share * departures.sum(),
    )
