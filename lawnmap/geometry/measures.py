"""What was measured between the points of a survey, and how it changes as they move."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

DISTANCE, BEARING, ALONG, LEFT = range(4)

NO_LENGTH_M = 1e-9  # a line that shrinks to nothing on the way still has a direction


@dataclass(frozen=True)
class Measures:
    """Measures of a survey, one a row.

    Attributes
    ----------
    kind : (m,) array
        DISTANCE from start to end; BEARING of the same, clockwise from north; how far ALONG the
        line from start to end a point stands; how far LEFT of that line it stands.
    ends : (m, 3) array
        Numbers of start, end and point; the point is the start where there is none.
    value, sigma : (m,) arrays
        What was measured and its standard error [m; rad for bearings].
    """

    kind: Whole
    ends: Whole
    value: Floats
    sigma: Floats

    def values(self, xy: Floats) -> Floats:
        """Return each measure as (n, 2) points, east and north [m], have it."""
        length, u, along, left = self._lines(xy)
        bearing = np.arctan2(u[:, 0], u[:, 1])
        values: Floats = np.choose(self.kind, [length, bearing, along, left])
        return values

    def slopes(self, xy: Floats) -> Floats:
        """Return how each measure changes as the points move.

        Returns
        -------
        (m, 2n) array
            Derivatives by x0, y0, x1, y1, …
        """
        length, u, along, left = self._lines(xy)
        n = np.column_stack([-u[:, 1], u[:, 0]])
        # How the value changes with the end and with the point; the start moves against both.
        across = n / length[:, None]
        none = np.zeros_like(u)
        by_end = np.choose(
            self.kind[:, None], [u, -across, left[:, None] * across, -along[:, None] * across]
        )
        by_point = np.choose(self.kind[:, None], [none, none, u, n])
        slope = np.zeros((len(self.kind), xy.size))
        rows = np.arange(len(self.kind))
        for column, by in ((0, -by_end - by_point), (1, by_end), (2, by_point)):
            for axis in (0, 1):
                np.add.at(slope, (rows, 2 * self.ends[:, column] + axis), by[:, axis])
        return slope

    def _lines(self, xy: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Return length and direction of each line, and where its point stands by it."""
        start, end, point = (xy[self.ends[:, k]] for k in range(3))
        line, there = end - start, point - start
        length = np.maximum(np.hypot(line[:, 0], line[:, 1]), NO_LENGTH_M)
        u = line / length[:, None]
        along = (there * u).sum(axis=1)
        left = there[:, 1] * u[:, 0] - there[:, 0] * u[:, 1]
        return length, u, along, left

    def misfit(self, xy: Floats) -> Floats:
        """Return what (n, 2) points give less what was measured; bearings the short way round."""
        off = self.values(xy) - self.value
        turned = (off + math.pi) % (2 * math.pi) - math.pi
        misfit: Floats = np.where(self.kind == BEARING, turned, off)
        return misfit
