"""Where a GeoTIFF says it lies: its tags and keys (OGC GeoTIFF 1.1, 19-008r4).

Plain values in and out. Runs in the guarded child, since what it is given was read from the file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.geometry.grid import Grid, from_matrix, from_tie

SCALE, TIES, MATRIX, KEYS = 33550, 33922, 34264, 34735
MODEL_TYPE, RASTER_TYPE, GEODETIC, PROJECTED, LINEAR_UNIT = 1024, 1025, 2048, 3072, 3076
POINT = 2  # of the raster type: numbers belong to the middle of a pixel
GEOGRAPHIC = 2  # of the model type
USER_DEFINED = 32767
UNITS = {9002: "feet", 9003: "US survey feet"}
METRE = 9001
KEY = 4  # numbers to a key: its id, the tag its value stands in, a count, and the value
TIE = 6  # numbers to a tie point: column, row, level, x, y, z
CELLS = 16


@dataclass
class Tags:
    """What the tags say.

    Attributes
    ----------
    grid : Grid or None
        From the outer corner of the first stored pixel.
    crs : str or None
        An EPSG code that nobody has looked up yet.
    unit : str
        A unit of length other than the metre, in words.
    warnings : list of str
    """

    grid: Grid | None = None
    crs: str | None = None
    unit: str = ""
    warnings: list[str] = field(default_factory=list)


def tags(found: Mapping[int, Any]) -> Tags:
    """Return what the tags of a TIFF say of its place.

    Parameters
    ----------
    found : mapping of int to value
        By number, as Pillow has them in ``tag_v2``.

    Raises
    ------
    InputRefused
        When they say it and it cannot be: too few numbers, or columns and rows on one line.
    """
    told = Tags()
    keys = _keys([int(value) for value in _numbers(found, KEYS)])
    told.grid = _grid(found, told.warnings)
    if told.grid is not None:
        if keys.get(RASTER_TYPE) == POINT:
            told.grid = told.grid.shifted(0.5)
        if not told.grid.sound:
            raise _unsound("its columns and rows lie on one line")
    _say_crs(keys, told)
    return told


def _numbers(found: Mapping[int, Any], tag: int) -> list[float]:
    value = found.get(tag, ())
    values = value if isinstance(value, Sequence) and not isinstance(value, str) else (value,)
    return [float(each) for each in values]


def _keys(numbers: list[int]) -> dict[int, int]:
    """Return the keys whose value is one short number, which is all that is used here."""
    entries = [numbers[at : at + KEY] for at in range(KEY, len(numbers), KEY)]
    return {entry[0]: entry[3] for entry in entries if len(entry) == KEY and entry[1] == 0}


def _grid(found: Mapping[int, Any], warnings: list[str]) -> Grid | None:
    scale, ties, matrix = (_numbers(found, tag) for tag in (SCALE, TIES, MATRIX))
    if matrix:
        if len(matrix) < CELLS:
            raise _unsound("its transformation has fewer than 16 numbers")
        return from_matrix(tuple(matrix))
    if scale and ties:
        if len(scale) < len("xy") or len(ties) < TIE:
            raise _unsound("its scale or its tie point is cut short")
        return from_tie((scale[0], scale[1]), (ties[0], ties[1], ties[3], ties[4]))
    if len(ties) > TIE:
        warnings.append(
            f"The file ties {len(ties) // TIE} places to the earth without a scale; that is not "
            "used. Give them as control points."
        )
    return None


def _unsound(why: str) -> InputRefused:
    return InputRefused(
        f"says where it lies, and that cannot be: {why}",
        remedy="Export it again, or strip its tags and give control points.",
    )


def _say_crs(keys: Mapping[int, int], told: Tags) -> None:
    geographic = keys.get(MODEL_TYPE) == GEOGRAPHIC or PROJECTED not in keys
    code = keys.get(GEODETIC if geographic else PROJECTED)
    told.unit = "" if geographic else UNITS.get(keys.get(LINEAR_UNIT, METRE), "")
    if code is None or code == 0:
        return
    if code < USER_DEFINED:
        told.crs = f"EPSG:{code}"
        return
    unit = f" in {told.unit}" if told.unit else ""
    told.warnings.append(
        f"The file describes a CRS of its own{unit} instead of naming one: ask whoever made it and "
        "give --crs."
    )
