"""A fit of control points: where it puts a plan, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.agronomy.sampling import normal_quantile, student_quantile
from lawnmap.geometry import fit
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.local import Local
from lawnmap.geometry.suspect import Suspect

Floats = npt.NDArray[np.float64]

LEVEL = 0.95


class ControlPoint(NamedTuple):
    """One place: where it is in the plan (in its own units; pixels of a picture) and on earth."""

    name: str
    x: float
    y: float
    lon: float
    lat: float


@dataclass(frozen=True)
class Control:
    """Control points, and what is to be fitted to them.

    Attributes
    ----------
    points : tuple of ControlPoint
    kind : str
        ``similarity`` or ``affine``.
    local : Local or None
        Of points that are known in the metres of an unplaced site and not on the earth: how their
        lon and lat stand for those metres.
    sheet : str
        Name of the file that they stand in, for messages; empty when they were typed.
    """

    points: tuple[ControlPoint, ...]
    kind: str = "similarity"
    local: Local | None = None
    sheet: str = ""

    @property
    def header(self) -> dict[str, Any]:
        """What the header of a site says that is placed by these points."""
        if self.local is None:
            return {"placed": True}
        anchor, origin = (list(each) for each in self.local)
        return {"placed": False, "anchor": anchor, "origin": origin}


@dataclass(frozen=True)
class Agreement:
    """A fit of control points.

    Attributes
    ----------
    control : Control
    frame : Frame
        Local metres about the middle of the points; the fit goes from the plan into it.
    fit : Similarity or Affine
        With its residuals [m].
    suspect : Suspect or None
        Which point is most likely wrong; only ever named when four or more leave no doubt.
    picture : bool
        Whether y are rows, which go down.
    warnings : tuple of str
        What a person should know, each a whole sentence.
    """

    control: Control
    frame: Frame
    fit: fit.Similarity | fit.Affine
    suspect: Suspect | None = None
    picture: bool = False
    warnings: tuple[str, ...] = ()

    def to_lonlat(self, xy: Floats) -> Floats:
        """Return (n, 2) places of the plan as longitude/latitude [°]."""
        return self.frame.to_lonlat(self.fit.apply(upright(xy, picture=self.picture)))

    @property
    def _wider(self) -> float:
        """How much wider Student's 95 % is than the normal one, for the few points there are."""
        return student_quantile(LEVEL, self.fit.spare) / normal_quantile(LEVEL)

    @property
    def sigma_m(self) -> float | None:
        """Standard error of a place of the plan, in each direction [m]; None without a check.

        That of a control point's coordinate, made so much larger that 1.96 of it hold 95 % however
        few points it comes from. What the plan and what the ground is out by cannot be told apart.
        """
        return None if self.fit.s0 is None else self.fit.s0 * self._wider

    @property
    def scale_sigma(self) -> float | None:
        """Standard error of the scale, as a part of it, enlarged likewise; None without a check.

        Every area is out by twice this part of it, and all in the same direction.
        """
        error = self.fit.scale_sigma
        return None if error is None else error / self.fit.scale * self._wider

    def corner_sigma_m(self, area_m2: float, span_m: float) -> float | None:
        """Return what a corner would be out by if all of an area's error came from its corners.

        See :func:`corner_sigma_m`; None without a check.
        """
        return corner_sigma_m(area_m2, span_m, self.sigma_m, self.scale_sigma)

    @property
    def names(self) -> tuple[str, ...]:
        """The points' names."""
        return tuple(point.name for point in self.control.points)

    def reach(self, xy: Floats) -> float:
        """Return how much farther than the farthest control point places of the plan lie.

        Both from the middle of the control points; 1 for a plan that reaches as far as they do.
        """
        points = in_plan(self.control)
        middle = points.mean(axis=0)
        within = np.hypot(*(points - middle).T).max()
        return float(np.hypot(*(xy - middle).T).max() / within) if len(xy) else 0.0


def upright(xy: Floats, *, picture: bool) -> Floats:
    """Return places of a plan with y upwards; a picture's rows are counted downwards."""
    return xy * np.array([1.0, -1.0]) if picture else xy


def in_plan(control: Control) -> Floats:
    """Return (n, 2) places of the points in the plan."""
    return np.array([[point.x, point.y] for point in control.points], dtype=float).reshape(-1, 2)


def corner_sigma_m(
    area_m2: float, span_m: float, sigma_m: float | None, scale_sigma: float | None
) -> float | None:
    """Return what a corner would be out by if all of an area's error came from its corners [m].

    The area's variance is that of corners out by `sigma_m`, (sigma_m / 2 · span)², and that of the
    scale, (2 · area · scale_sigma)²; the error of the scale is common to all corners.

    Parameters
    ----------
    area_m2 : float
    span_m : float
        The root of the sum of ``|P(i+1) - P(i-1)|²`` round the outline: see
        :func:`lawnmap.geometry.uncertainty.area_sigmas`.
    sigma_m : float or None
        Standard error of a corner, in each direction.
    scale_sigma : float or None
        Standard error of the scale, as a part of it; None when there is none of its own.
    """
    if sigma_m is None:
        return None
    from_scale = 4 * area_m2 * (scale_sigma or 0.0) / span_m if span_m > 0 else 0.0
    return float(np.hypot(sigma_m, from_scale))
