"""Curves as chords that keep their area.

Chords of a circle lie inside it, and so lose ground: 0.13 % at 5 mm on a pond of 2 m. Here the
corners between the two ends of a curve are moved out by so much that the ground on either side of
the line is what it was. For arcs, circles, ellipses and bulges that is exact; for splines the
small areas between curve and chords are measured and given back.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt
from ezdxf.math import BSpline, Vec3, fit_points_to_cad_cv

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.readers.coordinates import too_many

Floats = npt.NDArray[np.float64]

STEP = math.radians(3)
LEAST_CHORDS = 8  # so that a flat arc stays one
LARGEST_BULGE = 1e6  # its arc is a circle a quarter of a million chords wide
STRAIGHT = 1e-9
FINER = 8  # points on a spline to a chord of it
WRAP = 8  # fit points before and after a closed spline: their ends are felt no further


def unit_arc(start: float, sweep: float) -> Floats:
    """Return (n, 2) corners along an arc of the unit circle that keep the area of its sector.

    Parameters
    ----------
    start, sweep : float
        In radians; a negative sweep goes clockwise, and none is not an arc.

    Notes
    -----
    n chords of angle a make two triangles r·sin(a)/2 at the ends and n - 2 of r²·sin(a)/2 between.
    Their sum is |sweep|/2 for one radius r of the inner corners, a little over 1.
    """
    turn = abs(sweep)
    chords = max(LEAST_CHORDS, math.ceil(turn / STEP))
    radii = np.ones(chords + 1)
    sine = math.sin(turn / chords)
    inner = sine * (chords - 2)
    radii[1:-1] = (math.sqrt(sine * sine + inner * turn) - sine) / inner
    angles = start + sweep * np.arange(chords + 1) / chords
    return np.column_stack([radii * np.cos(angles), radii * np.sin(angles)])


def arc(centre: Floats, major: Floats, minor: Floats, start: float, sweep: float) -> Floats:
    """Return corners along an arc of a circle or ellipse, from its centre and two half axes."""
    cosines, sines = unit_arc(start, sweep).T
    return centre + np.outer(cosines, major) + np.outer(sines, minor)


def sweep_of(start: float, end: float) -> float:
    """Return the anticlockwise turn from one angle to the other [rad], a whole turn for none."""
    turn = math.fmod(end - start, math.tau)
    if turn < 0:
        turn += math.tau
    return turn if turn > STRAIGHT else math.tau


def bulged(corners: Floats, bulges: Sequence[float], *, closed: bool) -> Floats:
    """Return corners of a polyline whose sides may be arcs.

    Parameters
    ----------
    corners : (n, 2) array
    bulges : sequence of n floats
        Of the side after each corner: the tangent of a quarter of its angle, positive to the right
        of the way from corner to corner (an anticlockwise arc).
    closed : bool
        Whether the last corner is followed by the first.

    Raises
    ------
    InputRefused
        For a bulge that is no arc.
    """
    pieces = []
    for index in range(len(corners) if closed else len(corners) - 1):
        a, b = corners[index], corners[(index + 1) % len(corners)]
        pieces.append(_side(a, b, float(bulges[index]))[:-1])
    if not pieces or not closed:
        pieces.append(corners[-1:])
    return np.vstack(pieces)


def _side(a: Floats, b: Floats, bulge: float) -> Floats:
    if not abs(bulge) <= LARGEST_BULGE:
        raise InputRefused(
            f"a bulge of {bulge:.3g} is no arc", remedy="Draw that side again, or leave it out."
        )
    if abs(bulge) < STRAIGHT or not (a != b).any():
        return np.array([a, b])
    chord = b - a
    left = np.array([-chord[1], chord[0]])
    centre = (a + b) / 2 + left * (1 - bulge * bulge) / (4 * bulge)
    out = a - centre
    corners = arc(centre, out, np.array([-out[1], out[0]]), 0.0, 4 * math.atan(bulge))
    corners[0], corners[-1] = a, b
    return corners


def spline(tool: BSpline, span: tuple[int, int] | None = None) -> Floats:
    """Return (n, 3) corners along a B-spline that keep, seen from above, the area beside it.

    Parameters
    ----------
    tool : BSpline
    span : tuple of int, optional
        The first and the last knot to go between, counted without repeats; else all of it.

    Raises
    ------
    InputRefused
        For more knots than there may be vertices.
    """
    every = np.array(tool.knots(), dtype=np.float64)
    knots = np.unique(every[tool.degree : len(every) - tool.degree])
    if span is not None:
        knots = knots[span[0] : span[1] + 1]
    if len(knots) * LEAST_CHORDS > SITE.vertices:
        raise too_many()
    pieces = [_between(tool, a, b)[:-1] for a, b in pairwise(knots)]
    return np.vstack([*pieces, _points(tool, knots[-1:])])


def through(points: Sequence[Vec3], *, closed: bool) -> Floats:
    """Return corners along the curve that goes smoothly through fit points."""
    if not closed or len(points) < 3:  # noqa: PLR2004 - two points enclose nothing
        return spline(fit_points_to_cad_cv(points))
    ring = list(points[:-1] if points[0].isclose(points[-1]) else points)
    before = [ring[index % len(ring)] for index in range(-WRAP, 0)]
    after = [ring[index % len(ring)] for index in range(WRAP + 1)]
    return spline(fit_points_to_cad_cv([*before, *ring, *after]), (WRAP, WRAP + len(ring)))


def _between(tool: BSpline, start: float, end: float) -> Floats:
    """Return the corners between two neighbouring knots."""
    turn = _turning(_points(tool, np.linspace(start, end, 4 * LEAST_CHORDS + 1)))
    chords = max(LEAST_CHORDS // 2, min(math.ceil(turn / STEP), 4 * round(math.tau / STEP)))
    return kept(_points(tool, np.linspace(start, end, chords * FINER + 1)), FINER)


def kept(fine: Floats, every: int) -> Floats:
    """Return one in `every` points of a smooth line, moved so that the area beside it is kept.

    Parameters
    ----------
    fine : (n, 3) array
    every : int
        Points to a chord, at least two.
    """
    corners = fine[::every].copy()
    if len(corners) < 3:  # noqa: PLR2004 - no corner between the ends
        return corners
    near = fine[:, :2] - fine[0, :2]
    lost = _twice(near).reshape(-1, every).sum(axis=1) - _twice(near[::every])
    lost *= every**2 / (every**2 - 1)  # the fine line has lost a part of it too, as its square
    share = (lost[:-1] + lost[1:]) / 2
    share[0] += lost[0] / 2
    share[-1] += lost[-1] / 2
    base = (corners[2:] - corners[:-2])[:, :2]
    length = (base**2).sum(axis=1)
    moved = np.divide(share, length, out=np.zeros_like(share), where=length > 0)
    moved = np.clip(moved, -0.25, 0.25)  # at a cusp the two neighbours nearly meet
    corners[1:-1, :2] += moved[:, None] * np.column_stack([base[:, 1], -base[:, 0]])
    return corners


def _twice(points: Floats) -> Floats:
    """Return twice the area of the triangle from the origin to each step of a line."""
    a, b = points[:-1], points[1:]
    twice: Floats = a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]
    return twice


def _turning(points: Floats) -> float:
    steps = np.diff(points[:, :2], axis=0)
    steps = steps[(steps != 0).any(axis=1)]
    angles = np.diff(np.arctan2(steps[:, 1], steps[:, 0]))
    return float(np.abs((angles + math.pi) % math.tau - math.pi).sum())


def _points(tool: Any, parameters: Floats) -> Floats:
    return np.array([point.xyz for point in tool.points(parameters.tolist())], dtype=np.float64)
