"""A drawing that says where on earth it lies: GEODATA with an EPSG code, where it makes sense."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import ezdxf
import numpy as np
import numpy.typing as npt
import shapely
from ezdxf.document import Drawing

from lawnmap.errors import InputRefused
from lawnmap.geometry import crs as reference_system

Matrix = npt.NDArray[np.float64]
PLAIN = 1  # coordinates of a local grid, and those of a projected one
NOT_USED = "What the drawing says of its place on the earth is not used"


class GeoPlace(NamedTuple):
    """The CRS, and the 4 x 4 matrix from the drawing to it, for row vectors."""

    crs: str
    matrix: Matrix


def place_of(document: Drawing, middle: tuple[float, float]) -> tuple[GeoPlace | None, str]:
    """Return where the drawing says it lies, or None and why that is not used.

    Parameters
    ----------
    document : Drawing
    middle : tuple of float
        Of what is drawn: it has to lie where its CRS is used.
    """
    data = document.modelspace().get_geodata()
    if data is None:
        return None, ""
    if "<!" in str(data.coordinate_system_definition):  # a DOCTYPE can swell without end
        return None, f"{NOT_USED}: it is not plain."
    try:
        matrix, code = data.get_crs_transformation()
        place = GeoPlace(f"EPSG:{int(code)}", np.array(list(matrix)).reshape(4, 4))
        trouble = _trouble(data, place, middle)
    except (ezdxf.DXFError, ArithmeticError, ValueError, TypeError, InputRefused) as error:  # type: ignore[attr-defined]
        said = error.problem if isinstance(error, InputRefused) else "it has no usable EPSG code"
        return None, f"{NOT_USED}: {said}."
    return (None, f"{NOT_USED}: {trouble}.") if trouble else (place, "")


def _trouble(data: Any, place: GeoPlace, middle: tuple[float, float]) -> str:
    """Return what is wrong with a stated place, or nothing."""
    crs = reference_system.known(place.crs)
    across, along = float(data.dxf.horizontal_unit_scale), float(data.dxf.vertical_unit_scale)
    if crs.is_geographic or crs.axis_info[0].unit_name != "metre":
        return f"{crs.name} is not in metres"
    if not math.isclose(across, along) or not np.isfinite(place.matrix).all() or across <= 0:
        return "its scales differ"
    point = np.array([*middle, 0.0, 1.0]) @ place.matrix
    try:
        (found,) = reference_system.to_lonlat(np.array([shapely.Point(point[:2])]), place.crs)
    except InputRefused:
        return f"it lies nowhere in {crs.name}"
    use = crs.area_of_use
    if use is None or not (use.south <= found.y <= use.north and use.west <= found.x <= use.east):
        return f"it lies outside of where {crs.name} is used"
    return ""
