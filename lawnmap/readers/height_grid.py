"""A TIFF with one number a cell as ground heights: decoded in the guarded child, unpacked outside.

Heights are metres as the file has them. A cell without one is told by the tag that GDAL writes for
it (42113), or holds what no ground on earth has.
"""

from __future__ import annotations

import base64
import binascii
import contextlib
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number
from lawnmap.found import Heights
from lawnmap.geometry.grid import Grid

NODATA = 42113  # an ASCII tag
MOST_CELLS = 4_000_000
HIGHEST_M = 12_000.0  # and as deep: no ground on earth is
PACKED = np.dtype("<f4")  # to 0.5 mm at 8,000 m, and half as long as doubles
LEAST = 3  # rows and columns
Floats = npt.NDArray[np.float64]


def read(file: str, grid: list[float] | None = None) -> dict[str, Any]:
    """Return the heights in a TIFF as plain JSON. Runs inside the child.

    Parameters
    ----------
    file : str
        In the working folder.
    grid : list of six floats, optional
        Where the cells lie; see :class:`lawnmap.model.Picture`.

    Returns
    -------
    dict
        ``shape``, rows and columns; ``heights``, 32-bit floats row by row in base64, NaN where
        there is none; ``warnings``.

    Raises
    ------
    InputRefused
        When it does not say where it lies, is too large or damaged, or holds no height.
    """
    from lawnmap.readers.picture import image as picture_image

    if grid is None:
        raise InputRefused(
            "the heights do not say where they lie",
            remedy="Ask for them as GeoTIFF, or with the world file that belongs to them.",
        )
    with picture_image.opened(file, "tiff") as image:
        check_size(*image.size)
        if not picture_image.is_heights(image):
            raise InputRefused("is a picture and no grid of heights", remedy="Read it as a plan.")
        nodata = getattr(image, "tag_v2", {}).get(NODATA)
        image.load()
        # A copy: the picture's own memory goes when it is closed.
        cells = np.array(image, dtype=np.float64)
    heights, warnings = _without_gaps(cells, nodata)
    packed = base64.b64encode(heights.astype(PACKED).tobytes()).decode("ascii")
    return {"shape": list(heights.shape), "heights": packed, "warnings": warnings}


def unpack(answer: Mapping[str, Any], grid: tuple[float, ...] | list[float]) -> Heights:
    """Return what the child told as points in the middle of each cell. Runs outside.

    Parameters
    ----------
    answer : mapping
        As :func:`read` made it, believed no more than the file.
    grid : six floats
        From columns and rows to the file's CRS.

    Raises
    ------
    InputRefused
        When the answer is out of form.
    """
    try:
        rows, columns = (int(side) for side in answer["shape"])
        check_size(columns, rows)
        data = base64.b64decode(answer["heights"], validate=True)
        heights = np.frombuffer(data, PACKED).reshape(rows, columns).astype(np.float64)
        placed = Grid(*(float(each) for each in grid))
    except (KeyError, TypeError, ValueError, OverflowError, binascii.Error) as error:
        if isinstance(error, InputRefused):
            raise
        raise InputRefused("the heights could not be handed over") from error
    with np.errstate(over="ignore", invalid="ignore"):
        sound = placed.sound and not np.isinf(heights).any()
    if not sound:
        raise InputRefused(
            "the heights or their place are not numbers", remedy="Export them again."
        )
    row, column = np.indices(heights.shape, dtype=np.float64).reshape(2, -1) + 0.5
    xy = placed.apply(np.column_stack([column, row]))
    return Heights(np.column_stack([xy, heights.ravel()]), (rows, columns))


def check_size(columns: int, rows: int) -> None:
    """Refuse a grid of too many cells, or too few to tell a slope from."""
    if columns * rows > MOST_CELLS:
        raise InputRefused(
            f"has {columns:,} by {rows:,} heights",
            remedy=f"At most {MOST_CELLS:,} are read: cut it down to the site.",
        )
    if min(columns, rows) < LEAST:
        raise InputRefused(
            f"has {columns} by {rows} heights, too few to tell a slope",
            remedy="Give at least 3 by 3.",
        )


def _without_gaps(cells: Floats, nodata: Any) -> tuple[Floats, list[str]]:
    """Return the heights with NaN where there is none, and what was left out unasked."""
    heights = cells.copy()
    marker = _marker(nodata)
    if marker is not None:
        # A marker such as -3.4e38 is written in full, and the cells hold its nearest float.
        with np.errstate(over="ignore"):
            heights[(cells == marker) | (cells == float(np.float32(marker)))] = np.nan
    strange = ~np.isnan(heights) & ~(np.abs(heights) <= HIGHEST_M)
    heights[strange] = np.nan
    if np.isnan(heights).all():
        raise InputRefused(
            "holds no height: every cell is marked as empty",
            remedy="Ask for the tile that covers the site.",
        )
    count = int(strange.sum())
    told = [f"{count:,} cells hold no height on earth and were taken as empty."] if count else []
    return heights, told


def _marker(nodata: Any) -> float | None:
    """Return the number that marks an empty cell; None when there is none, or it is NaN itself."""
    with contextlib.suppress(ValueError):
        return number(str(nodata).strip("\0 "))
    return None
