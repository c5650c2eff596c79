"""A world file: six lines beside a picture that say where it lies.

The order of the lines is A, D, B, E, C, F, and C, F is the middle of the first pixel (GDAL
documentation, raster driver WLD).
"""

from __future__ import annotations

from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number
from lawnmap.files.utf8 import decode
from lawnmap.geometry.grid import Grid, from_world_file

LINES = 6
FARTHEST = 1e8  # no map has coordinates beyond this, in metres, feet or degrees


def world_file(data: bytes, name: str) -> Grid:
    """Return the grid that a world file says, from the outer corner of the first pixel.

    Raises
    ------
    InputRefused
        For anything but six plain numbers that span a plane; the message names the line.
    """
    lines = decode(data, name).rstrip().splitlines()
    if len(lines) != LINES:
        raise _refused(f"has {len(lines)} lines where a world file has six", name)
    numbers = tuple(_number(line, place, name) for place, line in enumerate(lines, 1))
    grid = from_world_file(numbers)
    if not grid.sound:
        raise _refused("has columns and rows that lie on one line", name, "lines 1 to 4")
    return grid


def _number(line: str, place: int, name: str) -> float:
    try:
        value = number(line)
    except ValueError as error:
        raise _refused(str(error), name, f"line {place}") from error
    if abs(value) > FARTHEST:
        raise _refused(f"{line.strip()} lies on no map", name, f"line {place}")
    return value


def _refused(problem: str, name: str, place: str = "") -> InputRefused:
    return InputRefused(
        problem,
        file=name,
        place=place,
        remedy="Correct it, or move it away and give control points.",
    )
