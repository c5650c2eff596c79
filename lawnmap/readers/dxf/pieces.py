"""Entities of a drawing as outlines, open lines and points, layer by layer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import ezdxf
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.readers.coordinates import FARTHEST, too_many
from lawnmap.readers.dxf import hatch as dxf_hatch
from lawnmap.readers.dxf.curves import Floats
from lawnmap.readers.dxf.notes import Notes
from lawnmap.readers.dxf.strokes import in_space, strokes
from lawnmap.readers.dxf.walk import Placed

FLAT = 1e-9  # of its length: a closed line that is narrower encloses nothing
LEVEL = 1e-6  # of its extent: a line whose heights differ by less is level
SKIPPED = {"ATTDEF", "VIEWPORT", "LIGHT", "SUN"}  # nothing of the plan
HATCHES = {"HATCH", "MPOLYGON"}
# What a damaged entity makes ezdxf, NumPy or GEOS raise; wider than that is caught outside.
DAMAGED = (
    ArithmeticError,
    AttributeError,
    LookupError,
    RecursionError,
    TypeError,
    ValueError,
    ezdxf.DXFError,  # type: ignore[attr-defined]
    shapely.errors.ShapelyError,
)

TILTED = "Seen from above, though its heights differ"
UPRIGHT = "Left out, as seen from above it has no area"


class Piece(NamedTuple):
    """One shape of a layer: where it came from, and whether it was a hatch."""

    shape: BaseGeometry
    place: str
    hatch: bool = False


@dataclass
class Drawn:
    """What one layer holds: outlines and points, and the open lines still to be joined."""

    pieces: list[Piece] = field(default_factory=list)
    lines: list[Floats] = field(default_factory=list)
    places: list[str] = field(default_factory=list)  # of the open lines


class Pieces:
    """The shapes of a drawing as they are gathered; the limits of the door are held here.

    Attributes
    ----------
    layers : dict of str to Drawn
        In the order in which they are first met.
    """

    def __init__(self, notes: Notes) -> None:
        self.notes = notes
        self.layers: dict[str, Drawn] = {}
        self.vertices = 0

    def add(self, placed: Placed) -> None:
        """Add what one entity draws.

        Raises
        ------
        InputRefused
            By place, for numbers that cannot be; for too many vertices in all.
        """
        try:
            with np.errstate(all="ignore"):  # numbers that cannot be are found where they come out
                self._add(placed)
        except InputRefused as error:
            raise error.within(place=placed.place) from None
        except DAMAGED as error:
            raise InputRefused(
                f"cannot be drawn ({type(error).__name__})",
                place=placed.place,
                remedy="Draw it again, or leave it out.",
            ) from error

    def _add(self, placed: Placed) -> None:
        kind = placed.entity.dxftype()
        if kind in SKIPPED:
            return
        if kind == "POINT":
            (point,) = self._plan(np.array([placed.entity.dxf.location.xyz]), placed)
            self._drawn(placed).pieces.append(Piece(shapely.Point(point), placed.place))
        elif kind in HATCHES:
            self._hatch(placed)
        else:
            drawn = strokes(placed.entity)
            if drawn is None:
                self.notes.not_read[kind] += 1
            for points, closed in drawn or ():
                self._stroke(placed, points, closed=closed)

    def _stroke(self, placed: Placed, points: Floats, *, closed: bool) -> None:
        plan = _once(self._plan(points, placed))
        if closed or (len(plan) > 3 and (plan[0] == plan[-1]).all()):  # noqa: PLR2004 - three sides
            ring = _ring(plan)
            if ring is not None:
                self._drawn(placed).pieces.append(Piece(ring, placed.place))
            else:
                self.notes.tell(UPRIGHT, placed.layer)
        elif len(plan) > 1:
            drawn = self._drawn(placed)
            drawn.lines.append(plan)
            drawn.places.append(placed.place)

    def _hatch(self, placed: Placed) -> None:
        entity = placed.entity
        level = float(entity.dxf.elevation.z)
        loops = [
            _ring(_once(self._plan(in_space(entity, loop, level), placed)))
            for loop in dxf_hatch.loops(entity)
        ]
        rings = [ring for ring in loops if ring is not None]
        if len(rings) < len(loops):
            self.notes.tell(UPRIGHT, placed.layer)
        for area in dxf_hatch.nested(rings, int(entity.dxf.hatch_style)):
            self._drawn(placed).pieces.append(Piece(area, placed.place, hatch=True))

    def _plan(self, points: Floats, placed: Placed) -> Floats:
        """Return points as seen from above, in the coordinates of the drawing."""
        self.vertices += len(points)
        if self.vertices > SITE.vertices:
            raise too_many()
        moved = points @ placed.matrix[:3, :3] + placed.matrix[3, :3]
        sound = (np.abs(moved) <= FARTHEST).all(axis=1)
        if not sound.all():
            x, y, z = points[int(sound.argmin())].tolist()
            raise InputRefused(
                f"has a point at {x:.6g}, {y:.6g}, {z:.6g}, which is nowhere on a plan",
                remedy="Correct the point, or leave the entity out.",
            )
        if np.ptp(moved[:, 2]) > LEVEL * max(1.0, float(np.ptp(moved[:, :2], axis=0).max())):
            self.notes.tell(TILTED, placed.layer)
        plan: Floats = moved[:, :2]
        return plan

    def _drawn(self, placed: Placed) -> Drawn:
        return self.layers.setdefault(placed.layer, Drawn())


def _once(points: Floats) -> Floats:
    """Return points without those that repeat the one before."""
    new = np.ones(len(points), dtype=bool)
    new[1:] = (points[1:] != points[:-1]).any(axis=1)
    return points[new]


def _ring(points: Floats) -> shapely.Polygon | None:
    """Return the outline that points go round; None when there is no ground in it."""
    if len(points) > 1 and (points[0] == points[-1]).all():
        points = points[:-1]
    if len(points) < 3:  # noqa: PLR2004 - three corners
        return None
    near = points - points[0]
    away = np.hypot(*near.T)
    far = int(away.argmax())
    beside = np.abs(near[:, 0] * near[far, 1] - near[:, 1] * near[far, 0]).max()
    return shapely.Polygon(points) if beside > FLAT * away[far] ** 2 else None


def extent(layers: Sequence[Drawn]) -> tuple[float, float]:
    """Return the width and height of everything that is drawn; 0, 0 for nothing."""
    bounds = [piece.shape.bounds for drawn in layers for piece in drawn.pieces]
    bounds += [(*line.min(axis=0), *line.max(axis=0)) for drawn in layers for line in drawn.lines]
    if not bounds:
        return 0.0, 0.0
    every = np.array(bounds)
    wide, high = (every[:, 2:].max(axis=0) - every[:, :2].min(axis=0)).tolist()
    return wide, high
