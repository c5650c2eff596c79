"""The surface of a site, roofs and crowns with the ground: ``surface.json``, an even grid.

``cm`` holds the heights row by row as whole centimetres, null where there is none. ``first`` is the
longitude and latitude of the first cell; ``column`` and ``row`` are the metres east and north from
a cell to the next in its row, and to the one below.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import TYPE_CHECKING, Any

import numpy as np

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.disk import DISK, Disk
from lawnmap.found import SurfaceHeights
from lawnmap.geometry.relief import Steps
from lawnmap.store.inside import kept

if TYPE_CHECKING:
    from lawnmap.store.folder import Folder

NAME = "surface.json"
FORMAT = 1
MOST_CELLS = 250_000
LEAST = 3  # rows and columns
COARSEST_M = 2.0  # from a cell to the next: a coarser one has neither walls nor trees
HIGHEST_CM = 1_200_000
EAST, NORTH = 180.0, 89.0
LONGEST_NAME = 100
REMEDY = f"Move {NAME} out of the folder and read the surface again."
BROKEN = (KeyError, TypeError, ValueError, AttributeError, OverflowError)


def encode(surface: SurfaceHeights) -> bytes:
    """Return the file; :func:`parse` tells whether it is one that a site can have."""
    cells = [
        round(100 * height) if math.isfinite(height) else None
        for height in surface.heights.ravel().tolist()
    ]
    value = {
        "format": FORMAT,
        "source": surface.source[:LONGEST_NAME],
        "read_on": surface.read_on.isoformat(),
        "first": list(surface.first),
        "column": list(surface.column),
        "row": list(surface.row),
        "shape": list(surface.heights.shape),
        "cm": cells,
    }
    return (json_text.dumps(value) + "\n").encode("utf-8")


def parse(data: bytes) -> SurfaceHeights:
    """Return the surface in the file.

    Raises
    ------
    InputRefused
        When it is damaged or of a newer lawnmap.
    """
    value = json_text.loads(data, name=NAME)
    try:
        return _parsed(value)
    except BROKEN as error:
        raise InputRefused("is damaged, or of a newer lawnmap", file=NAME, remedy=REMEDY) from error


def read(folder: Folder, *, disk: Disk = DISK) -> SurfaceHeights | None:
    """Return the surface of a site; None when it has none.

    Raises
    ------
    InputRefused
        When the file leads out of the folder, or cannot be opened.
    SiteDamaged
        When it is not as it was written. Nothing is overwritten.
    """
    return kept(folder, NAME, parse, remedy=REMEDY, disk=disk)


def side_m(steps: Steps) -> float:
    """Return the longer side of a cell, by which it is too coarse or not [m]."""
    return float(max(np.hypot(*steps.column), np.hypot(*steps.row)))


def _parsed(value: Any) -> SurfaceHeights:
    rows, columns = value["shape"]
    cells = value["cm"]
    whole = {type(each) for each in (rows, columns, value["format"])} == {int}
    if not whole or value["format"] != FORMAT or min(rows, columns) < LEAST:
        raise ValueError("no grid")
    if rows * columns > MOST_CELLS or len(cells) != rows * columns:
        raise ValueError("another number of cells")
    if not {type(each) for each in cells} <= {int, type(None)}:
        raise ValueError("not in whole centimetres")
    heights = np.array([math.nan if each is None else each for each in cells], dtype=np.float64)
    if np.isnan(heights).all() or not np.nanmax(np.abs(heights)) <= HIGHEST_CM:
        raise ValueError("no heights on earth")
    first, column, row = (_pair(value[name]) for name in ("first", "column", "row"))
    if abs(first[0]) > EAST or abs(first[1]) > NORTH:
        raise ValueError("not on earth")
    steps = Steps(column, row)
    if not (steps.narrowest_m > 0 and side_m(steps) <= COARSEST_M):
        raise ValueError("no even cells")
    return SurfaceHeights(
        heights.reshape(rows, columns) / 100,
        first,
        column,
        row,
        str(value["source"])[:LONGEST_NAME],
        dt.date.fromisoformat(value["read_on"]),
    )


def _pair(value: Any) -> tuple[float, float]:
    one, other = (float(each) for each in value)
    return one, other
