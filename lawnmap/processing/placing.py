"""Where a plan's coordinates lie: on the earth by a CRS, or about an anchor when nobody knows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.geometry import crs as reference_system
from lawnmap.geometry import fit, outline
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.local import UNITS_M, Local, origin_of
from lawnmap.model import Found, Site

LOCAL = "local"
Shapes = npt.NDArray[np.object_]


@dataclass(frozen=True)
class Placing:
    """How to bring shapes to longitude/latitude, and what the site's header must then say."""

    to_lonlat: Callable[[Shapes], Shapes]
    header: dict[str, Any] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()


def placing(site: Site, found: Found, crs: str | None, units: str | None) -> Placing:
    """Return how the found coordinates are placed.

    Parameters
    ----------
    site : Site
        Its header says whether it has a place on the earth.
    found : Found
    crs : str or None
        What the person said, for a file that does not say; ``local`` for a plan with no place.
    units : str or None
        Unit of a local plan; metres when not said.

    Raises
    ------
    CRSNeeded
        When neither file nor person says.
    InputRefused
        When a placed plan meets an unplaced site, or the other way round.
    """
    system = found.crs or crs
    if system is None:
        raise CRSNeeded(
            "the file does not say which CRS its coordinates are in",
            remedy="Ask who made it and give --crs (such as EPSG:27700), or --crs local for a plan "
            "with no place on the earth.",
        )
    drawn = bool(site.document["features"])
    if system == LOCAL:
        if drawn and site.placed:
            raise InputRefused(
                "the site has a place on the earth and this plan has none",
                remedy="Read it into a site of its own and place that with `lawnmap place`.",
            )
        return _local(site, found, units)
    if drawn and not site.placed:
        raise InputRefused(
            "the plan has a place on the earth and the site has none",
            remedy="Place the site first: lawnmap place SITE.",
        )
    if units is not None:
        raise InputRefused("--units is for a plan without a place", remedy="Leave it out.")
    return Placing(
        lambda shapes: reference_system.to_lonlat(shapes, system),
        {"placed": True},
        _said(found, system),
    )


def _said(found: Found, system: str) -> tuple[str, ...]:
    said = []
    if found.crs is None:
        said.append(f"Taken as {reference_system.known(system).name}, as you said.")
    if reference_system.uncertain_by_metres(system):
        said.append(
            f"{reference_system.known(system).name} was shifted without its grid file: positions "
            "may be some metres off the true map; areas hardly change (under 0.01 %)."
        )
    return tuple(said)


def _local(site: Site, found: Found, units: str | None) -> Placing:
    if units is not None and units not in UNITS_M:
        raise InputRefused(f"--units is {units!r}", remedy=f"It can be: {', '.join(UNITS_M)}.")
    unit = UNITS_M[units or "m"]
    shapes = np.array([_built(each.geometry) for each in found.features], dtype=object)
    anchor = site.header.get("anchor") or [0.0, 0.0]
    origin = site.header.get("origin") or list(origin_of(shapes, unit))
    local = Local((anchor[0], anchor[1]), (origin[0], origin[1]))
    west, south, east, north = shapely.total_bounds(shapes) * unit
    said = f"The plan is {east - west:,.1f} by {north - south:,.1f} m over all: check that."
    return Placing(
        lambda each: local.to_lonlat(each, unit),
        {"placed": False, "anchor": list(anchor), "origin": list(origin)},
        (said,),
    )


def _built(geometry: dict[str, Any]) -> BaseGeometry:
    try:
        return outline.build(geometry)
    except InputRefused:
        return shapely.Point()  # told with its place when its turn comes


@dataclass(frozen=True)
class Placed:
    """A site put on the earth, and how well the control points agree."""

    site: Site
    fit: fit.Similarity
    names: tuple[str, ...]


def place(site: Site, control: list[tuple[str, float, float, float, float]]) -> Placed:
    """Return an unplaced site moved to where its control points say.

    Parameters
    ----------
    site : Site
        Unplaced.
    control : list of (name, x, y, longitude, latitude)
        Two or more points: where they are in the plan [m] and on the earth [°].

    Raises
    ------
    InputRefused
        When the site has a place already, or the points do not fix one.
    """
    if site.placed:
        raise InputRefused("the site has a place already", remedy="There is nothing to place.")
    source = np.array([[x, y] for _, x, y, _, _ in control]).reshape(-1, 2)
    target = np.array([[lon, lat] for *_, lon, lat in control]).reshape(-1, 2)
    if not (np.abs(target) <= [180, 90]).all():
        raise InputRefused("a control point is off the earth", remedy="Give longitude, latitude.")
    middle = target.mean(axis=0) if len(target) else np.zeros(2)
    frame = Frame(float(middle[0]), float(middle[1]))
    try:
        found = fit.similarity(source, frame.to_metres(target))
    except ValueError as error:
        raise InputRefused(
            str(error), remedy="Give two or more points that lie well apart."
        ) from error
    anchor, origin = site.header["anchor"], site.header["origin"]
    local = Local((anchor[0], anchor[1]), (origin[0], origin[1]))
    shapes = np.array(
        [outline.build(each["geometry"]) for each in site.document["features"]], dtype=object
    )
    metres = shapely.transform(local.to_metres(shapes), found.apply)
    moved = frame.round(np.asarray(metres, dtype=object))
    features = [
        {**each, "geometry": outline.as_geojson(shape)}
        for each, shape in zip(site.document["features"], moved, strict=True)
    ]
    header = {k: v for k, v in site.header.items() if k not in {"anchor", "origin"}}
    document = {**site.document, "lawnmap": {**header, "placed": True}, "features": features}
    return Placed(Site(document), found, tuple(name for name, *_ in control))


def total_area_m2(site: Site) -> float:
    """Return the area within all zone outlines [m²]."""
    return float(areas(np.asarray(site.zones.geometry.array, dtype=object)).sum())
