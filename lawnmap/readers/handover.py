"""What a guarded child hands back: packed inside as plain JSON, unpacked and checked outside.

Nothing the child says is believed more than the file itself would be: its answer passes the same
checks of structure, range and limits as a GeoJSON text does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.found import Found, Layer
from lawnmap.geometry.outline import TYPES
from lawnmap.readers import attributes
from lawnmap.readers import crs as reference_system
from lawnmap.readers.coordinates import too_many
from lawnmap.readers.gathering import Gathering

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

AGAIN = "set the CRS of the plan right in a GIS and export it again."


def pack(
    shapes: Iterable[bytes | None],
    rows: Iterable[dict[str, Any]],
    *,
    crs: str | None,
    warnings: list[str],
) -> dict[str, Any]:
    """Return one layer as plain JSON. Runs inside the child.

    Parameters
    ----------
    shapes : iterable of bytes or None
        Well-known binary of each feature.
    rows : iterable of dict
        Its attributes, as JSON values.
    crs : str or None
        As code or WKT.
    warnings : list of str
        What a person should know, each a whole sentence.

    Raises
    ------
    InputRefused
        For a shape that cannot be decoded or has a position that is no number, by place; for too
        many vertices.
    """
    features = []
    vertices = 0
    heights = False
    for number, (wkb, properties) in enumerate(zip(shapes, rows, strict=True), 1):
        place = attributes.place("feature", number, properties)
        shape = _decoded(wkb, place)
        _check_finite(shape, place)
        vertices += int(shapely.get_num_coordinates(shape))
        if vertices > SITE.vertices:
            raise too_many()
        heights = heights or _has_height(shape)
        features.append([_geometries(shapely.force_2d(shape)), properties])
    return {"features": features, "crs": crs, "heights": heights, "warnings": warnings}


def unpack(told: Mapping[str, Any], asked: str | None, *, metres: str = AGAIN) -> Found:
    """Return what a child told as features, having checked all of it. Runs outside.

    Parameters
    ----------
    told : mapping
        As :func:`pack` made it.
    asked : str or None
        The CRS the person named, for a file that does not name one.
    metres : str
        What to do when degrees look like metres.
    """
    own, remarks = _agreed(told["crs"], asked)
    gathering = Gathering(
        lonlat=own is not None and told["crs"] is not None and reference_system.is_geographic(own),
        metres=metres,
    )
    gathering.warnings += [*remarks, *map(str, told["warnings"])]
    gathering.coordinates.heights = bool(told["heights"])
    for number, (geometries, properties) in enumerate(told["features"], 1):
        place = attributes.place("feature", number, properties)
        if any(each["type"] not in TYPES for each in geometries):
            raise InputRefused("could not be handed over: its geometry is of no kind", place=place)
        gathering.add(geometries, properties, place)
    return gathering.found(own)


def layers(told: Iterable[Iterable[Any]]) -> list[Layer]:
    """Return the layers that a child told of: name, count, kinds of geometry. Runs outside."""
    return [
        Layer(str(name), int(count), tuple(str(kind) for kind in kinds))
        for name, count, kinds in told
    ]


def _agreed(own: str | None, asked: str | None) -> tuple[str | None, list[str]]:
    if own is None:
        said = [f"The file names no CRS; {asked} was taken, as --crs says."] if asked else []
        return asked, said
    if reference_system.NAME.fullmatch(own):
        own = reference_system.named(own)
    return reference_system.agreed(own, asked), []


def _decoded(wkb: bytes | None, place: str) -> BaseGeometry | None:
    try:
        with np.errstate(invalid="ignore"):  # what is no number is told in a moment, with its place
            return shapely.from_wkb(wkb)
    except RuntimeError as error:  # arcs: GEOS reads them, and shapely has no shape for them
        raise InputRefused(
            "is drawn with curves",
            place=place,
            remedy="Turn its arcs into straight sides in the program that drew it.",
        ) from error
    except (shapely.errors.ShapelyError, TypeError) as error:
        # The library names its exception first; what follows is for people.
        reason = str(error).rpartition("Exception: ")[2]
        raise InputRefused(
            f"has a geometry that cannot be read ({reason})",
            place=place,
            remedy="Draw it again, or save it as polygons, lines or points.",
        ) from error


def _check_finite(shape: BaseGeometry | None, place: str) -> None:
    """Refuse what JSON cannot hand over."""
    bad = ~np.isfinite(shapely.get_coordinates(shape)).all(axis=1)
    if bad.any():
        raise InputRefused(
            "is not a finite number",
            place=f"{place}, point {int(bad.argmax()) + 1}",
            remedy="Correct the point.",
        )


def _has_height(shape: BaseGeometry | None) -> bool:
    """Tell whether there is any height but 0, which programs write for want of one."""
    if not shapely.has_z(shape):
        return False
    return bool(shapely.get_coordinates(shape, include_z=True)[:, 2].any())


def _geometries(shape: BaseGeometry | None) -> list[dict[str, Any]]:
    """Return the geometries of a feature: none, one, or those of a collection."""
    if shape is None or shape.is_empty:
        return []
    if isinstance(shape, shapely.GeometryCollection):
        return [part for member in shape.geoms for part in _geometries(member)]
    return [dict(mapping(shape))]
