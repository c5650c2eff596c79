"""What is said of a walked outline: its pieces, its ends, its lobes and how far it may be out."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.geometry import drift, ellipsoid, lobes, overshoot, uncertainty
from lawnmap.geometry.frame import about
from lawnmap.reference import tables

GPS = "gps"
# How far along a walk the errors of fixes go together [m]: 30 to 60 s at 0.5 to 1 m/s. Common
# practice, no source. Which of them gives the larger error depends on the size of the lawn.
REACHES_M = (15.0, 30.0, 60.0)
COARSE = 0.1  # of the area: a larger error (95 %) is advised against
SHOWN = 5  # lobes in one sentence
PAIR = 2


class Crossing(NamedTuple):
    """A walk that crosses itself, in words, and the lobes of it that are worth keeping."""

    words: str
    mended: BaseGeometry


def is_walk(properties: Mapping[str, Any]) -> bool:
    """Tell whether an outline was got by a receiver."""
    return any(
        name.strip().lower() == "outline_source" and str(value).strip().lower() == GPS
        for name, value in properties.items()
    )


def joined(pieces: BaseGeometry, *, asked: bool) -> tuple[BaseGeometry, str]:
    """Return the pieces of a walk joined in order by straight lines, and the words that say so.

    Parameters
    ----------
    pieces : MultiLineString
        Longitude/latitude [°].
    asked : bool
        Whether somebody said that it is an outline; pieces are never joined unasked.

    Raises
    ------
    InputRefused
        When it was not asked for.
    """
    parts = [shapely.get_coordinates(part) for part in shapely.get_parts(pieces)]
    ends = [shapely.LineString([one[-1], other[0]]) for one, other in pairwise(parts)]
    metres = ellipsoid.perimeters(np.array(ends, dtype=object))
    shown = ", ".join(f"{each:.1f} m" for each in metres[:SHOWN])
    more = f" and {len(metres) - SHOWN} more" if len(metres) > SHOWN else ""
    if not asked:
        raise InputRefused(
            f"the walk was broken off: {len(parts)} pieces, with {shown}{more} between them",
            remedy="Give --as zone to join them in order by straight lines, or walk it again.",
        )
    line = shapely.LineString(np.vstack(parts))
    return line, f"{len(parts)} pieces joined in order by straight lines of {shown}{more}."


def trimmed(line: BaseGeometry) -> tuple[BaseGeometry, str]:
    """Return a walk cut where its end meets its beginning, and the words; none when it does not."""
    frame = about(line)
    metres = frame.to_metres(shapely.get_coordinates(line))
    cut = overshoot.without_overshoot(metres)
    if cut is None:
        return line, ""
    short = shapely.LineString(metres).length - shapely.LineString(cut).length
    return (
        shapely.LineString(frame.to_lonlat(cut)),
        f"the walk goes on past where it began; {short:.1f} m were cut off where the ends meet.",
    )


def crossing(outline: BaseGeometry) -> Crossing | None:
    """Return the lobes of a walk that crosses itself; None when it is not one ring, or too wild.

    Too wild is what crosses itself hundreds of times, or so finely that degrees cannot tell.
    """
    if outline.geom_type != "Polygon" or len(shapely.get_rings(outline)) != 1:
        return None
    frame = about(outline)
    found = lobes.lobes(frame.to_metres(shapely.get_coordinates(outline)))
    if not found:
        return None
    kept = lobes.without_knots(found)
    mended = shapely.transform(lobes.together(kept), frame.to_lonlat)
    return Crossing(_words(kept, found), mended) if shapely.is_valid(mended) else None


def _words(kept: list[lobes.Lobe], found: list[lobes.Lobe]) -> str:
    first = kept[0].turn
    shown = [
        f"{lobe.area:.1f} m²{' (walked the other way round)' if lobe.turn != first else ''}"
        for lobe in kept[:SHOWN]
    ]
    if len(kept) > SHOWN:
        shown.append(f"{len(kept) - SHOWN} more")
    several = " and ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)
    noun = "lobe" if len(kept) == 1 else "lobes"
    words = f"the walk crosses itself: {len(kept)} {noun} of {several}"
    if len(kept) == PAIR and kept[1].turn != first:
        words += ", a figure of eight"
    knots = [lobe.area for lobe in found if lobe not in kept]
    if knots:
        noun = "a knot" if len(knots) == 1 else f"{len(knots)} knots"
        words += f", and {noun} of {sum(knots):.2f} m²"
    return words


def with_error(
    properties: dict[str, Any], outline: BaseGeometry
) -> tuple[dict[str, Any], list[str]]:
    """Return the properties of a walked zone with its ``outline_sigma_m``, and advice if need be.

    Errors of successive fixes go together, so that the figure for a single fix would make the
    error of the area far too small. The figure given is the one with which
    :func:`lawnmap.geometry.uncertainty.area_sigmas` gives the error of the walk.

    Parameters
    ----------
    properties : dict
        Of a zone; one that gives its own ``outline_sigma_m`` is believed.
    outline : Polygon or MultiPolygon
        Longitude/latitude [°], sound.
    """
    if not is_walk(properties) or properties.get("outline_sigma_m") is not None:
        return properties, []
    advice: list[str] = []
    sigma_m = tables.value("outline_sigma_gps_m").number
    area_sigma_m2 = area_sigma(outline, sigma_m)
    shape = np.array([outline], dtype=object)
    one_metre = float(uncertainty.area_sigmas(shape, np.ones(1))[0])
    sigma = round(area_sigma_m2 / one_metre, 3)
    area, out = float(ellipsoid.areas(shape)[0]), uncertainty.NORMAL_95 * area_sigma_m2
    if out > COARSE * area:
        advice.append(
            f"{area:,.0f} m² ± {out:,.0f} m² (95 %): a phone's fixes are too coarse for a lawn of "
            "this size: tape it, or trace it on a plan picture."
        )
    return {**properties, "outline_sigma_m": sigma}, advice


def area_sigma(outline: BaseGeometry, sigma_m: float) -> float:
    """Return the standard error of a walked area [m²]; rings are taken as walks of their own.

    Parameters
    ----------
    outline : Polygon or MultiPolygon
        Longitude/latitude [°].
    sigma_m : float
        Standard error of one fix in each direction.
    """
    frame = about(outline)
    rings = [
        frame.to_metres(shapely.get_coordinates(ring)[:-1])
        for ring in shapely.get_rings(shapely.get_parts(outline))
    ]
    errors = [[drift.area_sigma(ring, sigma_m, reach) for ring in rings] for reach in REACHES_M]
    return max(float(np.hypot.reduce(each)) for each in errors)
