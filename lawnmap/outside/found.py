"""What a reader of somebody else gives: layers, and what is found in one."""

from __future__ import annotations

import math
from typing import Any

from lawnmap.errors import LawnmapError
from lawnmap.found import Feature, Found, Layer
from lawnmap.geometry.crs import known
from lawnmap.outside.unfit import Unfit

GEOMETRIES = ("Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon")

PLAIN = (str, int, float, bool, type(None), dict, list)  # exactly: what else is a float is not JSON


def layers(given: Any) -> list[Layer]:
    """Return layers that are such.

    Raises
    ------
    Unfit
    """
    if not isinstance(given, list | tuple) or not all(isinstance(one, Layer) for one in given):
        raise Unfit("look gives no list of lawnmap.found.Layer")
    if not all(isinstance(one.name, str) and isinstance(one.count, int) for one in given):
        raise Unfit("a layer has a name, and a whole number of features")
    return list(given)


def found(given: Any, asked: str | None) -> Found:
    """Return what was found when it is such; a CRS that was asked for is the person's to mend.

    Raises
    ------
    Unfit
    """
    if not isinstance(given, Found):
        raise Unfit("read gives no lawnmap.found.Found")
    if given.crs != asked:
        _check_crs(given.crs)
    if given.unit_m is not None and not 0 < given.unit_m < math.inf:
        raise Unfit(f"its unit is {given.unit_m} m")
    if not all(isinstance(each, str) for each in given.warnings):
        raise Unfit("its warnings are no sentences")
    for number, each in enumerate(given.features, 1):
        _check_feature(each, number)
    return given


def _check_crs(crs: Any) -> None:
    if crs is None:
        return
    try:
        known(crs)
    except (LawnmapError, TypeError, AttributeError) as error:
        raise Unfit(f"{str(crs)[:60]!r} is no CRS that is known") from error


def _check_feature(feature: Any, number: int) -> None:
    """Look at the parts of a feature; its positions are checked as those of every plan."""
    if not isinstance(feature, Feature) or not isinstance(feature.place, str):
        raise Unfit(f"feature {number} is no lawnmap.found.Feature with its place")
    place = feature.place or f"feature {number}"
    if not isinstance(feature.properties, dict):
        raise Unfit(f"{place} has no dict of properties")
    for name, value in feature.properties.items():
        if type(value) is float and math.isnan(value):
            raise Unfit(f"{place}: its attribute {str(name)[:40]!r} is not a number")
        if type(name) is not str or not _is_json(value):
            raise Unfit(f"{place}: its attribute {str(name)[:40]!r} is no value that JSON has")
    geometry = feature.geometry
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind not in GEOMETRIES or "coordinates" not in geometry:
        raise Unfit(f"{place} has no geometry that GeoJSON knows")


def _is_json(value: Any) -> bool:
    """Tell whether JSON has a value, and all that lies in it."""
    try:
        return _is_plain(value)
    except RecursionError:  # too deep to be written, or it lies in itself
        return False


def _is_plain(value: Any) -> bool:
    if type(value) is list:
        return all(map(_is_plain, value))
    if type(value) is dict:
        return all(type(name) is str and _is_plain(each) for name, each in value.items())
    return type(value) in PLAIN and (type(value) is not float or math.isfinite(value))
