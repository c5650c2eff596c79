"""A picture given to the guarded child to be redrawn straight, and what came back."""

from __future__ import annotations

import base64
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from lawnmap.files import child
from lawnmap.geometry import grid as grids
from lawnmap.geometry.grid import Box, Move

Floats = npt.NDArray[np.float64]

LONGEST_SIDE = 2_500  # pixels of a backdrop: a site 125 m wide at 5 cm


@dataclass(frozen=True)
class Image:
    """A picture as a file: its kind, its size in pixels, and its page if it is a PDF."""

    data: bytes = field(repr=False)
    kind: str
    width: int
    height: int
    page: int = 1


@dataclass(frozen=True)
class Redrawn:
    """A picture redrawn between bounds, with these and its size as facts."""

    data: bytes = field(repr=False)
    facts: dict[str, Any]


def redrawn(image: Image, to_lonlat: Move, outline: Floats) -> Redrawn:
    """Return a picture redrawn straight in Web Mercator, in the guarded child.

    Parameters
    ----------
    image : Image
    to_lonlat : callable
        From its columns and rows to longitude/latitude.
    outline : (n, 2) array
        Longitude/latitude of the edge of the paper; the new picture ends there.
    """

    def forward(column_row: Floats) -> Floats:
        return grids.to_mercator(to_lonlat(column_row))

    size = (image.width, image.height)
    box = grids.box_of(grids.to_mercator(outline))
    columns, rows = (grids.meetings(side) for side in _size(forward, size, box))
    told = child.run(
        "lawnmap.readers.picture.warp:warped",
        {f"plan.{image.kind}": image.data},
        {
            "file": f"plan.{image.kind}",
            "kind": image.kind,
            "page": image.page,
            "columns": columns,
            "rows": rows,
            "mesh": grids.mesh(forward, box, columns, rows, size).tolist(),
        },
    )
    corners = grids.from_mercator(np.array([box[:2], box[2:]])).ravel().tolist()
    facts = {"bounds": corners, "width": int(told["width"]), "height": int(told["height"])}
    return Redrawn(base64.b64decode(told["webp"], validate=True), facts)


def _size(forward: Move, size: tuple[int, int], box: Box) -> tuple[int, int]:
    """Return width and height in which no pixel is lost, or the largest that a page can bear."""
    near = grids.fitted(forward, *size)
    pixel = float(np.sqrt(abs(near.a * near.e - near.b * near.d)))
    wide, high = box[2] - box[0], box[3] - box[1]
    pixel = max(pixel, wide / LONGEST_SIDE, high / LONGEST_SIDE)
    return max(1, round(wide / pixel)), max(1, round(high / pixel))
