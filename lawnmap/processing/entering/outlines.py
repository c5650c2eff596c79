"""Found features brought to sound shapes in longitude and latitude, or refused with the place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.found import Feature, Found
from lawnmap.geometry import ellipsoid, outline, validity
from lawnmap.processing.entering import attributes, walks

LARGEST_M2 = 1_000_000  # 100 ha; a fair county file passes it, metres labelled degrees do too
SMALLEST_M2 = 0.1
NOTHING_M2 = 1e-6  # what rounding leaves of a fold: begun at another corner it is nothing, or less
HALF_ROUND = 180.0  # of longitude: on a flat map what crosses its edge goes round the other way
WIDEST_GAP = 0.1  # of the length of a walked line: the most that closing it may add unasked

Place = Callable[[npt.NDArray[np.object_]], npt.NDArray[np.object_]]
Repair = Callable[[BaseGeometry], BaseGeometry]


@dataclass
class Shaped:
    """One feature with its kind, checked attributes and shape in longitude/latitude."""

    kind: str
    shape: BaseGeometry
    properties: dict[str, Any]
    place: str


@dataclass
class Admission:
    """How strict to be, and what was noticed on the way.

    Attributes
    ----------
    kind : str or None
        What features are when the file does not say.
    asked : bool
        Whether the person says, of the file or of its layer, that lines are to become outlines.
    """

    kind: str | None = None
    asked: bool = False
    skip_bad: bool = False
    repair: Repair | None = None
    warnings: list[str] = field(default_factory=list)


def shape_all(found: Found, to_lonlat: Place, admission: Admission) -> list[Shaped]:
    """Return every feature as a sound shape in longitude/latitude.

    Parameters
    ----------
    found : Found
        From a reader.
    to_lonlat : callable
        Brings an array of shapes from the file's coordinates to longitude/latitude.
    admission : Admission
        Options; its `warnings` are added to.

    Raises
    ------
    InputRefused
        For the first bad feature, unless bad ones are to be skipped.
    """
    result: list[Shaped] = []
    worked: set[str] = set()
    for feature in found.features:
        try:
            shaped, left_out = _shape(feature, to_lonlat, admission)
            _check_sound(shaped, admission)
            _add_error(shaped, admission)
        except InputRefused as error:
            error.place = ", ".join(part for part in (feature.place, error.place) if part)
            if not admission.skip_bad:
                if "--skip-bad" not in error.remedy:
                    error.remedy = f"{error.remedy} Or leave it out with --skip-bad.".strip()
                raise
            admission.warnings.append(f"Left out: {error.place}: {error.problem}.")
            continue
        worked.update(left_out)
        result.append(shaped)
    if not result:
        raise InputRefused("no usable feature is left", remedy="Check the file and the layer.")
    if worked:
        admission.warnings.append(
            "Worked-out columns in the file are not read back; they are worked out again: "
            f"{', '.join(sorted(worked))}."
        )
    return result


def _shape(feature: Feature, to_lonlat: Place, admission: Admission) -> tuple[Shaped, list[str]]:
    shape = _placed(outline.build(feature.geometry), to_lonlat)
    kind = _kind(feature, shape, admission)
    allowed = schema.FEATURES[kind]
    walked = walks.is_walk(feature.properties)
    if walked and shape.geom_type == "MultiLineString" and not set(allowed) - set(schema.POLYGON):
        shape, told = walks.joined(shape, asked=admission.asked)
        admission.warnings.append(f"{feature.place}: {told}")
    if shape.geom_type not in allowed and "Polygon" in allowed and shape.geom_type == "LineString":
        shape = _closed(shape, feature.place, admission, walked=walked)
    if shape.geom_type not in allowed:
        raise InputRefused(
            f"a {kind} cannot be a {shape.geom_type}",
            remedy=f"It can be: {', '.join(allowed)}. Say what it is with --as.",
        )
    given = {k: v for k, v in feature.properties.items() if k.lower() != "feature"}
    properties, worked = attributes.adopt(given, kind)
    return Shaped(kind, shape, properties, feature.place), worked


def _kind(feature: Feature, shape: BaseGeometry, admission: Admission) -> str:
    said = next((v for k, v in feature.properties.items() if k.lower() == "feature" and v), None)
    kind = said or admission.kind or ("zone" if shape.geom_type in schema.POLYGON else None)
    if kind is None:
        raise InputRefused(
            f"is a {shape.geom_type} and the file does not say of what",
            remedy="Say what it is with --as (zone closes a walked line; tree, drain, access, …; "
            "height for spot heights).",
        )
    kind = str(kind).strip().lower()
    if kind not in schema.FEATURES:
        raise InputRefused(
            f"feature is {kind[:40]!r}", remedy=f"It can be: {', '.join(schema.FEATURES)}."
        )
    return kind


def _closed(line: BaseGeometry, place: str, admission: Admission, *, walked: bool) -> BaseGeometry:
    if walked:
        line, told = walks.trimmed(line)
        if told:
            admission.warnings.append(f"{place}: {told}")
    polygon, joined = outline.close(line)
    if joined is not None:
        length, added = ellipsoid.perimeters(np.array([line, joined], dtype=object))
        if added > WIDEST_GAP * length and not admission.asked:
            raise InputRefused(
                "the line does not come back to where it began",
                remedy="Give --as zone to close it all the same.",
            )
        admission.warnings.append(
            f"{place}: closed with a straight side of {added:.1f} m ({length:.1f} m were walked), "
            f"{100 * added / (added + length):.0f} % of the outline."
        )
    return polygon


def _placed(shape: BaseGeometry, to_lonlat: Place) -> BaseGeometry:
    moved: BaseGeometry = to_lonlat(np.array([shape], dtype=object))[0]
    west, south, east, north = moved.bounds
    if not (-180 <= west and east <= 180 and -90 <= south and north <= 90):  # noqa: PLR2004 - the earth
        raise InputRefused(
            f"longitude or latitude is out of range ({west:g}, {south:g})",
            remedy="These look like metres: give the CRS with --crs.",
        )
    if east - west > HALF_ROUND:
        raise InputRefused(
            f"reaches across the 180° meridian ({west:.7f} to {east:.7f})",
            remedy="Cut it there: a feature on each side, as RFC 7946 has it (3.1.9).",
        )
    return moved


def _check_sound(shaped: Shaped, admission: Admission) -> None:
    """Refuse or mend an outline that crosses itself; warn of areas no lawn has."""
    if shaped.shape.geom_type not in schema.POLYGON:
        return
    if validity.is_tangled(shaped.shape):
        corners = int(shapely.get_num_coordinates(shaped.shape))
        raise InputRefused(
            f"has {corners:,} corners, and too many sides that cross or lie close to be checked",
            remedy="Draw it again, with fewer corners.",
        )
    flaw = validity.flaw(shaped.shape)
    before = ellipsoid.areas(np.array([shaped.shape], dtype=object))[0]
    if flaw is not None:
        crossing = walks.crossing(shaped.shape) if walks.is_walk(shaped.properties) else None
        words = f"{crossing.words if crossing else flaw.words} at {flaw.x:.7f}, {flaw.y:.7f}"
        if admission.repair is None:
            raise InputRefused(
                words,
                remedy="Correct it, or see what mending would change with --repair --dry-run.",
            )
        shaped.shape = crossing.mended if crossing else admission.repair(shaped.shape)
        after = ellipsoid.areas(np.array([shaped.shape], dtype=object))[0]
        if after <= NOTHING_M2:
            raise InputRefused(f"{words}, and encloses nothing", remedy="Draw it again.")
        if not shapely.is_valid(shaped.shape):  # sides nearer to each other than digits can tell
            raise InputRefused(f"{words}, and cannot be mended", remedy="Draw it again.")
        admission.warnings.append(
            f"{shaped.place}: {words}; mended: {before:z.2f} m² before, {after:.2f} m² after."
        )
        before = after
    if before <= NOTHING_M2:
        raise InputRefused("has no area", remedy="Draw it again.")
    if shaped.kind == "zone" and not SMALLEST_M2 <= before <= LARGEST_M2:
        size = f"{before / 1e4:,.0f} ha" if before > 1 else f"{before:.3f} m²"
        admission.warnings.append(f"{shaped.place}: {size} is an odd size for a zone of lawn.")


def _add_error(shaped: Shaped, admission: Admission) -> None:
    """Give a walked zone the error that its fixes have together."""
    if shaped.kind == "zone":
        shaped.properties, advice = walks.with_error(shaped.properties, shaped.shape)
        name = shaped.properties.get("name") or shaped.place
        admission.warnings += [f"{name}: {each}" for each in advice]
