"""A plan that is a picture becomes a backdrop of a site: placed, redrawn straight, kept small."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.found import Found, Picture
from lawnmap.geometry import grid as grids
from lawnmap.geometry.crs import known, uncertain_by_metres
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.grid import Box, Grid, Move
from lawnmap.jobs import control
from lawnmap.jobs.reading import Reading, Taken
from lawnmap.model import Site
from lawnmap.processing.entering.merge import Change
from lawnmap.processing.entering.names import new_id
from lawnmap.processing.position import control as fitting
from lawnmap.processing.position import pixels
from lawnmap.processing.position.control import Control
from lawnmap.processing.position.crs_check import within
from lawnmap.processing.position.pixels import PixelMap
from lawnmap.readers.picture.redrawn import Image, redrawn
from lawnmap.store.backdrop import Backdrop, stored
from lawnmap.store.folder import Folder

Floats = npt.NDArray[np.float64]
Pictures = tuple[tuple[bytes, Box], ...]  # as a paper takes them

WIDEST_M, NARROWEST_M = 20_000.0, 1.0
DATE_LINE_DEG = 180.0
POLEWARD_DEG = 85.0  # Web Mercator ends at 85.05°


def take(site: Site, found: Found, reading: Reading, folder: Folder | None = None) -> Taken:
    """Return the site with a plan picture to lie under it.

    Parameters
    ----------
    site : Site
    found : Found
        With a picture.
    reading : Reading
        With a sheet of control points, or a CRS for a picture that says where it lies without one.
    folder : Folder, optional
        Of the site, to tell whether the picture takes the place of an earlier one.

    Raises
    ------
    CRSNeeded, InputRefused
        When nobody says where the picture lies, or what is said cannot be.
    """
    picture = found.picture
    if picture is None:
        raise InputRefused("is no picture")
    points = control.chosen(reading, site)
    agreement = fitting.agree(points, picture=True) if points else None
    placed = (
        pixels.from_agreement(agreement, picture.width, picture.height)
        if agreement
        else _by_itself(site, found, picture, reading)
    )
    outline = placed.to_lonlat(grids.edge(picture.width, picture.height))
    check_extent(placed, outline)
    old = Image(picture.data, picture.kind, picture.width, picture.height, picture.page)
    new = redrawn(old, placed.to_lonlat, outline)
    crs = None if agreement else placed.crs
    facts = {"source": picture.kind, "crs": crs, **_facts(placed, _points(points))}
    backdrop = Backdrop(_name(picture), {**new.facts, **facts}, new.data)
    before = stored(folder).backdrops if folder else {}
    what = "replaced" if backdrop.name in before else "added"
    area = float(areas(np.array([shapely.Polygon(outline)], dtype=object))[0])
    return Taken(
        site.with_header(**(points.header if points else {"placed": True})),
        [Change(what, "backdrop", backdrop.name, area)],
        [
            *found.warnings,
            *(agreement.warnings if agreement else _said(placed)),
            *_replaced(before.get(backdrop.name), backdrop),
        ],
        backdrop.files(),
        agreement,
    )


def _by_itself(site: Site, found: Found, picture: Picture, reading: Reading) -> PixelMap:
    """Return the map of a picture that says itself where it lies."""
    if picture.grid is None:
        raise InputRefused(
            f"the picture ({picture.width:,} by {picture.height:,} pixels) does not say where it "
            "lies",
            remedy="Give --control with a sheet of four or more places that are known in the "
            "picture and on the ground (columns: name, column, row, lon, lat).",
        )
    system = found.crs or reading.crs
    if system is None or system == "local":
        raise CRSNeeded(
            "the picture says where it lies, but not in which CRS",
            remedy="Ask who made it and give --crs (such as EPSG:27700), or give --control.",
        )
    if site.document["features"] and not site.placed:
        raise InputRefused(
            "the picture has a place on the earth and the site has none",
            remedy="Place the site first: lawnmap place SITE.",
        )
    known(system)
    return PixelMap(Grid(*picture.grid), picture.width, picture.height, crs=system)


def _replaced(before: Backdrop | None, now: Backdrop) -> list[str]:
    """Return a warning when another picture takes the place of one that corners were picked in."""
    measure = ("source", "source_width", "source_height")
    if before is None or all(before.facts[name] == now.facts[name] for name in measure):
        return []
    kind, wide, high = (before.facts[name] for name in measure)
    return [
        f"It takes the place of the picture {now.name} ({kind}, {wide:,} by {high:,}): columns and "
        "rows picked in that one do not fit this one. To keep both, give the file another name."
    ]


def _said(placed: PixelMap) -> list[str]:
    """Return what a person should know of the CRS that a picture lies in."""
    crs = placed.crs or ""
    system, at = known(crs), placed.middle
    use, said = system.area_of_use, []
    if use is not None and not within(system, np.array([at.longitude, at.latitude])):
        said.append(
            f"The picture lies at {at.longitude:.3f}, {at.latitude:.3f}, and {system.name} is for "
            f"{use.name}: check the CRS."
        )
    if uncertain_by_metres(crs):
        said.append(
            f"{system.name} was shifted without its grid file: the picture may lie some metres off "
            "the true map."
        )
    return said


def check_extent(placed: PixelMap, outline: Floats) -> None:
    """Refuse a picture that is larger or smaller than any plan, or where no map page reaches.

    Raises
    ------
    InputRefused
        With its size.
    """
    west, south, east, north = grids.box_of(placed.middle.to_metres(outline))
    across = max(east - west, north - south)
    if not NARROWEST_M <= across <= WIDEST_M:
        size = f"{across / 1000:,.4g} km" if across > WIDEST_M else f"{across:.2g} m"
        raise InputRefused(
            f"the picture would be {size} across on the ground",
            remedy="Check its CRS and its unit, or the control points.",
        )
    west, south, east, north = grids.box_of(outline)
    whole = -DATE_LINE_DEG <= west and east <= DATE_LINE_DEG and east - west < DATE_LINE_DEG
    if not whole or max(-south, north) > POLEWARD_DEG:
        raise InputRefused(
            "the picture lies at a pole or across the date line", remedy="Check its CRS."
        )


def _points(points: Control | None) -> list[dict[str, Any]]:
    return [
        {"name": name, "column_row": [x, y], "lonlat": [lon, lat]}
        for name, x, y, lon, lat in (points.points if points else ())
    ]


def _facts(placed: PixelMap, points: list[dict[str, Any]]) -> dict[str, Any]:
    """Return what is kept of a picture's place: enough to map any of its pixels again."""
    facts = {
        "source_width": placed.width,
        "source_height": placed.height,
        "pixel_map": placed.facts(),
        "control": points,
        "rmse_m": None,
    }
    if not points:
        return facts
    given = placed.middle.to_metres(np.array([each["lonlat"] for each in points], dtype=float))
    column_row = np.array([each["column_row"] for each in points], dtype=float)
    residuals = placed.middle.to_metres(placed.to_lonlat(column_row)) - given
    facts["control"] = [
        {**each, "residual_m": residual}
        for each, residual in zip(points, residuals.round(4).tolist(), strict=True)
    ]
    facts["rmse_m"] = float(np.sqrt((residuals**2).sum() / len(points)).round(4))
    return facts


