"""Coordinate reference systems: the one place where coordinates come in from another one, or go."""

from __future__ import annotations

import re
import warnings
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pyproj
import shapely
from pyproj.enums import TransformDirection
from pyproj.exceptions import ProjError

from lawnmap.errors import InputRefused

LONLAT = "OGC:CRS84"
# Of a PROJ string ("proj=pipeline …", "init=FILE:code") PROJ would run the steps and open the file,
# and of a WKT the grids that it names; a named pipe in their place is waited for without end.
FOLLOWED = re.compile(
    r"\s*[/.@+{]|.*://|[^\[(]*=|.*(?:PARAMETERFILE|GRIDS(?!=@null[^\w,])|FILE=|INIT=)",
    re.DOTALL | re.IGNORECASE,
)

# A code, WKT, or the bare number of a code; anything else PROJ looks for among the names it has.
CODED = re.compile(r"\s*(?:\w+:|\w+\s*[\[(]|\d+$)")


def known(text: str) -> pyproj.CRS:
    """Return the CRS that `text` names.

    Parameters
    ----------
    text : str
        An authority code such as ``EPSG:27700``, or WKT.

    Raises
    ------
    InputRefused
        When PROJ does not know it, or it has no horizontal coordinates on the earth. Files,
        addresses and pipelines are not followed.
    """
    letters = "".join(text.split())
    if not letters or not letters.isprintable() or FOLLOWED.match(text):
        raise InputRefused(f"{text[:60]!r} is not a CRS", remedy="Give a code such as EPSG:27700.")
    try:
        crs = pyproj.CRS.from_user_input(text)
    except ProjError as error:
        raise InputRefused(
            f"the CRS {text[:60]!r} is not known", remedy="Give a code such as EPSG:27700."
        ) from error
    if not CODED.match(text) and _bare(text) not in _bare_names(crs):
        # The nearest name would do for PROJ: "ETRS89 / UTM zone 3" came out as zone 33.
        raise InputRefused(
            f"the CRS {text[:60]!r} is not known; by its name the nearest is {crs.name!r}",
            remedy="Give a code such as EPSG:27700.",
        )
    if crs.is_compound:
        crs = crs.sub_crs_list[0]
    if crs.is_geocentric or crs.is_vertical or crs.is_engineering:
        raise InputRefused(
            f"the CRS {crs.name} is not a map or longitude/latitude",
            remedy="Give the projected CRS of the plan.",
        )
    return crs


def _bare_names(crs: pyproj.CRS) -> set[str]:
    """Return what may stand for a CRS: its name, and that of the projection alone."""
    return {_bare(crs.name), _bare(crs.name.rpartition("/")[2])}


def _bare(name: str) -> str:
    return "".join(char for char in name.casefold() if char.isalnum())


def to_lonlat(shapes: npt.NDArray[np.object_], crs: str) -> npt.NDArray[np.object_]:
    """Return shapes in `crs` (x or longitude first) as longitude/latitude on WGS 84.

    Raises
    ------
    InputRefused
        When a coordinate has no place on the earth in that CRS.
    """
    found = known(crs)
    if is_lonlat(found):
        return shapes
    transformer = _transformer(crs)

    def moved(xy: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return np.column_stack(transformer.transform(xy[:, 0], xy[:, 1]))

    result = np.asarray(shapely.transform(shapes, moved), dtype=object)
    if not np.isfinite(shapely.get_coordinates(result)).all():
        raise InputRefused(f"some coordinates have no place in {found.name}", remedy="Check --crs.")
    return result


def from_lonlat(shapes: npt.NDArray[np.object_], crs: str) -> npt.NDArray[np.object_]:
    """Return shapes in longitude/latitude on WGS 84 as they lie in `crs` (x or longitude first).

    It is the way of :func:`to_lonlat` gone backwards, so that what came in from `crs` lies where it
    lay within a few nanometres, whichever datum shift was at hand.

    Raises
    ------
    InputRefused
        When `crs` is none, or a coordinate has no place in it.
    """
    found = known(crs)
    if is_lonlat(found):
        return shapes
    transformer = _transformer(crs)

    def back(lon: Any, lat: Any) -> npt.NDArray[np.float64]:
        return np.array(transformer.transform(lon, lat, direction=TransformDirection.INVERSE))

    def moved(lonlat: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        # A shift by seven numbers is turned round by their signs: 1 mm off in Britain. There and
        # back once more tells how much.
        near = back(lonlat[:, 0], lonlat[:, 1])
        again = back(*transformer.transform(near[0], near[1]))
        with np.errstate(invalid="ignore"):  # infinite where there is no place; looked for below
            found: npt.NDArray[np.float64] = (near - (again - near)).T
        return found

    result = np.asarray(shapely.transform(shapes, moved), dtype=object)
    if not np.isfinite(shapely.get_coordinates(result)).all():
        raise InputRefused(f"the site has no place in {found.name}", remedy="Choose another CRS.")
    return result


@lru_cache(maxsize=8)
def _transformer(crs: str) -> pyproj.Transformer:
    """Return the way from `crs` to longitude/latitude; making one costs 11 ms."""
    found = known(crs)
    try:
        return pyproj.Transformer.from_crs(found.to_2d(), LONLAT, always_xy=True)
    except ProjError as error:  # a projection, described in full, that PROJ has no formula for
        raise InputRefused(
            f"there is no way from {found.name[:60]} to longitude and latitude",
            remedy="Give a code such as EPSG:27700.",
        ) from error


def is_lonlat(crs: pyproj.CRS) -> bool:
    """Tell whether coordinates in `crs` already are longitude/latitude on WGS 84."""
    code: Any = crs.to_authority()
    return code in {("OGC", "CRS84"), ("OGC", "CRS84h"), ("EPSG", "4326"), ("EPSG", "4979")}


def uncertain_by_metres(crs: str) -> bool:
    """Tell whether the best datum shift at hand is missing its grid file.

    Raises
    ------
    InputRefused
        When there is no way to longitude/latitude at all.
    """
    found = known(crs)
    if is_lonlat(found):
        return False
    _transformer(crs)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # pyproj says the same with an address to download from
        group = pyproj.transformer.TransformerGroup(found.to_2d(), LONLAT, always_xy=True)
    return not group.best_available
