"""What stands over the ground in a grid of surface heights: crowns and roofs nobody mapped.

A point of lawn stands on the ground, also where the surface over it is the top of a crown. The
ground is that of the site's own heights; where there are none, each zone is the plane through its
surface once all that stands on it is left out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.errors import InputRefused
from lawnmap.found import Heights, SurfaceHeights
from lawnmap.geometry import surface as shape_of
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.relief import Steps
from lawnmap.processing.sun.levels import Levels

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]

LEAST_M = 0.5  # over the ground: errors are as much, and close by they would hide the low sun
APART_M = 1.0  # by which open lawn may lie beside the ground in the two surveys
REACHED = 0.9  # of the lawn
OPEN_PCT = 5  # of the lawn at least is taken to be open to the sky
ROUNDS = 50  # of leaving out what stands on a zone

COUNTED = (
    "What stands half a metre or more over the ground in the surface heights is counted, and taken "
    "as solid: a mapped tree lets no sun through where it is in them too."
)
NO_GROUND = (
    "There are no heights of the ground: under the surface each zone is taken as a plane. Read the "
    "terrain heights of the same survey in where it has banks or terraces."
)
BESIDE = "The surface heights do not reach all of the lawn: there only what is mapped is counted."


class Cover(NamedTuple):
    """A surface in the frame of a cluster of zones.

    Attributes
    ----------
    heights : (rows, columns) array
        The ground's own where little or nothing stands on it; NaN where nothing is known [m].
    first : (float, float)
        Middle of the first cell [m].
    steps : Steps
    """

    heights: Floats
    first: tuple[float, float]
    steps: Steps


class Overhead(NamedTuple):
    """The ground, what stands over it (None for no surface there), and what should be known."""

    ground: Levels
    cover: Cover | None
    told: tuple[str, ...]


def overhead(
    surface: SurfaceHeights | None, heights: Heights | None, lawn: Shapes, frame: Frame
) -> Overhead:
    """Return the ground of a cluster of zones and what stands over it.

    Parameters
    ----------
    surface : SurfaceHeights or None
    heights : Heights or None
        Of the ground.
    lawn : (n,) array of geometries
        Longitude/latitude.
    frame : Frame
        Of the cluster.

    Raises
    ------
    InputRefused
        When the surface and the heights of the ground are not of one survey.
    """
    if surface is None:
        return Overhead(Levels(heights, frame), None, ())
    first, steps = _in_frame(surface, frame)
    row, column = np.nonzero(np.isfinite(surface.heights))
    xy = np.array(first) + np.column_stack([column, row]) @ np.array(steps)
    top = surface.heights[row, column]
    flat = frame.flat(lawn)
    on_lawn = shapely.contains_xy(shapely.union_all(flat), xy)
    if not on_lawn.any():
        return Overhead(Levels(heights, frame), None, (BESIDE,))
    cells = np.column_stack([xy, top])
    ground = Levels(_planes(cells, flat, frame) if heights is None else heights, frame)
    over = top - ground.at(xy)
    if heights is not None:
        _refuse_other_survey(over[on_lawn])
    cleared = surface.heights.copy()
    cleared[row, column] = np.where(over < LEAST_M, top - over, top)
    told = [COUNTED]
    if heights is None:
        told.append(NO_GROUND)
    reached = on_lawn.sum() * steps.cell_m2 / shapely.area(flat).sum()
    if reached < REACHED:
        told.append(BESIDE)
    return Overhead(ground, Cover(cleared, first, steps), tuple(told))


def _in_frame(surface: SurfaceHeights, frame: Frame) -> tuple[tuple[float, float], Steps]:
    """Return the first cell and the steps of a surface in another frame."""
    rows, columns = surface.heights.shape
    corners = np.array([(0, 0), surface.column, surface.row], dtype=float)
    corners *= np.array([[1], [columns], [rows]])
    start, right, below = frame.to_metres(Frame(*surface.first).to_lonlat(corners))
    along, down = (right - start) / columns, (below - start) / rows
    steps = Steps((float(along[0]), float(along[1])), (float(down[0]), float(down[1])))
    return (float(start[0]), float(start[1])), steps


def _planes(cells: Floats, flat: Shapes, frame: Frame) -> Heights:
    """Return the ground of each zone where it has cells."""
    found = []
    for outline in flat:
        own = cells[shapely.contains_xy(outline, cells[:, :2])]
        if len(own):
            found.append(np.column_stack([frame.to_lonlat(own[:, :2]), _under(own)]))
    return Heights(np.vstack(found))


def _under(cells: Floats) -> Floats:
    """Return the height of the plane under some cells: what stands on it left out by and by."""
    ground = cells
    for _ in range(ROUNDS):
        try:
            plane = shape_of.plane(ground)
        except ValueError:  # too few, or in one line
            return np.full(len(cells), ground[:, 2].min())
        away = cells - ground.mean(axis=0)
        over = away[:, 2] - plane.east * away[:, 0] - plane.north * away[:, 1]
        left = cells[over < LEAST_M]
        if len(left) == len(ground):
            break
        ground = left
    level: Floats = cells[:, 2] - over
    return level


def _refuse_other_survey(over: Floats) -> None:
    """Refuse heights of the ground that open lawn in the surface does not lie on."""
    lowest = float(np.percentile(over, OPEN_PCT))
    if abs(lowest) > APART_M:
        where = "over" if lowest > 0 else "under"
        raise InputRefused(
            f"open lawn in the surface lies {abs(lowest):.1f} m {where} the heights of the ground",
            remedy="Read both from one survey: the terrain heights, then the surface.",
        )
