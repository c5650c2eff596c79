"""What a site plan amounts to: where it lies, how large it is, and how finely it was written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import shape

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.admit import Source
from lawnmap.found import Found, Heights
from lawnmap.geometry import crs as reference_system
from lawnmap.geometry import outline, precision
from lawnmap.geometry.frame import Frame, about
from lawnmap.geometry.local import UNITS_M
from lawnmap.jobs.reading import NO_CRS, Reading, Taken
from lawnmap.processing.entering.merge import Change
from lawnmap.processing.position import pixels
from lawnmap.store import heights as store
from lawnmap.store import surface as surface_store

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class PictureFacts:
    """Of a plan that is a picture: its size, and how it lies on the ground.

    Attributes
    ----------
    width, height : int
        In pixels.
    pixel_m : float
        How wide a pixel is on the ground [m].
    turn_deg : float
        How far its rows are turned from east, anticlockwise [°].
    placed_by : str
        What says where it lies.
    """

    width: int
    height: int
    pixel_m: float
    turn_deg: float
    placed_by: str


@dataclass(frozen=True)
class HeightFacts:
    """Of ground heights: how many, in how many rows and columns, the lowest and highest [m]."""

    count: int
    shape: tuple[int, int] | None
    low_m: float
    high_m: float


@dataclass(frozen=True)
class Overview:
    """What a site plan amounts to.

    Attributes
    ----------
    crs : str
        Authority and code of the CRS it lies in; empty when it has none, or none with a code.
    crs_name : str
        Its name; empty for a plan of its own.
    placed_by : str
        What places it: ``its CRS``, ``control points``, ``a plan picture`` or ``nothing``.
    unit_m : float or None
        Metres to one unit of a plan of its own.
    step_m : float or None
        The last decimal of its coordinates, on the ground [m]; None where they were worked out and
        have no last one.
    size_m : (float, float) or None
        From east to west and from north to south [m].
    sigma_m : (float, float) or None
        Least and largest standard error of a corner, in each direction [m].
    """

    crs: str = ""
    crs_name: str = ""
    placed_by: str = "nothing"
    unit_m: float | None = None
    step_m: float | None = None
    size_m: tuple[float, float] | None = None
    sigma_m: tuple[float, float] | None = None
    picture: PictureFacts | None = None
    heights: HeightFacts | None = None


def overview(source: Source, found: Found, reading: Reading, taken: Taken) -> Overview:
    """Return what a plan amounts to that was read, and not saved yet."""
    crs = found.crs or (None if NO_CRS.match(reading.crs or "") else reading.crs)
    by = _placed_by(reading, crs)
    system = reference_system.known(crs) if crs and by == "its CRS" else None
    own = _unit(found, reading) if by in {"nothing", "control points"} else None
    places = _lonlat(taken)
    return Overview(
        crs=":".join(system.to_authority() or ()) if system else "",
        crs_name=system.name if system else "",
        placed_by=by,
        unit_m=own,
        step_m=_step(found, crs if system else None, own, places),
        size_m=_size(places),
        sigma_m=_sigmas(taken),
        picture=_picture(source, found, taken),
        heights=_heights(heights_in(taken)),
    )


def _placed_by(reading: Reading, crs: str | None) -> str:
    if reading.control is not None:
        return "control points"
    if reading.crs is not None and reading.crs.startswith("picture:"):
        return "a plan picture"
    return "nothing" if crs is None else "its CRS"


def _unit(found: Found, reading: Reading) -> float | None:
    """Return metres to a unit of a plan of its own; None for pixels and where nobody says."""
    if found.picture is not None:
        return None
    if found.unit_m is not None:
        return found.unit_m
    if reading.units is not None:
        return UNITS_M[reading.units]
    return 1.0 if reading.control is None else None


def _lonlat(taken: Taken) -> Floats:
    """Return longitude and latitude of everything that the plan holds."""
    facts = backdrop_in(taken)
    if facts is not None:
        west, south, east, north = facts["bounds"]
        return np.array([[west, south], [east, north]])
    drawn = [shape(each.feature["geometry"]) for each in taken.changes if _in_plan(each)]
    if drawn:
        return np.asarray(shapely.get_coordinates(drawn), dtype=np.float64)
    heights = heights_in(taken)
    points = np.zeros((0, 2)) if heights is None else heights.points[:, :2]
    return points[np.isfinite(points).all(axis=1)]


def _in_plan(change: Change) -> bool:
    return bool(change.feature) and change.what != "kept"


def _step(found: Found, crs: str | None, unit_m: float | None, places: Floats) -> float | None:
    written = precision.decimals(_coordinates(found))
    if written is None or not len(places):
        return None
    if crs is None:
        return None if unit_m is None else 10.0**-written * unit_m
    system = reference_system.known(crs)
    if system.is_geographic:
        return 10.0**-written * precision.degree_m(float(places[:, 1].mean()))
    return float(10.0**-written * system.axis_info[0].unit_conversion_factor)


def _coordinates(found: Found) -> Floats:
    """Return the coordinates that were found, in one row."""
    if found.heights is not None:
        return np.asarray(found.heights.points[:, :2], dtype=np.float64).ravel()
    rows = []
    for each in found.features:
        try:
            rows.append(shapely.get_coordinates(outline.build(each.geometry)).ravel())
        except InputRefused:
            continue  # left out of the site, and told
    return np.concatenate(rows) if rows else np.zeros(0)


def _size(places: Floats) -> tuple[float, float] | None:
    if not len(places):
        return None
    west, south = places.min(axis=0).tolist()
    east, north = places.max(axis=0).tolist()
    metres = about(shapely.box(west, south, east, north)).to_metres(places)
    wide, high = np.ptp(metres, axis=0).tolist()
    return wide, high


def _sigmas(taken: Taken) -> tuple[float, float] | None:
    known = [
        float(sigma)
        for each in taken.changes
        if _in_plan(each)
        and (sigma := each.feature["properties"].get("outline_sigma_m")) is not None
    ]
    return (min(known), max(known)) if known else None


def backdrop_in(taken: Taken) -> dict[str, Any] | None:
    """Return what is known of the plan picture that was read, if one was."""
    for name, data in taken.files.items():
        if name.startswith("backdrop/") and name.endswith(".json"):
            facts: dict[str, Any] = json_text.loads(data, name=name)
            return facts
    return None


def heights_in(taken: Taken) -> Heights | None:
    """Return the heights that were read, of the ground or of a surface, if any were."""
    if store.NAME in taken.files:
        return taken.site.heights
    surface = taken.site.surface
    if surface is None or surface_store.NAME not in taken.files:
        return None
    row, column = np.indices(surface.heights.shape, dtype=np.float64).reshape(2, -1)
    metres = np.column_stack([column, row]) @ np.array([surface.column, surface.row])
    lonlat = Frame(*surface.first).to_lonlat(metres)
    return Heights(np.column_stack([lonlat, surface.heights.ravel()]), surface.heights.shape)


def _picture(source: Source, found: Found, taken: Taken) -> PictureFacts | None:
    facts = backdrop_in(taken)
    if facts is None or found.picture is None:
        return None
    width, height = found.picture.width, found.picture.height
    placed = pixels.from_facts(facts["pixel_map"], width, height)
    row = placed.middle.to_metres(
        placed.to_lonlat(np.array([[0, height / 2], [width, height / 2]]))
    )
    east, north = (row[1] - row[0]).tolist()
    tags = not set(source.parts) - {".prj"} or any("own tags" in each for each in found.warnings)
    own = "its own tags" if tags else "the world file beside it"
    return PictureFacts(
        width,
        height,
        placed.pixel_m,
        float(np.degrees(np.arctan2(north, east))),
        "control points" if facts["control"] else own,
    )


def _heights(heights: Heights | None) -> HeightFacts | None:
    if heights is None:
        return None
    metres = heights.points[:, 2]
    known = metres[np.isfinite(metres)]
    return HeightFacts(len(known), heights.shape, float(known.min()), float(known.max()))
