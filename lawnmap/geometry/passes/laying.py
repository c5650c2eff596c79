"""Pass lines of one zone and one working width: rounds along the edges, then parallel bouts."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.passes.headings import fewest_turns, least_width, lines
from lawnmap.geometry.passes.order import walk
from lawnmap.geometry.passes.regions import Regions, regions
from lawnmap.geometry.passes.scanline import Pieces, edges, scan, turned

Floats = npt.NDArray[np.float64]

EMPTY = "there is no ground to cover"
NARROW = "it is narrower than the machine everywhere"
WIDEST_OVERLAP = 0.5  # from here on every place is covered twice


class Laid(NamedTuple):
    """Pass lines.

    Attributes
    ----------
    regions : Regions
        The ground they were laid on.
    width_m, step_m : float
        Working width, and from one line to the next [m].
    heading_deg : float
        Of the lines, clockwise from north, 0 up to 180 [°].
    start_deg : float
        Which way the edge to start from lies, seen from the middle [°].
    rounds : tuple of LineString
        Along edges and obstacles, walked first.
    bouts : (n, 2, 2) array
        Both ends of each bout, in order and in the direction it is walked [m].
    why : str
        Why there are no lines; empty when there are.
    """

    regions: Regions
    width_m: float
    step_m: float
    heading_deg: float
    start_deg: float
    rounds: tuple[BaseGeometry, ...]
    bouts: Floats
    why: str = ""

    @property
    def turns(self) -> int:
        """Times the machine goes from one bout or round to the next."""
        return max(len(self.rounds) + len(self.bouts) - 1, 0)

    @property
    def length_m(self) -> float:
        """Length of all bouts and rounds [m]."""
        straight = np.hypot(*(self.bouts[:, 1] - self.bouts[:, 0]).T).sum()
        return float(straight + sum(each.length for each in self.rounds))

    @property
    def idle_m(self) -> float:
        """What is walked from the end of one bout to the next, beyond a working width [m]."""
        gaps = np.hypot(*(self.bouts[1:, 0] - self.bouts[:-1, 1]).T)
        return float(np.maximum(gaps - self.width_m, 0).sum())


def lay(
    area: BaseGeometry,
    width_m: float,
    *,
    overlap: float = 0.0,
    rounds: int = 1,
    heading_deg: float | None = None,
    start: tuple[float, float] | None = None,
) -> Laid:
    """Lay pass lines over some ground.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        Ground to cover, obstacles left out, in metres.
    width_m : float
        Working width [m].
    overlap : float
        Share of it that is to be covered twice, 0 to below a half.
    rounds : int
        Rounds along edges and obstacles, at least one.
    heading_deg : float, optional
        Clockwise from north [°]; the heading of fewest turns when it is left out.
    start : (float, float), optional
        Where one comes from: the lines begin at the side, and the end, that is nearer to it [m].

    Raises
    ------
    ValueError
        For a width, an overlap or a number of rounds that no machine has.
    """
    if not (width_m > 0 and 0 <= overlap < WIDEST_OVERLAP and rounds >= 1):
        raise ValueError("a width above zero, an overlap under a half and at least one round")
    step_m = width_m * (1 - overlap)
    found = regions(area, width_m, step_m, rounds)
    nothing = np.zeros((0, 2, 2))
    if not found.rounds:
        why = EMPTY if area.is_empty else NARROW
        return Laid(found, width_m, step_m, np.nan, np.nan, (), nothing, why)
    if heading_deg is None and found.rest.is_empty:
        heading_deg = least_width(area).heading_deg
    elif heading_deg is None:
        heading_deg = fewest_turns(found, width_m, step_m)
    facing = _facing(area, heading_deg % 180, start)
    bouts = nothing if found.rest.is_empty else _bouts(found, width_m, step_m, facing, start)
    return Laid(found, width_m, step_m, heading_deg % 180, (facing - 90) % 360, found.rounds, bouts)


def _facing(area: BaseGeometry, heading_deg: float, start: tuple[float, float] | None) -> float:
    """Return the heading, one way or the other, that has the side to start from on its left."""
    if start is None:
        return heading_deg
    middle = turned(shapely.get_coordinates(shapely.box(*area.bounds).centroid), heading_deg)
    right = turned(np.array(start), heading_deg)[1] > middle[0, 1]
    return heading_deg + 180 if right else heading_deg


def _bouts(
    found: Regions,
    width_m: float,
    step_m: float,
    facing: float,
    start: tuple[float, float] | None,
) -> Floats:
    """Return the bouts in order; see :class:`Laid`."""
    rest = turned(shapely.get_coordinates(found.rest), facing)
    grid = lines(rest[None, :, 1], width_m, step_m)
    run = edges(np.array([found.run], dtype=object))
    pieces = scan(run._replace(ends=turned(run.ends, facing)), grid)
    begin = rest[:, 0].min() if start is None else float(turned(np.array(start), facing)[0])
    order = walk(pieces, step_m, begin)
    ends = _ends(pieces, float(grid.first[0]), step_m)[order.piece]
    ends[~order.forward] = ends[~order.forward, ::-1]
    return turned(ends, facing)


def _ends(pieces: Pieces, first: float, step_m: float) -> Floats:
    """Return both ends of each piece, from left to right."""
    y = first + pieces.line * step_m
    return np.stack([np.column_stack([pieces.left, y]), np.column_stack([pieces.right, y])], axis=1)
