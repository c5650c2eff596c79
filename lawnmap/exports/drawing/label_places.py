"""Where the number of a zone stands: in its widest place, clear of what is mapped on it.

A number over a gully hides what a machine must not run into, and one over a bed or a pond seems to
be the number of that.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt
import shapely

Shapes = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]

TOLERANCE = 0.02  # of the zone's longer side
CENTRED = 0.9  # a number stands at the centroid when that is about as wide a place
CLEAR = 0.3  # of the radius of a zone's widest place, kept from what is mapped there
ENOUGH = 0.4  # of that radius: where less is clear, the number stands where the zone is widest
SEEN_THROUGH = ("tree",)  # the lawn goes on under a crown


class Thing(Protocol):
    """What is mapped beside the zones."""

    @property
    def kind(self) -> str:
        """What sort of thing it is."""

    @property
    def shape(self) -> shapely.Geometry:
        """Where it lies [m]."""


def label_places(zones: Shapes, things: Sequence[Thing]) -> tuple[Floats, Floats]:
    """Return the place of each zone's number, and how wide it is there.

    Parameters
    ----------
    zones : (n,) array of shapes
        Outlines [m].
    things : sequence of Thing
        What is mapped beside the zones, on them or elsewhere.

    Returns
    -------
    points : (n, 2) array
        The middle of a wide circle that lies on the zone, clear of the things [m].
    radii : (n,) array
        Of that circle [m].
    """
    points, radii = _widest(zones)
    mapped = np.array(
        [each.shape for each in things if each.kind not in SEEN_THROUGH], dtype=object
    )
    if not len(zones) or not len(mapped):
        return points, radii
    tree = shapely.STRtree(mapped)
    of, near = tree.query(zones, predicate="dwithin", distance=CLEAR * radii)
    beset = np.unique(of)
    open_ground = np.array(
        [
            zones[place].difference(
                shapely.union_all(_kept(mapped[near[of == place]], radii[place]))
            )
            for place in beset
        ],
        dtype=object,
    )
    some = ~shapely.is_empty(open_ground)
    beset, open_ground = beset[some], open_ground[some]
    found, wide = _widest(open_ground)
    good = wide >= ENOUGH * radii[beset]
    points[beset[good]], radii[beset[good]] = found[good], wide[good]
    return points, radii


def _kept(mapped: Shapes, radius: float) -> Shapes:
    """Return the ground that a number keeps from what is mapped on its zone."""
    # An area has an edge to be seen by; a letter or a line is as wide as it is drawn.
    room = np.where(shapely.get_dimensions(mapped) == 2, 0.0, CLEAR * radius)  # noqa: PLR2004
    kept: Shapes = shapely.buffer(mapped, room, quad_segs=2)
    return kept


def _widest(grounds: Shapes) -> tuple[Floats, Floats]:
    """Return the centre and radius of a wide circle inside each ground."""
    if not len(grounds):
        return np.zeros((0, 2)), np.zeros(0)
    boxes = shapely.bounds(grounds)
    longest = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    spokes = [
        shapely.maximum_inscribed_circle(ground, max(side * TOLERANCE, 0.01))
        for ground, side in zip(grounds, longest, strict=True)
    ]
    ends = np.array([shapely.get_coordinates(spoke)[[0, -1]] for spoke in spokes])
    radii = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    # In a strip any place is as wide as another: its middle looks right.
    middles = shapely.centroid(grounds)
    room = shapely.distance(middles, shapely.boundary(grounds))
    good = shapely.contains(grounds, middles) & (room >= CENTRED * radii)
    points = np.where(good[:, None], shapely.get_coordinates(middles), ends[:, 0])
    return points, np.where(good, room, radii)
