"""Lines laid, lifted and proven for one ground and one machine, each worked out once.

A plan is made anew each time it is asked for, and most of it is as it was; the same ground gives
the same lines, so they are kept while the program runs.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.passes.laying import Laid, lay
from lawnmap.geometry.passes.lifts import Lifted, lifted
from lawnmap.geometry.passes.swaths import Cover, cover

KEPT = 256  # grounds


class Working(NamedTuple):
    """How a machine works some ground.

    Attributes
    ----------
    width_m : float
        Working width [m].
    overlap : float
        Share of it covered twice.
    rounds : int
        Rounds along the edges.
    start : (float, float) or None
        Where one comes from [m].
    """

    width_m: float
    overlap: float
    rounds: int
    start: tuple[float, float] | None


class Worked(NamedTuple):
    """Lines as laid, as cut where blades are up, and what they cover."""

    laid: Laid
    lifted: Lifted
    cover: Cover


def worked(
    area: BaseGeometry,
    working: Working,
    heading_deg: float | None,
    things: npt.NDArray[np.object_],
    keep_m: npt.NDArray[np.float64],
) -> Worked:
    """Return the lines of some ground.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        In metres.
    working : Working
    heading_deg : float or None
        None for the one of fewest turns [°].
    things : (n,) array of points and lines
        What lies hidden, in metres.
    keep_m : (n,) array
        Distance that blades keep from each [m].
    """
    # A thing with its strip: the blades reach half a width to either side of the centre line.
    hidden = shapely.buffer(things, keep_m)
    near = hidden[shapely.dwithin(hidden, area, working.width_m)] if len(hidden) else hidden
    return _worked(
        shapely.to_wkb(area), working, heading_deg, tuple(shapely.to_wkb(each) for each in near)
    )


@lru_cache(maxsize=KEPT)
def _worked(
    area: bytes, working: Working, heading_deg: float | None, hidden: tuple[bytes, ...]
) -> Worked:
    laid = lay(
        shapely.from_wkb(area),
        working.width_m,
        overlap=working.overlap,
        rounds=working.rounds,
        heading_deg=heading_deg,
        start=working.start,
    )
    strips = np.array([shapely.from_wkb(each) for each in hidden], dtype=object)
    cut = lifted(laid.bouts, laid.rounds, strips, working.width_m / 2)
    reach, width_m = laid.regions.reach, laid.width_m
    found = cover(laid.regions.area, reach, cut.bouts, cut.rounds, width_m)
    # The strips themselves are ground of the rake already, and counted there.
    left = shapely.difference(found.left, shapely.union_all(strips)) if len(strips) else found.left
    return Worked(laid, cut, found._replace(left=left))
