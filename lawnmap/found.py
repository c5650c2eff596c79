"""What is found in a site plan: layers, features, a picture, heights; nothing of it is judged yet.

Everything here is frozen and stands as it does in the file, in the file's own coordinates; but a
surface is kept as an even grid in metres, cut to what a site needs of it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt


@dataclass(frozen=True)
class Layer:
    """One layer, folder or track of a site plan, as listed before choosing."""

    name: str
    count: int
    kinds: tuple[str, ...] = ()
    area_m2: float | None = None  # of all its outlines, where the file says in which unit it is


@dataclass(frozen=True)
class Feature:
    """One feature as it stands in the file.

    Attributes
    ----------
    geometry : dict
        A GeoJSON geometry object; positions are [x, y] or [x, y, z] in the file's CRS, x (east or
        longitude) first.
    properties : dict
        Attribute names to text, numbers, true/false or None.
    place : str
        Where it stands, for messages: ``feature 3 "Back lawn"``.
    """

    geometry: dict[str, Any]
    properties: dict[str, Any]
    place: str


@dataclass(frozen=True)
class Picture:
    """A plan that is a picture, known by its header alone: nothing of it is decoded yet.

    Attributes
    ----------
    data : bytes
        The file as it was admitted.
    kind : str
        ``png``, ``jpeg``, ``tiff`` or ``pdf``.
    width, height : int
        In pixels, as it will be decoded.
    grid : tuple of six floats or None
        x = a·column + b·row + c, y = d·column + e·row + f, in the order a, b, c, d, e, f, from
        pixels (0, 0 is the outer corner of the first pixel, rows go down) to the file's CRS; None
        when the picture does not say where it lies.
    page : int
        The page of a PDF, from 1.
    name : str
        Of its file, without the suffix.
    """

    data: bytes = field(repr=False)
    kind: str
    width: int
    height: int
    grid: tuple[float, float, float, float, float, float] | None = None
    page: int = 1
    name: str = ""


@dataclass(frozen=True)
class Heights:
    """Ground heights found in a file.

    Attributes
    ----------
    points : (n, 3) array
        x, y in the file's CRS, and the height [m].
    shape : tuple of int or None
        Rows and columns when the points are a grid, row by row (NaN where there is no height);
        None for single spot heights.
    """

    points: npt.NDArray[np.float64] = field(repr=False)
    shape: tuple[int, int] | None = None


@dataclass(frozen=True)
class SurfaceHeights:
    """Heights of what is seen from above, roofs and crowns with the ground, on an even grid.

    Attributes
    ----------
    heights : (rows, columns) array
        NaN where there is none [m].
    first : (float, float)
        Longitude and latitude of the middle of the first cell [°].
    column, row : (float, float)
        East and north from a cell to the next in its row, and to the one below, in the flat frame
        about the first [m].
    source : str
        Name of the file they were read from.
    read_on : date
    """

    heights: npt.NDArray[np.float64] = field(repr=False, compare=False)
    first: tuple[float, float]
    column: tuple[float, float]
    row: tuple[float, float]
    source: str
    read_on: dt.date


@dataclass(frozen=True)
class Found:
    """What a reader found in one layer of a site plan.

    Attributes
    ----------
    features : tuple of Feature
        In the file's order.
    crs : str or None
        As text that pyproj takes, ``OGC:CRS84`` for longitude/latitude; None when the file does
        not say.
    warnings : tuple of str
        What a person should know, each a whole sentence.
    local : bool
        Whether coordinates without a CRS are the plan's own, as in a drawing or a tape survey, so
        that nobody need be asked for one.
    unit_m : float or None
        Metres to one unit of the coordinates, settled by a reader that knows (by a drawing's
        header, or by what the person said against it).
    picture : Picture or None
        Instead of features: a plan that is a picture.
    heights : Heights or None
        Instead of features: ground heights.
    """

    features: tuple[Feature, ...]
    crs: str | None
    warnings: tuple[str, ...] = ()
    local: bool = False
    unit_m: float | None = None
    picture: Picture | None = None
    heights: Heights | None = None
