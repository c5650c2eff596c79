"""The plan as GeoJSON (RFC 7946): a plain site plan with what was worked out as attributes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from numbers import Integral, Real
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.exports.gis.tables import refuse_without_place, table
from lawnmap.exports.wording.amounts import missing
from lawnmap.exports.wording.rows import records
from lawnmap.files import json_text
from lawnmap.geometry.outline import as_geojson
from lawnmap.geometry.validity import flaw
from lawnmap.paper import Paper

TITLE = "zones and features for GIS programs (GeoJSON)"
SUFFIX = ".geojson"
AUDIENCE = "owner"

DECIMALS = 8  # of a degree: 1 mm on the ground


def render(paper: Paper) -> bytes:
    """Return the FeatureCollection.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience. What is not known is left out of a feature.

    Returns
    -------
    bytes
        UTF-8, a feature a line. The same paper gives the same bytes.

    Raises
    ------
    InputRefused
        For a schematic, or a site without a place on the earth.
    """
    refuse_without_place(paper)
    lines = ",\n".join(json_text.dumps(each) for each in _features(paper))
    return f'{{"type":"FeatureCollection","features":[\n{lines}\n]}}\n'.encode()


def _features(paper: Paper) -> Iterator[dict[str, Any]]:
    for name in ("zones", "features"):
        for row in records(table(paper, name)):
            shape = row.pop("geometry")
            kind = {"feature": "zone"} if name == "zones" else {}
            yield {
                "type": "Feature",
                "properties": kind | _properties(row),
                "geometry": as_geojson(_rounded(shape)),
            }


def _properties(row: dict[str, Any]) -> dict[str, Any]:
    plain = {name: _plain(value) for name, value in row.items() if not missing(value)}
    return {name: value for name, value in plain.items() if value is not None}


def _plain(value: Any) -> str | bool | float | None:
    """Return a cell as JSON has it; None for a number that JSON has not."""
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        return float(value) if math.isfinite(value) else None
    return str(value)


def _rounded(shape: BaseGeometry) -> BaseGeometry:
    """Return a shape on a grid of a millimetre, or as it is when that would spoil its outline."""
    rounded = shapely.remove_repeated_points(
        shapely.transform(shape, lambda positions: np.round(positions, DECIMALS))
    )
    spoilt = rounded.is_empty or (rounded.area == 0 < shape.area) or flaw(rounded) is not None
    return shape if spoilt else rounded
