"""Where sites lie, on a flat plan of north up, and what those of one square come to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.exports.sites.states import STATES

Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]

RADIUS_M = 6378137.0  # of the sphere that Web Mercator is drawn on (EPSG:3857)
MOST_NORTH = 85.0


@dataclass(frozen=True)
class Marks:
    """What is drawn: sites one by one, or the sums of those in a square.

    Attributes
    ----------
    longitude, latitude : (n,) array
    ground : (n,) array
        Ground of all their zones [m²]; 0 where it is not known.
    states : (n, states) array
        How many sites stand how, by the order of STATES.
    places : (n,) array of int
        Row of the site in the table; −1 for a sum.
    """

    longitude: Floats
    latitude: Floats
    ground: Floats
    states: Codes
    places: Codes

    @property
    def count(self) -> Codes:
        """The number of sites of each mark."""
        return np.asarray(self.states.sum(axis=1), dtype=np.intp)

    @property
    def plane(self) -> Floats:
        """(n, 2) metres east and north, true to size in the middle of all."""
        return plane(self.longitude, self.latitude)


def plane(longitude: Floats, latitude: Floats) -> Floats:
    """Return (n, 2) metres east and north of places, true to size in the middle of all."""
    if not len(latitude):
        return np.empty((0, 2))
    north = np.radians(np.clip(latitude, -MOST_NORTH, MOST_NORTH))
    size = RADIUS_M * float(np.cos((north.min() + north.max()) / 2))
    east = np.radians(longitude)
    return np.asarray(size * np.column_stack([east, np.arctanh(np.sin(north))]))


def marks(sites: pd.DataFrame, of: Codes) -> Marks:
    """Return a mark for each site that has a place; none where nobody may see places."""
    if not {"longitude", "latitude"} <= set(sites.columns):
        return Marks(np.empty(0), np.empty(0), np.empty(0), np.empty((0, len(STATES)), np.intp),
                     np.empty(0, np.intp))  # fmt: skip
    at = sites[["longitude", "latitude"]].to_numpy(np.float64)
    placed = np.flatnonzero(np.isfinite(at).all(axis=1))
    ground = np.nan_to_num(sites["ground_area_m2"].to_numpy(np.float64)[placed])
    states = np.eye(len(STATES), dtype=np.intp)[of[placed]]
    return Marks(at[placed, 0], at[placed, 1], ground, states, placed.astype(np.intp))


def summed(of: Marks, across: int) -> Marks:
    """Return the sums of the sites in each square of a grid so many squares wide.

    A sum stands in the middle of its sites; a site that is alone in its square stays what it is.
    """
    at = of.plane
    low = at.min(axis=0)
    side = max(float((at.max(axis=0) - low).max()) / across, 1e-9)
    column, row = np.minimum((at - low) // side, across - 1).astype(np.intp).T
    _, only, square = np.unique(row * across + column, return_index=True, return_inverse=True)
    count = np.bincount(square)
    states = np.column_stack(
        [np.bincount(square, each, len(count)) for each in of.states.T.astype(np.float64)]
    )
    return Marks(
        np.bincount(square, of.longitude) / count,
        np.bincount(square, of.latitude) / count,
        np.bincount(square, of.ground).astype(np.float64),
        states.astype(np.intp),
        np.where(count == 1, of.places[only], -1),
    )
