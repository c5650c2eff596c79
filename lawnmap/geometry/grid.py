"""The algebra of a picture's grid: from columns and rows to a map, and back through any curve.

Everywhere in lawnmap column 0, row 0 is the outer corner of the first pixel, so that its middle is
0.5, 0.5; rows go down. World files count from the middle of the first pixel, and GeoTIFF from
either, so each is shifted once, where it is read.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.wgs84 import A

Floats = npt.NDArray[np.float64]
Move = Callable[[Floats], Floats]
Box = tuple[float, float, float, float]
Size = tuple[float, float]

NARROWEST = 1e-6  # the sine of the angle between columns and rows, below which they are one line
STEPS = 8  # each gains four digits and more over a site
PIECES = 32  # of each side that are followed one by one: at 20 km a map bends 2 cm within one


class Grid(NamedTuple):
    """x = a·column + b·row + c, y = d·column + e·row + f, counted from the outer corner."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def apply(self, column_row: Floats) -> Floats:
        """Return (n, 2) places on the map from (n, 2) columns and rows."""
        column, row = column_row[:, 0], column_row[:, 1]
        return np.column_stack(
            [self.a * column + self.b * row + self.c, self.d * column + self.e * row + self.f]
        )

    def after(self, first: Grid) -> Grid:
        """Return the grid that does `first` and then this."""
        return Grid(
            a=self.a * first.a + self.b * first.d,
            b=self.a * first.b + self.b * first.e,
            c=self.a * first.c + self.b * first.f + self.c,
            d=self.d * first.a + self.e * first.d,
            e=self.d * first.b + self.e * first.e,
            f=self.d * first.c + self.e * first.f + self.f,
        )

    def shifted(self, pixels: float) -> Grid:
        """Return the grid when the same numbers counted from `pixels` right of and below 0, 0."""
        return self._replace(
            c=self.c - pixels * (self.a + self.b), f=self.f - pixels * (self.d + self.e)
        )

    @property
    def sound(self) -> bool:
        """Whether columns and rows are finite and lead in different directions."""
        right, down = np.hypot(self.a, self.d), np.hypot(self.b, self.e)
        across = abs(self.a * self.e - self.b * self.d)
        return bool(np.isfinite(self).all() and across > NARROWEST * right * down > 0)

    @property
    def mirrored(self) -> bool:
        """Whether the picture would have to be seen from behind."""
        return self.a * self.e - self.b * self.d > 0


def from_world_file(numbers: tuple[float, ...]) -> Grid:
    """Return the grid of the six numbers of a world file in their order A, D, B, E, C, F.

    Examples
    --------
    The example of the GDAL documentation (raster driver WLD): the outer corner is 440720, 3751320.

    >>> from_world_file((60, 0, 0, -60, 440750, 3751290))
    Grid(a=60, b=0, c=440720.0, d=0, e=-60, f=3751320.0)
    """
    a, d, b, e, c, f = numbers
    return Grid(a, b, c, d, e, f).shifted(0.5)


def from_tie(scale: tuple[float, float], tie: tuple[float, float, float, float]) -> Grid:
    """Return the upright grid of a pixel scale (x, y) and one tie point (column, row, x, y).

    Standard: OGC GeoTIFF 1.1 (19-008r4), ModelPixelScaleTag and ModelTiepointTag.
    """
    column, row, x, y = tie
    return Grid(scale[0], 0.0, x - column * scale[0], 0.0, -scale[1], y + row * scale[1])


def from_matrix(numbers: tuple[float, ...]) -> Grid:
    """Return the grid of the 16 numbers, row by row, of GeoTIFF's ModelTransformationTag."""
    return Grid(*(float(numbers[place]) for place in (0, 1, 3, 4, 5, 7)))


