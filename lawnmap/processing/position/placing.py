"""Where a plan's coordinates lie: by a CRS, by control points, in a picture, or about an anchor."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.found import Found
from lawnmap.geometry import crs as reference_system
from lawnmap.geometry import outline
from lawnmap.geometry.local import UNITS_M, Local, origin_of
from lawnmap.model import Site
from lawnmap.processing.position import control_warnings, crs_check
from lawnmap.processing.position.control import Agreement, Control, agree, header_for

if TYPE_CHECKING:
    from lawnmap.processing.position.pixels import PixelMap

LOCAL = "local"
PICTURE = "picture:"
GRID_M = 10_000.0  # from zero: no plan of a site's own counts from so far away
Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]


@dataclass(frozen=True)
class Placing:
    """How to bring shapes to longitude/latitude, and what the site's header must then say.

    Attributes
    ----------
    to_lonlat : callable
        From an array of shapes in the plan's coordinates.
    header : dict
    warnings : tuple of str
    agreement : Agreement or None
        How well the control points agree, when there were any.
    sigma_m : float or None
        Standard error of a corner in each direction [m], where the way it was placed tells.
    scale_sigma : float or None
        Standard error of the scale, common to all corners, as a part of it.
    outline_source : str
        How the outlines were got, where the way they were placed tells.
    """

    to_lonlat: Callable[[Shapes], Shapes]
    header: dict[str, Any] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    agreement: Agreement | None = None
    sigma_m: float | None = None
    scale_sigma: float | None = None
    outline_source: str = ""


def placing(
    site: Site,
    found: Found,
    crs: str | None,
    units: str | None,
    control: Control | None = None,
    *,
    pictures: Mapping[str, PixelMap] | None = None,
) -> Placing:
    """Return how the found coordinates are placed.

    Parameters
    ----------
    site : Site
        Its header says whether it has a place on the earth.
    found : Found
    crs : str or None
        What the person said, for a file that does not say; ``local`` for a plan with no place,
        ``picture:NAME`` for columns and rows of a plan picture of the site. With control points it
        is theirs, and not looked at here.
    units : str or None
        Unit of a plan whose reader does not settle it; metres when nobody says.
    control : Control, optional
        Places that are known in the plan and on the earth.
    pictures : mapping of str to PixelMap, optional
        The plan pictures of the site.

    Raises
    ------
    CRSNeeded
        When neither file nor person says.
    InputRefused
        When a placed plan meets an unplaced site, or the other way round.
    """
    if units is not None and units not in UNITS_M:
        raise InputRefused(f"--units is {units!r}", remedy=f"It can be: {', '.join(UNITS_M)}.")
    own = found.crs if found.crs != crs else None
    if control is not None:
        return _by_control(site, found, own, units, control)
    if crs is not None and crs.startswith(PICTURE):
        return _in_picture(crs.removeprefix(PICTURE), own, units, pictures or {})
    system = found.crs or crs or (LOCAL if found.local else None)
    if system is None:
        raise CRSNeeded(
            "the file does not say which CRS its coordinates are in",
            remedy="Ask who made it and give --crs (such as EPSG:27700), or --crs local for a plan "
            "with no place on the earth.",
        )
    return _local(site, found, units) if system == LOCAL else _by_crs(site, found, system, units)


def _by_control(
    site: Site, found: Found, own: str | None, units: str | None, control: Control
) -> Placing:
    """Return the placing of a plan of which some places are known on the ground."""
    if own is not None:
        raise InputRefused(
            f"the file says itself where it lies ({reference_system.known(own).name})",
            remedy="Leave --control out.",
        )
    header = header_for(site, control)
    agreement = agree(control, unit_m=_unit_m(found, units))
    return Placing(
        lambda shapes: _transformed(shapes, agreement.to_lonlat),
        header,
        (*agreement.warnings, *control_warnings.reach(agreement, _coordinates(found))),
        agreement,
        agreement.sigma_m,
        agreement.scale_sigma,
    )


def _in_picture(
    name: str, own: str | None, units: str | None, pictures: Mapping[str, PixelMap]
) -> Placing:
    """Return the placing of columns and rows of a plan picture."""
    if own is not None or units is not None:
        raise InputRefused(
            f"--crs {PICTURE}{name[:40]} is for columns and rows of a picture, without a unit",
            remedy="Leave --crs out." if own is not None else "Leave --units out.",
        )
    if name not in pictures:
        known = ", ".join(pictures)
        raise InputRefused(
            f"the site has no plan picture called {name[:40]!r}",
            remedy=f"It has: {known}." if known else "Read the picture into the site first.",
        )
    pixels = pictures[name]
    return Placing(
        lambda shapes: _transformed(shapes, pixels.to_lonlat),
        sigma_m=pixels.sigma_m,
        scale_sigma=pixels.scale_sigma,
        outline_source="plan picture",
    )


def _by_crs(site: Site, found: Found, system: str, units: str | None) -> Placing:
    """Return the placing of a plan whose coordinates are in a CRS."""
    if site.document["features"] and not site.placed:
        raise InputRefused(
            "the plan has a place on the earth and the site has none",
            remedy="Place the site first: lawnmap place SITE.",
        )
    if units is not None and found.crs is not None:
        raise InputRefused(
            "--units is for a plan that does not say where it lies", remedy="Leave it out."
        )
    if units is not None and reference_system.known(system).is_geographic:
        raise InputRefused(f"{system} is in degrees", remedy="Leave --units out.")
    unit = None if found.crs is not None else _unit_m(found, units)
    times = crs_check.units_of(system, unit)

    def to_lonlat(shapes: Shapes) -> Shapes:
        scaled = shapes if times == 1 else _transformed(shapes, lambda xy: xy * times)
        return reference_system.to_lonlat(scaled, system)

    warnings = _taken(found, system)
    if unit is not None and times != 1:
        crs_unit = reference_system.known(system).axis_info[0].unit_name
        warnings.append(
            f"The plan is in {_unit_name(unit)}, and was brought to {crs_unit} of that."
        )
    if found.crs is None:
        warnings += crs_check.at_home(system, _coordinates(found), times, said=units is not None)
    return Placing(to_lonlat, {"placed": True}, tuple(warnings))


def _taken(found: Found, system: str) -> list[str]:
    said = []
    if found.crs is None:
        said.append(f"Taken as {reference_system.known(system).name}, as you said.")
    if reference_system.uncertain_by_metres(system):
        said.append(
            f"{reference_system.known(system).name} was shifted without its grid file: positions "
            "may be some metres off the true map; areas hardly change (under 0.01 %)."
        )
    return said


def _local(site: Site, found: Found, units: str | None) -> Placing:
    """Return the placing of a plan with no place on the earth."""
    if site.document["features"] and site.placed:
        raise InputRefused(
            "the site has a place on the earth and this plan has none",
            remedy="Give --control with a sheet of four or more places known in the plan and on "
            "the earth, or read it into a site of its own.",
        )
    unit = _unit_m(found, units) or 1.0
    xy = _coordinates(found)
    anchor = site.header.get("anchor") or [0.0, 0.0]
    origin = site.header.get("origin") or list(origin_of(_as_points(xy), unit))
    local = Local((anchor[0], anchor[1]), (origin[0], origin[1]))
    return Placing(
        lambda each: local.to_lonlat(each, unit),
        {"placed": False, "anchor": list(anchor), "origin": list(origin)},
        tuple(_size(xy * unit)),
    )


def _size(metres: Floats) -> list[str]:
    """Return what to check of a plan's size and numbers."""
    said: list[str] = []
    if not len(metres):
        return said
    east, north = np.ptp(metres, axis=0)
    said.append(f"The plan is {east:,.1f} by {north:,.1f} m over all: check that.")
    if float(np.hypot(*metres.T).min()) > GRID_M:
        said.append(
            "All coordinates are more than 10 km from zero, as in a national grid: ask which, and "
            "give --crs to place the plan on the earth."
        )
    return said


def _unit_m(found: Found, units: str | None) -> float | None:
    """Return metres to a unit; a reader that settled the unit has heeded --units already."""
    if found.unit_m is not None:
        return found.unit_m
    return None if units is None else UNITS_M[units]


def _unit_name(unit_m: float) -> str:
    names = {m: name for name, m in UNITS_M.items()}
    return names.get(unit_m, f"units of {unit_m:g} m")


def _coordinates(found: Found) -> Floats:
    """Return (n, 2) coordinates of everything that was found."""
    if found.heights is not None:
        return np.asarray(found.heights.points[:, :2], dtype=np.float64)
    shapes = np.array([_built(each.geometry) for each in found.features], dtype=object)
    return np.asarray(shapely.get_coordinates(shapes), dtype=np.float64)


def _as_points(xy: Floats) -> Shapes:
    return np.asarray(shapely.points(xy), dtype=object)


def _transformed(shapes: Shapes, move: Callable[[Floats], Floats]) -> Shapes:
    return np.asarray(shapely.transform(shapes, move), dtype=object)


def _built(geometry: dict[str, Any]) -> BaseGeometry:
    try:
        return outline.build(geometry)
    except InputRefused:
        return shapely.Point()  # told with its place when its turn comes
