"""Spot heights: points of a plan with a height among their attributes."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number
from lawnmap.found import Feature, Heights
from lawnmap.geometry import surface
from lawnmap.geometry.local import UNITS_M

Floats = npt.NDArray[np.float64]

# Names of a column of heights; those that name a unit are in it, whatever else is said.
NAMES = {
    "height_m": "m",
    "height_ft": "ft",
    "height": "",
    "z": "",
    "h": "",
    "elevation": "",
    "level": "",
}
HIGHEST_M = 12_000.0
MOST_SPREAD_M = 500.0  # between the lowest and the highest of one site
STEEPEST_DEG = 45.0
APART_M = 0.001  # nearer than this two heights stand at one place
SAME_M = 0.05  # and are told when they differ by more
LEAST = 3


class Column(NamedTuple):
    """The attribute that holds the heights, and metres to one unit of it."""

    name: str
    unit_m: float


def heights_in(features: tuple[Feature, ...], units: str | None) -> Heights:
    """Return the points of a plan with their heights.

    Parameters
    ----------
    features : tuple of Feature
        In the file's order.
    units : str or None
        Unit of heights whose column does not name it; metres when not said.

    Raises
    ------
    InputRefused
        When one is no point or has no height, with its place.
    """
    column = column_in(features, units)
    points = [(*_place(each), _height(each, column)) for each in features]
    return Heights(np.array(points, dtype=np.float64).reshape(-1, 3))


def column_in(features: tuple[Feature, ...], units: str | None) -> Column:
    """Return the one attribute of the points that is a height.

    Raises
    ------
    InputRefused
        When there is none, or several could be it.
    """
    every = {name for each in features for name in each.properties}
    found = sorted(name for name in every if plain(name) in NAMES)
    if len(found) != 1:
        named = ", ".join(f"{name!r}" for name in found)[:80]
        raise InputRefused(
            f"several columns could be the height: {named}"
            if found
            else "has no column of heights",
            remedy=f"Keep one of these: {', '.join(NAMES)}. A third coordinate is not read.",
        )
    return Column(found[0], unit_m(NAMES[plain(found[0])] or units))


def unit_m(units: str | None) -> float:
    """Return metres to one of a unit of length; a metre when none was said.

    Raises
    ------
    InputRefused
        For a word that is none.
    """
    if (units or "m") not in UNITS_M:
        raise InputRefused(f"--units is {units!r}", remedy=f"It can be: {', '.join(UNITS_M)}.")
    return UNITS_M[units or "m"]


def plain(name: str) -> str:
    """Return the name of a column as it stands in NAMES."""
    return name.strip().lower().replace(" ", "_")


def _place(feature: Feature) -> list[float]:
    if feature.geometry["type"] != "Point":
        raise InputRefused(
            "is no point, and a height stands at one",
            place=feature.place,
            remedy="In a table, rows of one name are an outline: name each row for itself, or "
            "leave the names out.",
        )
    return list(feature.geometry["coordinates"][:2])


def _height(feature: Feature, column: Column) -> float:
    value = feature.properties.get(column.name)
    if value is None or isinstance(value, bool):
        raise _refusal(feature, f"has no {column.name}")
    try:
        height = number(value if isinstance(value, str) else repr(value)) * column.unit_m
    except ValueError as error:
        raise _refusal(feature, f"{column.name}: {error}") from error
    if not abs(height) <= HIGHEST_M:
        raise _refusal(feature, f"{column.name} is {height:.6g} m, and no ground on earth is there")
    return height


def _refusal(feature: Feature, problem: str) -> InputRefused:
    return InputRefused(problem, place=feature.place, remedy="Correct it, or leave the point out.")


def once(heights: Floats, metres: Floats) -> tuple[Floats, list[str]]:
    """Return heights with those at one place put together, and what was told of them.

    Parameters
    ----------
    heights : (n, 3) array
        Longitude, latitude, height.
    metres : (n, 2) array
        The same places in a flat frame.
    """
    _, first, group = np.unique(
        np.round(metres / APART_M), axis=0, return_index=True, return_inverse=True
    )
    group = group.reshape(-1)  # NumPy 2.0 alone gives it another shape
    count = np.bincount(group)
    mean = np.bincount(group, heights[:, 2]) / count
    spread = np.full(len(count), -np.inf)
    np.maximum.at(spread, group, np.abs(heights[:, 2] - mean[group]))
    result = heights[first].copy()
    result[:, 2] = np.where(count > 1, mean, result[:, 2])
    order = np.argsort(first)
    twice, apart = int((count > 1).sum()), float(spread[count > 1].max(initial=0.0))
    if not twice:
        return result[order], []
    told = f"{twice:,} places have more than one height; the mean was taken."
    if apart > SAME_M / 2:
        told += f" They differ by up to {apart:.2f} m from it: check them."
    return result[order], [told]


def check(metres: Floats) -> None:
    """Refuse heights that are no surface, or none that a lawn lies on.

    Parameters
    ----------
    metres : (n, 3) array
        East, north and height.

    Raises
    ------
    InputRefused
        For fewer than three, all on a line, or steeper over all than any garden.
    """
    if len(metres) < LEAST:
        raise InputRefused(
            f"holds heights at {len(metres)} places, and a surface takes three",
            remedy="Measure more; a dozen a lawn is a good number.",
        )
    spread = float(np.ptp(metres[:, 2]))
    if spread > MOST_SPREAD_M:
        raise InputRefused(
            f"the heights lie {spread:,.0f} m apart from lowest to highest",
            remedy="Look for a wrong one, and check their unit (--units).",
        )
    try:
        whole = surface.plane(metres)
    except ValueError as error:
        raise InputRefused(
            str(error), remedy="Measure heights on both sides of that line, too."
        ) from error
    if whole.slope_deg > STEEPEST_DEG:
        raise InputRefused(
            f"the ground would be {whole.slope_deg:.0f}° steep over all",
            remedy="Check the unit of the heights (--units) and of the places (--crs).",
        )