def _name(picture: Picture) -> str:
    """Return a plain id after the file's name."""
    said = picture.name
    plain = any(char.isascii() and char.isalnum() for char in said)
    return new_id(said if plain else "plan", ())


def pixel_maps(folder: Folder) -> dict[str, PixelMap]:
    """Return how pixels of each plan picture of a site become longitude and latitude, by name."""
    return {name: _map(backdrop) for name, backdrop in stored(folder).backdrops.items()}


def _map(backdrop: Backdrop) -> PixelMap:
    facts = backdrop.facts
    return pixels.from_facts(facts["pixel_map"], facts["source_width"], facts["source_height"])


def moved(folder: Folder, apply: Move) -> dict[str, bytes]:
    """Return the files of a site's plan pictures when everything on it is moved.

    Parameters
    ----------
    folder : Folder
    apply : callable
        From (n, 2) longitudes and latitudes to where they are moved.
    """
    files: dict[str, bytes] = {}
    for backdrop in stored(folder).backdrops.values():
        placed = _map(backdrop).moved(apply)
        outline = placed.to_lonlat(grids.edge(placed.width, placed.height))
        check_extent(placed, outline)
        image = Image(backdrop.data, "webp", backdrop.facts["width"], backdrop.facts["height"])
        new = redrawn(image, _through(backdrop, apply), outline)
        points = [
            {**each, "lonlat": apply(np.array([each["lonlat"]], dtype=float))[0].tolist()}
            for each in backdrop.facts["control"]
        ]
        facts = {**backdrop.facts, **new.facts, "crs": None, **_facts(placed, points)}
        files |= Backdrop(backdrop.name, facts, new.data).files()
    return files


def _through(backdrop: Backdrop, apply: Move) -> Move:
    """Return the way from the stored picture's own pixels to where they are moved."""
    west, south, east, north = backdrop.bounds
    corners = grids.to_mercator(np.array([[west, south], [east, north]]))
    (left, low), (right, top) = corners.tolist()
    wide, high = (right - left) / backdrop.facts["width"], (top - low) / backdrop.facts["height"]
    even = Grid(wide, 0.0, left, 0.0, -high, top)
    return lambda column_row: apply(grids.from_mercator(even.apply(column_row)))


def shown(folder: Folder) -> tuple[Pictures, list[str]]:
    """Return the plan pictures of a site as a paper takes them, and what was left out.

    Raises
    ------
    InputRefused
        When there is none.
    """
    found = stored(folder)
    if not found.backdrops:
        raise InputRefused(
            " ".join(found.warnings) or "the site has no plan picture",
            file=folder.name,
            remedy="Read one into it with lawnmap read, or leave --backdrop out.",
        )
    return tuple((each.data, each.bounds) for each in found.backdrops.values()), found.warnings
