"""Control points: the similarity (turn, scale, shift) that fits them best, and how well it does."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


class Similarity(NamedTuple):
    """X = a·x - b·y + east, Y = b·x + a·y + north."""

    a: float
    b: float
    east: float
    north: float
    residuals: Floats  # (n, 2) fitted less given [m]

    @property
    def scale(self) -> float:
        """Target units to one source unit."""
        return float(np.hypot(self.a, self.b))

    @property
    def turn_deg(self) -> float:
        """Turn of the source, anticlockwise [°]."""
        return float(np.degrees(np.arctan2(self.b, self.a)))

    @property
    def rmse(self) -> float:
        """Root mean square of the residuals' lengths [m]."""
        return float(np.sqrt((self.residuals**2).sum() / len(self.residuals)))

    @property
    def checked(self) -> bool:
        """Whether there are more points than the fit needs; with two it is always exact."""
        return len(self.residuals) > 2  # noqa: PLR2004 - two points fix a similarity

    def apply(self, xy: Floats) -> Floats:
        """Return (n, 2) points moved."""
        x, y = xy[:, 0], xy[:, 1]
        return np.column_stack(
            [self.a * x - self.b * y + self.east, self.b * x + self.a * y + self.north]
        )


def similarity(source: Floats, target: Floats) -> Similarity:
    """Return the least-squares similarity from `source` to `target`, both (n, 2) with n of 2 up.

    Raises
    ------
    ValueError
        With fewer than two different points.

    References
    ----------
    Four-parameter transformation: Ghilani and Wolf, Adjustment Computations, chapter 18.
    """
    if len(source) < 2 or len(source) != len(target):  # noqa: PLR2004 - two points fix it
        raise ValueError("at least two control points are needed")
    middle, aim = source.mean(axis=0), target.mean(axis=0)
    (x, y), (u, v) = (source - middle).T, (target - aim).T
    spread = float((x * x + y * y).sum())
    if spread <= 0 or float((u * u + v * v).sum()) <= 0:
        raise ValueError("the control points are all in one place")
    a = float((x * u + y * v).sum() / spread)
    b = float((x * v - y * u).sum() / spread)
    east = float(aim[0] - a * middle[0] + b * middle[1])
    north = float(aim[1] - b * middle[0] - a * middle[1])
    found = Similarity(a, b, east, north, np.zeros((0, 2)))
    return found._replace(residuals=found.apply(source) - target)
