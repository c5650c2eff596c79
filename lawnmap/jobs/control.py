"""Control points as people give them: a sheet, or texts on the command line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
import shapely

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.files import csv_text
from lawnmap.files.admit import admit
from lawnmap.files.numbers import number
from lawnmap.files.utf8 import decode
from lawnmap.geometry import crs as reference_system
from lawnmap.geometry.fit import LEAST
from lawnmap.geometry.local import Local
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.sheet import rows
from lawnmap.model import Site
from lawnmap.processing.position.control import Control, ControlPoint, header_for
from lawnmap.processing.position.placing import LOCAL

Pair = tuple[str, str]
LONLAT, GRID = ("lon", "lat"), ("east", "north")
PLAN: tuple[Pair, ...] = (("x", "y"), ("column", "row"))
GROUND: tuple[Pair, ...] = (LONLAT, GRID)
MOST = 1_000  # points; a plan has four, a survey may have fifty


class _Given(NamedTuple):
    """A control point as it was given: in the plan and on the ground, before any CRS."""

    name: str
    place: str
    plan: tuple[float, float]
    ground: tuple[float, float]


def chosen(reading: Reading, site: Site) -> Control | None:
    """Return the control points of the sheet that was given, if one was.

    The sheet is a CSV with the columns x and y (in the plan's units) or column and row (pixels of a
    picture, rows counted downwards), lon and lat or east and north, and, if any, name. East and
    north are in ``reading.crs``, where ``local`` stands for the metres of an unplaced site.

    Raises
    ------
    InputRefused
        With the line, for what is no number, is missing, or stands twice; and when the points are
        on the earth and the site is not, or the other way round.
    """
    if reading.control is None:
        return None
    control = from_sheet(reading.control, crs=reading.crs, kind=reading.fit, site=site)
    header_for(site, control)
    return control


def from_sheet(
    path: Path, *, crs: str | None = None, kind: str = "similarity", site: Site | None = None
) -> Control:
    """Return the control points in a sheet; see :func:`chosen`.

    Parameters
    ----------
    path : Path
    crs : str, optional
        Of the columns east and north.
    kind : str
        ``similarity`` or ``affine``.
    site : Site, optional
        Whose metres are meant by the CRS ``local``.
    """
    plan, ground = _columns(path)
    name, found = rows(path, (*plan, *ground))
    try:
        given = [
            _row(row.cells, f"line {row.line}", number_, (*plan, *ground))
            for number_, row in enumerate(found, 1)
        ]
        return replace(_control(given, ground, crs, kind, site), sheet=name)
    except InputRefused as error:
        raise error.within(file=name) from error.__cause__


def from_texts(texts: tuple[str, ...], *, crs: str | None = None) -> Control:
    """Return control points from texts such as ``12.5,40=-1.5501,53.8002``.

    With a CRS the numbers behind = are east and north in it.

    Raises
    ------
    InputRefused
        For a text that is not of that form.
    """
    given = []
    for count, text in enumerate(texts, 1):
        plan, _, ground = text.partition("=")
        try:
            x, y = (number(part) for part in plan.split(","))
            u, v = (number(part) for part in ground.split(","))
        except ValueError as error:
            raise InputRefused(
                f"{text[:60]!r} is not a control point", remedy="Write X,Y=LONGITUDE,LATITUDE."
            ) from error
        given.append(_Given(f"point {count}", f"control point {count}", (x, y), (u, v)))
    return _control(given, GRID if crs else LONLAT, crs, "similarity", None)


def _columns(path: Path) -> tuple[Pair, Pair]:
    """Return which columns of a sheet give places in the plan, and which on the ground."""
    source = admit(path)
    text = decode(source.data, name=source.name) if source.kind == "csv" else ""
    for separator in csv_text.SEPARATORS:
        names = {name.lower() for name in csv_text.header(text, separator)}
        plan = next((pair for pair in PLAN if set(pair) <= names), None)
        ground = next((pair for pair in GROUND if set(pair) <= names), None)
        if plan and ground:
            return plan, ground
    if source.kind != "csv":
        return PLAN[0], LONLAT  # what is wrong with it is told when its rows are asked for
    raise InputRefused(
        "lacks columns of control points",
        file=source.name,
        remedy="Name them in line 1: x and y (column and row in a picture), lon and lat (or east "
        "and north, with --crs), and name.",
    )


def _row(cells: dict[str, str], place: str, count: int, columns: tuple[str, ...]) -> _Given:
    values = []
    for column in columns:
        cell = cells[column]
        if not cell.strip():
            raise InputRefused(f"{column} is empty", place=place, remedy="Fill it in.")
        try:
            values.append(number(cell))
        except ValueError as error:
            raise InputRefused(f"{column}: {error}", place=place, remedy="Correct it.") from error
    x, y, u, v = values
    return _Given(cells.get("name", "").strip() or f"point {count}", place, (x, y), (u, v))


def _control(
    given: list[_Given], ground: Pair, crs: str | None, kind: str, site: Site | None
) -> Control:
    """Return the points with longitude and latitude."""
    if kind not in LEAST:
        raise InputRefused(f"the fit is {kind[:40]!r}", remedy=f"It can be: {', '.join(LEAST)}.")
    if len(given) > MOST:
        raise InputRefused(f"holds more than {MOST:,} control points", remedy="Choose the best.")
    _check_twice(given)
    places = np.array([each.ground for each in given], dtype=float).reshape(-1, 2)
    local = _local(places, site) if crs == LOCAL else None
    shapes = np.asarray(shapely.points(places), dtype=object)
    system = _system(ground, crs)
    moved = local.to_lonlat(shapes, 1.0) if local else reference_system.to_lonlat(shapes, system)
    points = tuple(
        ControlPoint(each.name, *each.plan, lon, lat)
        for each, (lon, lat) in zip(given, shapely.get_coordinates(moved).tolist(), strict=True)
    )
    return Control(points, kind, local)


def _system(ground: Pair, crs: str | None) -> str:
    """Return the CRS that places on the ground are given in."""
    if ground == LONLAT:
        if crs is None or (
            crs != LOCAL and reference_system.is_lonlat(reference_system.known(crs))
        ):
            return reference_system.LONLAT
        raise InputRefused(
            "the control points have longitude and latitude, and --crs says something else",
            remedy="Leave --crs out, or call the columns east and north.",
        )
    if crs is None:
        raise CRSNeeded(
            "the control points are given as east and north, and nobody says in which CRS",
            remedy="Give --crs (such as EPSG:27700), or --crs local for the metres of an unplaced "
            "site.",
        )
    return crs


def _local(places: np.ndarray[tuple[int, int], np.dtype[np.float64]], site: Site | None) -> Local:
    """Return how metres of an unplaced site, or of one to be, stand as longitude and latitude."""
    if site is None:
        raise InputRefused(
            "the control points have no place on the earth",
            remedy="Give their longitude and latitude, or east and north with --crs.",
        )
    if site.document["features"] and site.placed:
        raise InputRefused(
            "the site has a place on the earth, and --crs local is for one that has none",
            remedy="Give the control points' longitude and latitude, or their east and north with "
            "the CRS.",
        )
    anchor = site.header.get("anchor") or (0.0, 0.0)
    middle = places.mean(axis=0).round().tolist() if len(places) else (0.0, 0.0)
    origin = site.header.get("origin") or middle
    return Local((anchor[0], anchor[1]), (origin[0], origin[1]))


def _check_twice(given: list[_Given]) -> None:
    """Refuse a point that stands twice: it would count double and look like a check."""
    seen: dict[tuple[str, object], _Given] = {}
    for each in given:
        for what, key in (
            ("the name", each.name.casefold()),
            ("the place in the plan", each.plan),
            ("the place on the ground", each.ground),
        ):
            first = seen.setdefault((what, key), each)
            if first is not each:
                raise InputRefused(
                    f"has {what} of {first.name!r} ({first.place}) again",
                    place=f"{each.place}, {each.name!r}",
                    remedy="Correct it, or leave one of them out.",
                )