def upright(orientation: int, width: int, height: int) -> Grid:
    """Return where each place of a picture, once it is turned upright, was stored.

    Parameters
    ----------
    orientation : int
        Of the Exif tag 274, 1 to 8.
    width, height : int
        Of the picture as it is stored.
    """
    w, h = float(width), float(height)
    stored = {
        2: Grid(-1, 0, w, 0, 1, 0),
        3: Grid(-1, 0, w, 0, -1, h),
        4: Grid(1, 0, 0, 0, -1, h),
        5: Grid(0, 1, 0, 1, 0, 0),
        6: Grid(0, 1, 0, -1, 0, h),
        7: Grid(0, -1, w, -1, 0, h),
        8: Grid(0, -1, w, 1, 0, 0),
    }
    return stored.get(orientation, Grid(1, 0, 0, 0, 1, 0))


def fitted(move: Move, width: float, height: float) -> Grid:
    """Return the grid that comes nearest to `move` over a picture, by least squares."""
    source = lattice(width, height, 4).reshape(-1, 2)
    target = move(source)
    middle, aim = source.mean(axis=0), target.mean(axis=0)
    steps, *_ = np.linalg.lstsq(source - middle, target - aim, rcond=None)
    (a, d), (b, e) = steps.tolist()
    c, f = (aim - middle @ steps).tolist()
    return Grid(a, b, c, d, e, f)


def sought(move: Move, wanted: Floats, width: float, height: float) -> Floats:
    """Return the (n, 2) columns and rows that `move` brings to the `wanted` (n, 2) places.

    `move` has to be nearly straight over the picture, as any map projection is over a site: each
    step goes by the straight part and leaves an error that is smaller by the share of the rest.
    """
    near = fitted(move, width, height)
    forward = np.array([[near.a, near.b], [near.d, near.e]])
    back = np.linalg.inv(forward).T
    found = (wanted - np.array([near.c, near.f])) @ back
    for _ in range(STEPS):
        found = found + (wanted - move(found)) @ back
    return np.asarray(found, dtype=np.float64)


def lattice(width: float, height: float, pieces: int) -> Floats:
    """Return (pieces + 1, pieces + 1, 2) columns and rows spread evenly, edges included."""
    across, down = np.linspace(0, width, pieces + 1), np.linspace(0, height, pieces + 1)
    return np.stack(np.meshgrid(across, down), axis=-1)


def mesh(move: Move, box: Box, columns: list[int], rows: list[int], size: Size) -> Floats:
    """Return where a picture is to be fetched from, so that it fills a box evenly.

    Parameters
    ----------
    move : callable
        From (n, 2) columns and rows of the picture to the map that the box is in.
    box : (west, south, east, north)
    columns, rows : list of int
        Where pieces of the new picture meet, from 0 to its width and to its height.
    size : (width, height)
        Of the old picture.

    Returns
    -------
    (rows, columns, 2) array
        Column and row in the old picture.
    """
    west, south, east, north = box
    x = west + np.array(columns) * ((east - west) / columns[-1])
    y = north - np.array(rows) * ((north - south) / rows[-1])
    wanted = np.stack(np.meshgrid(x, y), axis=-1)
    return sought(move, wanted.reshape(-1, 2), *size).reshape(wanted.shape)


def meetings(length: int) -> list[int]:
    """Return whole pixels from 0 to `length` at which up to 32 pieces of a side meet."""
    return sorted({round(length * piece / PIECES) for piece in range(PIECES + 1)})


def edge(width: float, height: float) -> Floats:
    """Return (n, 2) columns and rows along the edge of a picture."""
    every = lattice(width, height, PIECES)
    return np.concatenate([every[0], every[1:, -1], every[-1, -2::-1], every[-2:0:-1, 0]])


def to_mercator(lonlat: Floats) -> Floats:
    """Return (n, 2) metres of Web Mercator (EPSG:3857), which map pages draw in, from degrees."""
    latitude = np.radians(lonlat[:, 1])
    return np.column_stack([A * np.radians(lonlat[:, 0]), A * np.arcsinh(np.tan(latitude))])


def from_mercator(metres: Floats) -> Floats:
    """Return (n, 2) degrees from (n, 2) metres of Web Mercator."""
    latitude = np.arctan(np.sinh(metres[:, 1] / A))
    return np.column_stack([np.degrees(metres[:, 0] / A), np.degrees(latitude)])


def box_of(points: Floats) -> Box:
    """Return west, south, east and north edge of (n, 2) points."""
    (west, south), (east, north) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return west, south, east, north
