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
        if type(name) is not str or type(value) not in PLAIN or value in (math.inf, -math.inf):
            raise Unfit(f"{place}: its attribute {str(name)[:40]!r} is no value that JSON has")
        if value != value:  # noqa: PLR0124 - NaN
            raise Unfit(f"{place}: its attribute {name[:40]!r} is not a number")
    geometry = feature.geometry
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind not in GEOMETRIES or "coordinates" not in geometry:
        raise Unfit(f"{place} has no geometry that GeoJSON knows")
