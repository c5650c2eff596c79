"""Control points: places known both in the plan and on the earth, fitted and judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from lawnmap.errors import InputRefused
from lawnmap.geometry import fit
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.suspect import Suspect, suspect
from lawnmap.geometry.uncertainty import area_sigmas
from lawnmap.model import Site
from lawnmap.processing.entering.outlines import Shaped
from lawnmap.processing.position import control_warnings
from lawnmap.processing.replying.agreement import (
    Agreement,
    Control,
    ControlPoint,
    corner_sigma_m,
    in_plan,
    upright,
)

__all__ = ["Agreement", "Control", "ControlPoint", "agree", "header_for", "with_sigmas"]

Floats = npt.NDArray[np.float64]

FARTHEST_M = 20_000.0  # between two points of one plan; past it one of them is mistyped
NEVER_WRONG_M = 0.05  # common practice, no source: nobody finds a place on the ground better
GROSSLY = 2.0  # times its own size: no paper stretches so; it is another unit
PLAINLY = 10.0  # how much larger the residuals are the right way up when a plan lies face down
POLE_DEG = 89.9  # no lawn, and no east


class Route(Protocol):
    """How a plan was placed, as far as it tells how well its corners are known."""

    @property
    def sigma_m(self) -> float | None:
        """Standard error of a corner in each direction [m]."""

    @property
    def scale_sigma(self) -> float | None:
        """Standard error of the scale, as a part of it."""

    @property
    def outline_source(self) -> str:
        """How the outlines were got; empty when the route does not tell."""


def with_sigmas(shaped: Sequence[Shaped], placing: Route) -> list[Shaped]:
    """Return the features, each zone that does not know its corners' standard error given one."""
    return [_with_sigma(each, placing) for each in shaped]


def _with_sigma(each: Shaped, placing: Route) -> Shaped:
    if placing.sigma_m is None or each.kind != "zone" or "outline_sigma_m" in each.properties:
        return each
    outline = np.array([each.shape], dtype=object)
    area, span = areas(outline)[0], area_sigmas(outline, np.array([2.0]))[0]
    sigma = corner_sigma_m(float(area), float(span), placing.sigma_m, placing.scale_sigma)
    said = {"outline_source": placing.outline_source} if placing.outline_source else {}
    return replace(each, properties={**said, **each.properties, "outline_sigma_m": sigma})


def header_for(site: Site, control: Control) -> dict[str, Any]:
    """Return what the header of the site says with a plan that is placed by control points.

    Raises
    ------
    InputRefused
        When the points are on the earth and what is drawn on the site is not, or the other way
        round.
    """
    if site.document["features"] and site.placed != (control.local is None):
        raise InputRefused(
            "the site has a place on the earth and the control points have none"
            if site.placed
            else "the control points are on the earth and the site is not",
            remedy="Give their longitude and latitude, or east and north with --crs."
            if site.placed
            else "Place the site first with `lawnmap place`, or give --crs local and the points "
            "in the site's own metres.",
            file=control.sheet,
        )
    return control.header


def agree(control: Control, *, unit_m: float | None = 1.0, picture: bool = False) -> Agreement:
    """Fit control points.

    Parameters
    ----------
    control : Control
    unit_m : float or None
        Metres to one unit of the plan, to compare the scale with; None when it is not known.
    picture : bool
        Whether the plan is a picture: y are rows, which go down, and the scale is any.

    Returns
    -------
    Agreement

    Raises
    ------
    InputRefused
        When the points do not fix the plan, naming them and the sheet they stand in.
    """
    try:
        return _agreed(control, unit_m, picture=picture)
    except InputRefused as error:
        raise error.within(file=control.sheet) from error.__cause__


def _agreed(control: Control, unit_m: float | None, *, picture: bool) -> Agreement:
    """Return the fit, having refused points that do not fix the plan."""
    names = ", ".join(point.name for point in control.points)
    source = upright(in_plan(control), picture=picture)
    lonlat = np.array([[point.lon, point.lat] for point in control.points]).reshape(-1, 2)
    frame = _frame(control, lonlat)
    target = frame.to_metres(lonlat) if len(lonlat) else lonlat
    try:
        found = fit.fitted(source, target, control.kind)
    except ValueError as error:
        least = fit.WORDS[control.kind]
        raise InputRefused(
            f"{error} ({names})" if names else str(error),
            remedy=f"Give {least} or more that lie well apart; four or more show a wrong one.",
        ) from error
    _check_side(found, source, target, picture=picture)
    doubt = suspect(source, target, control.kind, NEVER_WRONG_M)
    if unit_m is not None and not picture:
        _check_size(found, source, target, doubt, unit_m)
    made = Agreement(control, frame, found, doubt, picture)
    return replace(made, warnings=control_warnings.of(made, source, unit_m))


def _check_size(
    found: fit.Similarity | fit.Affine,
    source: Floats,
    target: Floats,
    doubt: Suspect | None,
    unit_m: float,
) -> None:
    """Refuse points that make a plan of a known unit many times its own size.

    Without the point in doubt, if there is one: a slip of kilometres is told as what it is.
    """
    if doubt is not None:
        kept = np.arange(len(source)) != doubt.which
        found = fit.similarity(source[kept], target[kept])
    times = found.scale / unit_m
    if not 1 / GROSSLY < times < GROSSLY:
        raise InputRefused(
            f"the control points make the plan {times:,.5g} times its own size",
            remedy="Give their places in the plan in its own unit, or, if the plan's unit is "
            "wrong, the true one with --units.",
        )


def _frame(control: Control, lonlat: Floats) -> Frame:
    """Return metres about the middle of the points, refusing those that cannot be of one plan."""
    for point in control.points:
        if not (abs(point.lon) <= 180 and abs(point.lat) < POLE_DEG):  # noqa: PLR2004 - the earth
            raise InputRefused(
                f"is off the earth or at a pole (longitude {point.lon:g}, latitude {point.lat:g})",
                place=f"control point {point.name!r}",
                remedy="Give longitude, then latitude, in degrees.",
            )
    if not len(lonlat):
        return Frame(0.0, 0.0)
    at = Frame(*lonlat[0].tolist())
    metres = at.to_metres(lonlat)
    away = np.hypot(*(metres - np.median(metres, axis=0)).T)
    if float(away.max()) > FARTHEST_M / 2:
        worst = int(away.argmax())
        raise InputRefused(
            f"is {away[worst] / 1000:,.4g} km from the others",
            place=f"control point {control.points[worst].name!r}",
            remedy="Check it: longitude first, then latitude, west and south with a minus sign.",
        )
    middle = at.to_lonlat(metres.mean(axis=0)[None])[0].tolist()
    return Frame(*middle)


def _check_side(
    found: fit.Similarity | fit.Affine, source: Floats, target: Floats, *, picture: bool
) -> None:
    """Refuse points that agree only when the plan is seen from behind.

    A similarity cannot turn a plan over: it fits badly, where that of the plan turned over fits. An
    affine can, which is told as a warning.
    """
    if isinstance(found, fit.Affine) or not found.checked:
        return
    over = fit.similarity(source * np.array([1.0, -1.0]), target)
    if found.rmse > max(PLAINLY * over.rmse, NEVER_WRONG_M):
        raise InputRefused(
            "the control points agree only if the plan is seen from behind",
            remedy="Rows are counted from the top down, without a minus sign; is column given "
            "before row, and longitude before latitude?"
            if picture
            else "Is x given before y, and longitude before latitude (east before north)? Does y "
            "grow upwards in the plan?",
        )
