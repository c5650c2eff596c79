"""Shapes checked by arrays: kind, numbers, place, size, soundness."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely
from shapely.errors import ShapelyError

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.files.limits import BULK
from lawnmap.geometry.crs import to_lonlat
from lawnmap.geometry.validity import flaw
from lawnmap.jobs.sites.door.arrow import pa
from lawnmap.jobs.sites.door.trouble import Trouble

Shapes = npt.NDArray[np.object_]

GEOMETRY = "geometry"
WEST_EAST, SOUTH_NORTH = 180.0, 90.0


def decoded(wkb: pa.Array, trouble: Trouble) -> Shapes:
    """Return shapes from WKB; what cannot be decoded is told."""
    binary = wkb.to_numpy(zero_copy_only=False)
    with np.errstate(invalid="ignore"):  # what is not a number is told in `checked`
        shapes = np.asarray(shapely.from_wkb(binary, on_invalid="ignore"), dtype=object)
    for row in np.flatnonzero(shapely.is_missing(shapes)):
        if binary[row] is not None:
            trouble.add(int(row), GEOMETRY, f"its shape cannot be read ({_why(binary[row])})")
    return shapes


def checked(shapes: Shapes, what: Shapes, crs: str, trouble: Trouble) -> Shapes:
    """Return sound shapes in longitude and latitude; each that is none is told.

    Parameters
    ----------
    shapes : (n,) array
        In `crs`, x or longitude first.
    what : (n,) array of str or None
        What each is: ``zone``, or another of the schema's features.
    crs : str
    trouble : Trouble
    """
    _empty(shapes, trouble)
    _kinds(shapes, what, trouble)
    _sizes(shapes, trouble)
    if shapely.has_z(shapes).any():
        shapes = np.asarray(shapely.force_2d(shapes), dtype=object)
    _finite(shapes, trouble)
    shapes = _placed(shapes, crs, trouble)
    _in_range(shapes, trouble)
    for row in np.flatnonzero(~trouble.bad & ~shapely.is_valid(shapes)):
        found = flaw(shapes[row])
        where = f" at {found.x:.7f}, {found.y:.7f}" if found else ""
        trouble.add(int(row), GEOMETRY, f"{found.words if found else 'it is not valid'}{where}")
    return shapes


def looks_like_metres(shapes: Shapes) -> bool:
    """Tell whether none of some shapes, in degrees as is said, could lie on the earth so."""
    furthest = np.abs(shapely.bounds(shapes)).max(axis=1, initial=0)
    furthest = furthest[~np.isnan(furthest)]
    return bool(len(furthest)) and bool(furthest.min() > 2 * WEST_EAST)


def _why(wkb: bytes) -> str:
    try:
        shapely.from_wkb(wkb)
    except (ShapelyError, ValueError) as error:
        # The library names its exception first; what follows is for people.
        return str(error).rpartition("Exception: ")[2][:80]
    return "not WKB"


def _empty(shapes: Shapes, trouble: Trouble) -> None:
    none = shapely.is_missing(shapes) | shapely.is_empty(shapes)
    trouble.add_all(np.flatnonzero(none), GEOMETRY, "it has no shape")


def _kinds(shapes: Shapes, what: Shapes, trouble: Trouble) -> None:
    kinds = shapely.get_type_id(shapes)
    codes, words = pd.factorize(what)
    for code, word in enumerate(words):
        fitting = [shapely.GeometryType[each.upper()] for each in schema.FEATURES.get(word, ())]
        for row in np.flatnonzero(~trouble.bad & (codes == code) & ~np.isin(kinds, fitting)):
            said = f"its shape is a {shapes[row].geom_type}, and a {word} is a {_allowed(word)}"
            trouble.add(int(row), GEOMETRY, said)
    srids = shapely.get_srid(shapes)
    # Extended WKB names a CRS of each shape; a table has one.
    named = srids[~trouble.bad & (srids != 0)]
    if len(np.unique(named)) > 1:
        trouble.add_all(
            np.flatnonzero(srids != 0), GEOMETRY, "its shape names a CRS, and others name another"
        )


def _allowed(word: str) -> str:
    """Return the kinds of shape that a feature may have, as a person says them."""
    kinds = (each for each in schema.FEATURES[word] if not each.startswith("Multi"))
    return " or a ".join(each.removesuffix("String").lower() for each in kinds)


def _sizes(shapes: Shapes, trouble: Trouble) -> None:
    vertices = shapely.get_num_coordinates(shapes)
    for row in np.flatnonzero(vertices > BULK.vertices):
        trouble.add(
            int(row),
            GEOMETRY,
            f"it has {int(vertices[row]):,} vertices, and {BULK.vertices:,} is the most",
        )


def _finite(shapes: Shapes, trouble: Trouble) -> None:
    xy, row = shapely.get_coordinates(shapes, return_index=True)
    wrong = np.unique(row[~np.isfinite(xy).all(axis=1)])
    trouble.add_all(wrong, GEOMETRY, "a coordinate is not a finite number")


def _placed(shapes: Shapes, crs: str, trouble: Trouble) -> Shapes:
    """Return good shapes in longitude and latitude; where one has no place, that is told."""
    good = np.flatnonzero(~trouble.bad)
    moved = shapes.copy()
    moved[trouble.bad] = None
    try:
        moved[good] = to_lonlat(shapes[good], crs)
    except InputRefused:  # few files have such a shape: they are found one by one
        for row in good:
            try:
                moved[row] = to_lonlat(shapes[[row]], crs)[0]
            except InputRefused as error:
                moved[row] = None
                trouble.add(int(row), GEOMETRY, error.problem)
    return moved


def _in_range(shapes: Shapes, trouble: Trouble) -> None:
    west, south, east, north = shapely.bounds(shapes).T
    for low, high, most, axis in (
        (west, east, WEST_EAST, "longitude"),
        (south, north, SOUTH_NORTH, "latitude"),
    ):
        furthest = np.where(np.abs(low) > np.abs(high), low, high)
        for row in np.flatnonzero(np.abs(furthest) > most):
            trouble.add(int(row), GEOMETRY, f"{axis} {furthest[row]:.12g} is out of range")
    for row in np.flatnonzero((east - west > WEST_EAST) & ~trouble.bad):
        trouble.add(int(row), GEOMETRY, "it reaches across the 180° meridian: cut it there")
