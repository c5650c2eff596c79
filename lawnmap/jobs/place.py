"""The job ``place``: put an unplaced site on the earth by control points."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lawnmap.found import Heights
from lawnmap.jobs import pictures
from lawnmap.model import Site
from lawnmap.processing.entering.moving import Placed, total_area_m2
from lawnmap.processing.entering.moving import place as moved
from lawnmap.processing.position.control import Agreement, Control
from lawnmap.store import heights
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder, find


@dataclass(frozen=True)
class PlaceReply:
    """A placed site, how well its control points agree, and its area before and after."""

    site: Site
    agreement: Agreement
    area_before_m2: float
    area_after_m2: float
    saved: bool
    warnings: tuple[str, ...]


def place(path: Path, control: Control, *, dry_run: bool = False) -> PlaceReply:
    """Move everything on an unplaced site to where control points say, and save.

    Zones and other features, plan pictures and ground heights move together.

    Parameters
    ----------
    path : Path
        A site folder.
    control : Control
        Two or more points, in the site's metres and on the earth.
    dry_run : bool
        Work it out and save nothing.

    Returns
    -------
    PlaceReply

    Raises
    ------
    LawnmapError
        One clear error; nothing was changed.
    """
    folder = find(path)
    site = site_store.load(folder)
    placed = moved(site, control)
    before, after = total_area_m2(site), total_area_m2(placed.site)
    new, warnings = placed.site, placed.agreement.warnings
    if not dry_run:
        saved = site_store.save(folder, new, also=_also(folder, placed))
        new, warnings = saved.site, (*warnings, *saved.warnings)
    return PlaceReply(new, placed.agreement, before, after, not dry_run, warnings)


def _also(folder: Folder, placed: Placed) -> dict[str, bytes]:
    """Return the other files of the site that move with it."""
    files = pictures.moved(folder, placed.move)
    ground = heights.read(folder)
    if ground is not None:
        points = ground.points.copy()
        points[:, :2] = placed.move(points[:, :2])
        files[heights.NAME] = heights.encode(Heights(points, ground.shape))
    return files
