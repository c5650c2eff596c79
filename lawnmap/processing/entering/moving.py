"""An unplaced site moved to where its control points say."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.errors import InputRefused
from lawnmap.geometry import outline
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.local import Local
from lawnmap.model import Site
from lawnmap.processing.position.control import Agreement, Control, agree

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Placed:
    """A site put on the earth, and how well the control points agree.

    Attributes
    ----------
    site : Site
    agreement : Agreement
    local : Local
        How the longitudes and latitudes it had before stood for its metres.
    """

    site: Site
    agreement: Agreement
    local: Local

    def move(self, lonlat: Floats) -> Floats:
        """Return (n, 2) longitudes and latitudes of the unplaced site where they now lie [°]."""
        points = np.asarray(shapely.points(lonlat), dtype=object)
        metres = np.asarray(shapely.get_coordinates(self.local.to_metres(points)))
        return self.agreement.to_lonlat(metres)


def place(site: Site, control: Control) -> Placed:
    """Return an unplaced site moved to where its control points say.

    Parameters
    ----------
    site : Site
        Unplaced.
    control : Control
        Two or more points: where they are in the plan [m] and on the earth [°].

    Raises
    ------
    InputRefused
        When the site has a place already, or the points do not fix one.
    """
    if site.placed:
        raise InputRefused("the site has a place already", remedy="There is nothing to place.")
    if control.local is not None:
        raise InputRefused(
            "the control points are in the site's own metres",
            remedy="Give their longitude and latitude, or east and north with --crs.",
        )
    anchor, origin = site.header["anchor"], site.header["origin"]
    local = Local((anchor[0], anchor[1]), (origin[0], origin[1]))
    placed = Placed(site, agree(control), local)
    shapes = np.array(
        [outline.build(each["geometry"]) for each in site.document["features"]], dtype=object
    )
    moved = np.asarray(shapely.transform(shapes, placed.move), dtype=object)
    features = [
        {**each, "geometry": outline.as_geojson(shape)}
        for each, shape in zip(site.document["features"], moved, strict=True)
    ]
    header = {k: v for k, v in site.header.items() if k not in {"anchor", "origin"}}
    document = {**site.document, "lawnmap": {**header, "placed": True}, "features": features}
    return Placed(Site(document), placed.agreement, local)


def total_area_m2(site: Site) -> float:
    """Return the area within all zone outlines [m²]."""
    return float(areas(np.asarray(site.zones.geometry.array, dtype=object)).sum())
