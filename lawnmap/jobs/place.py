"""The job ``place``: put an unplaced site on the earth by control points."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number
from lawnmap.geometry.fit import Similarity
from lawnmap.jobs.sheet import rows
from lawnmap.model import Site
from lawnmap.processing import placing
from lawnmap.store import site as site_store
from lawnmap.store.folder import find

COLUMNS = ("x", "y", "lon", "lat")
SCALE_NOTED = 0.001  # from one per mille on, the plan's own lengths and the earth's disagree
Control = tuple[str, float, float, float, float]


@dataclass(frozen=True)
class PlaceReply:
    """A placed site, how well its control points agree, and its area before and after."""

    site: Site
    fit: Similarity
    names: tuple[str, ...]
    area_before_m2: float
    area_after_m2: float
    saved: bool
    warnings: tuple[str, ...]


def place(path: Path, control: list[Control], *, dry_run: bool = False) -> PlaceReply:
    """Move every feature of an unplaced site to where control points say, and save.

    Parameters
    ----------
    path : Path
        A site folder.
    control : list of (name, x, y, longitude, latitude)
        Two or more points, in the plan's metres and on the earth.
    dry_run : bool
        Work it out and save nothing.
    """
    folder = find(path)
    site = site_store.load(folder)
    placed = placing.place(site, control)
    before, after = placing.total_area_m2(site), placing.total_area_m2(placed.site)
    warnings = _warnings(placed.fit)
    new = placed.site
    if not dry_run:
        saved = site_store.save(folder, new)
        new, warnings = saved.site, (*warnings, *saved.warnings)
    return PlaceReply(new, placed.fit, placed.names, before, after, not dry_run, warnings)


def _warnings(fit: Similarity) -> tuple[str, ...]:
    found = []
    if not fit.checked:
        found.append("Two points always fit: there is no check. Give a third to have one.")
    if abs(fit.scale - 1) > SCALE_NOTED:
        found.append(
            f"The control points make the plan {fit.scale:.4f} times its own size, and areas "
            f"{fit.scale**2:.4f} times: check the plan's unit and the points."
        )
    return tuple(found)


def from_sheet(path: Path) -> list[Control]:
    """Return control points from a CSV with the columns x, y, lon, lat and, if any, name."""
    name, found = rows(path, COLUMNS)
    control: list[Control] = []
    for row in found:
        try:
            x, y, lon, lat = (number(row.cells[column]) for column in COLUMNS)
        except ValueError as error:
            raise InputRefused(
                str(error), file=name, place=f"line {row.line}", remedy="Correct it."
            ) from error
        control.append((row.cells.get("name", "") or f"point {len(control) + 1}", x, y, lon, lat))
    return control


def from_texts(texts: tuple[str, ...]) -> list[Control]:
    """Return control points from texts such as ``12.5,40=-1.5501,53.8002``."""
    control: list[Control] = []
    for text in texts:
        plan, _, earth = text.partition("=")
        try:
            x, y = (number(part) for part in plan.split(","))
            lon, lat = (number(part) for part in earth.split(","))
        except ValueError as error:
            raise InputRefused(
                f"{text!r} is not a control point", remedy="Write X,Y=LONGITUDE,LATITUDE."
            ) from error
        control.append((f"point {len(control) + 1}", x, y, lon, lat))
    return control
