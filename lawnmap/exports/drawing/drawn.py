"""A paper's shapes in metres, ready to be drawn: zones, everything else, and worked-out layers."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap.exports.drawing.label_places import label_places
from lawnmap.exports.drawing.layers import Layer, layers, of_grids
from lawnmap.exports.wording.amounts import missing, quantity, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.zone_text import notes
from lawnmap.geometry.frame import Frame, about
from lawnmap.pages.words import word
from lawnmap.paper import Paper

Shapes = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]
Positions = list[list[float]]

LONG_FROM = 300  # zones; of more a page is packed, painted, and shown in part without scripts
ROUND_THE_EARTH = 7  # decimals of a degree: about 1 cm (RFC 7946, 11.2)
CENTIMETRES = 2  # decimals of a metre
HIDDEN_FROM_PLAN = ("core",)  # evidence, not a thing on the ground
SORTS = ("water_kind", "drain_kind", "hidden_kind", "supply_kind", "leaf")
SIZES = (("width_m", "m", "wide"), ("height_m", "m", "high"), ("depth_mm", "mm", "deep"))
QUARTER = 8  # segments a quarter circle
CLOSE = 0.25  # of the lawn's longer side: a river may run on for miles
ORIGIN = shapely.Point(0, 0)


class Mapped(NamedTuple):
    """One feature that is no zone: its kind, its name and its note, and its shape [m]."""

    kind: str
    name: str
    note: str
    shape: shapely.Geometry


class Drawing(NamedTuple):
    """What is drawn.

    Attributes
    ----------
    zones : (n,) array of shapes
        In the order of the plan's table [m].
    points : (n, 2) array
        Where the number of each zone stands, in a wide place of it [m].
    radii : (n,) array
        How wide that place is, as a radius [m].
    features : tuple of Mapped
    layers : tuple of Layer
        Worked-out shapes [m].
    frame : Frame
        The metres' frame on the earth.
    flat : bool
        Whether positions on the earth are left out, or there are none.
    """

    zones: Shapes
    points: Floats
    radii: Floats
    features: tuple[Mapped, ...]
    layers: tuple[Layer, ...]
    frame: Frame
    flat: bool

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """West, south, east and north edge of the lawn and of what lies close to it [m]."""
        others = [each.shape for each in self.features]
        lawn = shapely.total_bounds(self.zones if len(self.zones) else others or [ORIGIN])
        all_of_it = shapely.total_bounds([*self.zones, *others, shapely.box(*lawn)])
        close = CLOSE * max(lawn[2] - lawn[0], lawn[3] - lawn[1])
        west, south = np.maximum(all_of_it[:2], lawn[:2] - close)
        east, north = np.minimum(all_of_it[2:], lawn[2:] + close)
        return float(west), float(south), float(east), float(north)

    @property
    def whole(self) -> float:
        """Into how many parts a degree, or a metre of a flat map, is cut: about centimetres."""
        return 10.0 ** (CENTIMETRES if self.flat else ROUND_THE_EARTH)

    def numbers(self, metres: Floats) -> npt.NDArray[np.int64]:
        """Return (n, 2) metres as whole parts: north first, as the map takes them."""
        if self.flat:
            west, south, *_ = self.bounds  # counted from a corner, so that no anchor shows
            turned = metres - [west, south]
        else:
            turned = self.frame.to_lonlat(metres)
        return np.rint(turned[:, ::-1] * self.whole).astype(np.int64)

    def positions(self, metres: Floats) -> Positions:
        """Return (n, 2) metres as the map takes them: latitude first, or north before east."""
        pairs: Positions = (self.numbers(metres) / self.whole).tolist()
        return pairs

    def runs(self, several: Sequence[Floats]) -> list[Positions]:
        """Return rings or lines as :meth:`positions`, all of them in one go."""
        if not several:
            return []
        pairs = self.positions(np.concatenate(several))
        ends = np.cumsum([0, *map(len, several)])
        return [pairs[start:end] for start, end in itertools.pairwise(ends)]


def drawing(paper: Paper) -> Drawing:
    """Return the shapes of a paper in metres about the middle of its zones."""
    site, zones = paper.plan.site, paper.plan.zones
    outlines = np.asarray(zones.geometry.array, dtype=object)
    bounds = shapely.total_bounds(outlines) if len(outlines) else np.zeros(4)
    frame = about(shapely.box(*bounds))
    flat = frame.flat(outlines)
    features = tuple(_features(site.features, frame, paper.units))
    points, radii = label_places(flat, features)
    return Drawing(
        zones=flat,
        points=points,
        radii=radii,
        features=features,
        layers=(
            *layers(paper.plan.layers, frame, paper.units),
            *of_grids(paper.plan.grids, paper.units),
        ),
        frame=frame,
        flat=paper.schematic or not site.placed,
    )


def rings(shape: shapely.Geometry) -> list[list[Floats]]:
    """Return the polygons of a shape, each as its rings without the closing point."""
    return [
        [shapely.get_coordinates(ring)[:-1] for ring in (part.exterior, *part.interiors)]
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and not part.is_empty
    ]


def lines(shape: shapely.Geometry) -> list[Floats]:
    """Return the lines of a shape."""
    return [
        shapely.get_coordinates(part)
        for part in shapely.get_parts(shape)
        if part.geom_type == "LineString" and not part.is_empty
    ]


def points(shape: shapely.Geometry) -> Floats:
    """Return the points of a shape, (n, 2)."""
    parts = shapely.get_parts(shape)
    return shapely.get_coordinates(parts[shapely.get_type_id(parts) == 0])


def _features(table: pd.DataFrame, frame: Frame, units: str) -> list[Mapped]:
    """Return what is drawn beside the zones; the crown of a tree drawn as a point is its circle."""
    found = []
    shapes = frame.flat(np.asarray(table.geometry.array, dtype=object))
    rows = records(table.drop(columns="geometry"))
    for row, shape in zip(rows, shapes, strict=True):
        kind = text(row.get("feature"))
        if kind in HIDDEN_FROM_PLAN or shape is None or shape.is_empty:
            continue
        if kind == "tree" and shape.geom_type == "Point":
            radius = 0.0 if missing(row.get("crown_radius_m")) else float(row["crown_radius_m"])
            if radius > 0:
                shape = shape.buffer(radius, quad_segs=QUARTER)  # noqa: PLW2901 - drawn so
        found.append(Mapped(kind, text(row.get("name")), _about(row, units), shape))
    return found


def _about(row: Mapping[str, Any], units: str) -> str:
    """Return what is known of a feature: what sort, how large, and what everybody may read."""
    parts = [text(row.get(column)) for column in SORTS]
    for column, unit, key in SIZES:
        if not missing(row.get(column)):
            parts.append(word(f"feature.{key}", amount=quantity(float(row[column]), unit, units)))
    return " · ".join(part for part in (*parts, notes(row)) if part)
