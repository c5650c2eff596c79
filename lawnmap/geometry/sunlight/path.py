"""The path of the sun, folded by bearing: the hours it stands over each height of a horizon.

Heights above the level are *rises*: the tangent of the elevation. An obstacle's is its height over
its distance, so no angle is worked out for any of them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Integers = npt.NDArray[np.integer]

BINS = 360
FINE_BINS = 1440
CLASSES = 4096  # 0.006° of elevation at 1°, 0.06° at 45°


class SunPath(NamedTuple):
    """Where the sun stands, sample by sample; the order is of no account.

    Attributes
    ----------
    azimuth_deg : (t,) array
        Clockwise from the north of the frame the points are in [°]: from true north, less the
        convergence.
    elevation_deg : (t,) array
        Above the level, as seen (with refraction) [°]. What is not above 0 is left out.
    hours : (t,) array
        How long each sample stands for [h]; divide by the number of days for hours a day.
    """

    azimuth_deg: Floats
    elevation_deg: Floats
    hours: Floats


class FoldedSun(NamedTuple):
    """A path of the sun in bins of azimuth, each in classes of rise.

    Attributes
    ----------
    bearing_deg : (m,) array
        The bearing that stands for each bin with sun in it, from the north clockwise, growing [°].
    before_h : (m * CLASSES + 1,) array
        Hours of all classes before each one, through the classes of the first bin, from the level
        up, then those of the next [h].
    """

    bearing_deg: Floats
    before_h: Floats

    @property
    def lowest(self) -> Floats:
        """The rise below which the sun does not come, for each bin: (m,) array."""
        first = np.arange(len(self.bearing_deg)) * CLASSES
        none = np.searchsorted(self.before_h, self.before_h[first], side="right") - 1 - first
        return _rise(none / CLASSES)

    @property
    def highest(self) -> Floats:
        """The rise above which the sun does not come, for each bin: (m,) array."""
        end = (np.arange(len(self.bearing_deg)) + 1) * CLASSES
        none = end - np.searchsorted(self.before_h, self.before_h[end], side="left")
        return _rise(1 - none / CLASSES)

    @property
    def total_h(self) -> float:
        """All hours the sun is up [h]."""
        return float(self.before_h[-1])

    def place(self, which: Integers, rise: npt.NDArray[np.floating]) -> Places:
        """Return the places in `before_h` where the sun of a bin begins to stand above a rise.

        Parameters
        ----------
        which : array
            Number of the bin among those with sun in them.
        rise : array
            Not below 0; an infinite one is the end of the bin.
        """
        return np.rint((which + _height(rise)) * CLASSES).astype(np.intp)


def fold(path: SunPath, bins: int | None = None) -> FoldedSun:
    """Return the path in bins and classes, which is done once for all points.

    The bearing that stands for a bin is the mean, by hours, of the sun's own in it. A path of one
    day is given so many bins that hardly two samples share one: it is followed as it is.

    Parameters
    ----------
    path : SunPath
    bins : int, optional
        Equal bins of azimuth in the whole circle; else 1,440 for no more samples than that with the
        sun up, and 360 for more, in which the bearings of many days even out.
    """
    up = (path.elevation_deg > 0) & (path.hours > 0)
    azimuth, hours = path.azimuth_deg[up] % 360, path.hours[up]
    azimuth[azimuth == 360] = 0  # noqa: PLR2004 - what is left of a negative that is next to nothing
    bins = bins or (FINE_BINS if len(hours) <= FINE_BINS else BINS)
    used, which = np.unique((azimuth * (bins / 360)).astype(np.intp) % bins, return_inverse=True)
    count = len(used)
    bearing = np.bincount(which, hours * azimuth, count) / np.bincount(which, hours, count)
    height = _height(np.tan(np.radians(path.elevation_deg[up])))
    row = np.minimum((height * CLASSES).astype(np.intp), CLASSES - 1)
    each = np.bincount(which * CLASSES + row, hours, count * CLASSES)
    return FoldedSun(bearing, np.concatenate([[0], np.cumsum(each)]))


def _height(rise: npt.NDArray[np.floating]) -> Floats:
    """Return a rise from 0 to infinity as a number from 0 to 1: finest near the level."""
    height: Floats = 1 - 1 / (1 + np.sqrt(rise))
    return height


def _rise(height: Floats) -> Floats:
    """Return the rise of a number from 0 to 1."""
    with np.errstate(divide="ignore"):
        rise: Floats = (height / (1 - height)) ** 2
    return rise
