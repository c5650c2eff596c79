"""A figure on an even grid, such as hours of sun or thatch between cores, to lie on a map."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt


@dataclass(frozen=True)
class GridMap:
    """A figure on an even grid of longitude and latitude.

    Attributes
    ----------
    cells : (rows, columns) array
        From the north down and from the west on, in the unit of what it shows; NaN off the lawn.
    bounds : tuple of float
        West, south, east and north edge of the outer cells [°].
    """

    cells: npt.NDArray[np.float32] = field(repr=False, compare=False)
    bounds: tuple[float, float, float, float]
