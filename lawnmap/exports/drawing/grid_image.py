"""A figure on a grid over the lawn as a small picture to lie on a map, and its key.

A class is a colour of one range, each lighter or darker than the one before: people who do not
tell hues apart, and a print in grey, still see the order.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.agronomy.ratings import Bands, rating
from lawnmap.exports.drawing.themes import PALETTES
from lawnmap.exports.wording.bands import INFINITY, band_label
from lawnmap.grids import GridMap
from lawnmap.reference.tables import bands

SIGNATURE = b"\x89PNG\r\n\x1a\n"
PALETTE_KIND = 3  # of a PNG: each pixel is the number of a colour
NO_LAWN = 0  # the number of the colour that is clear


class Scale(NamedTuple):
    """How the cells of a grid are classed: bands in a unit, and the colour of each."""

    bands: Bands
    colours: tuple[str, ...]
    unit: str


SUN = Scale(
    # Only groups what is shown; decides nothing. Four and six hours are published limits of grass.
    bands=((0, 2), (2, 4), (4, 6), (6, 8), (8, 10), (10, 12), (12, INFINITY)),
    colours=("#23264f", "#3f4a86", "#6771a6", "#929bc0", "#bdbdb5", "#dccf93", "#f8e491"),
    unit="h",
)
SCALES = {"sun": SUN, "thatch": Scale(bands("thatch"), PALETTES["thatch"], "mm")}


class GridImage(NamedTuple):
    """A picture that lies between four edges, north up.

    Attributes
    ----------
    png : bytes
        8 bits a pixel with a palette, one pixel a cell; clear off the lawn.
    bounds : tuple of float
        West, south, east and north edge [°].
    """

    png: bytes
    bounds: tuple[float, float, float, float]


class Step(NamedTuple):
    """A line of the key."""

    label: str
    colour: str


def image(grid: GridMap, scale: Scale) -> GridImage:
    """Return a grid as a picture.

    It is even in longitude and latitude; over a lawn a web map's own projection differs from that
    by centimetres.
    """
    numbers = _classes(grid, scale) + 1
    return GridImage(_png(numbers, [_rgb(each) for each in scale.colours]), grid.bounds)


def key(grids: Sequence[GridMap], scale: Scale, units: str = "metric") -> list[Step]:
    """Return the classes that occur on some grids, the lowest first."""
    there = sorted({int(c) for grid in grids for c in np.unique(_classes(grid, scale)) if c >= 0})
    return [
        Step(band_label(*scale.bands[each], scale.unit, units), scale.colours[each])
        for each in there
    ]


def _classes(grid: GridMap, scale: Scale) -> npt.NDArray[np.int64]:
    """Return the class of each cell, from 0; −1 off the lawn."""
    found = rating(grid.cells.astype(np.float64), scale.bands)
    return np.where(np.isnan(found), -1, found).astype(np.int64)


def _rgb(colour: str) -> bytes:
    return bytes.fromhex(colour.removeprefix("#"))


def _png(numbers: npt.NDArray[np.int64], colours: Sequence[bytes]) -> bytes:
    """Return a palette PNG (ISO/IEC 15948); number 0 is clear, and 1 the first colour."""
    rows, columns = numbers.shape
    lines = np.zeros((rows, columns + 1), dtype=np.uint8)  # each begins with its filter: none
    lines[:, 1:] = numbers
    header = struct.pack(">IIBBBBB", columns, rows, 8, PALETTE_KIND, 0, 0, 0)
    chunks = (
        (b"IHDR", header),
        (b"PLTE", b"\0\0\0" + b"".join(colours)),
        (b"tRNS", bytes([NO_LAWN])),
        (b"IDAT", zlib.compress(lines.tobytes(), 9)),
        (b"IEND", b""),
    )
    return SIGNATURE + b"".join(_chunk(name, data) for name, data in chunks)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
