"""The step ``many_passes``: bouts of the blades of very many zones, counted and not drawn.

An estimate of what the step ``passes`` works out for one site, to plan crews and machines by: one
round along the edges, over the whole lawn with obstacles out, strips along them not taken off, no
lifting over what lies hidden, and the heading of least width where the exact step looks for fewest
turns or for a longest edge.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.geometry.frame import flats
from lawnmap.geometry.passes.many import counted, least_widths
from lawnmap.model import Specification
from lawnmap.processing import machines
from lawnmap.processing.setting_out.hand import BLADES
from lawnmap.processing.setting_out.pass_headings import ACUTE
from lawnmap.processing.setting_out.passes import DRIVEN
from lawnmap.reference import tables

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]

COLUMNS = ("bouts_heading_deg", "bouts", "bouts_m", "bouts_turns")


class _Chosen(NamedTuple):
    """Each zone's own heading, NaN for none [°], and share of the width covered twice."""

    heading_deg: Floats
    overlap: Floats


def many_passes(
    zones: gpd.GeoDataFrame, lawn: gpd.GeoSeries, specification: Specification
) -> gpd.GeoDataFrame:
    """Count the bouts of the blades over each zone, once over.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the steps ``choose`` and ``blade_strips``.
    lawn : GeoSeries
        What of each zone is lawn, in the order of the zones, longitude/latitude.
    specification : Specification
        Its ``pass_lines``: one's own heading and overlap.

    Returns
    -------
    GeoDataFrame
        With the columns of the step ``many_passes``; empty where no machine is walked or driven.
    """
    width_m = _widths_m(zones, specification)
    covered = zones["blades_area_m2"].to_numpy(dtype=float) > 0
    driven = np.flatnonzero((width_m > 0) & covered)
    here, area = zones.iloc[driven], flats(np.asarray(lawn.array, dtype=object)[driven])
    own = _chosen(here, specification)
    heading = np.where(np.isnan(own.heading_deg), _across_slope(here, area), own.heading_deg)
    table = {name: np.full(len(zones), np.nan) for name in COLUMNS}
    for overlap in np.unique(own.overlap):
        same = np.flatnonzero(own.overlap == overlap)
        rows = driven[same]
        found = counted(
            area[same], width_m[rows], overlap=float(overlap), heading_deg=heading[same]
        )
        lines = found.heading_deg, found.bouts, found.length_m, found.turns
        for name, values in zip(COLUMNS, lines, strict=True):
            table[name][rows] = values
    return zones.assign(**table)


def _widths_m(zones: gpd.GeoDataFrame, specification: Specification) -> Floats:
    """Return the working width of the machine of each zone; NaN without one that is driven [m]."""
    driven = zones["blades_kind"].isin(DRIVEN[BLADES]).to_numpy(dtype=bool)
    codes, names = pd.factorize(zones["blades"].to_numpy(dtype=object))
    found = [machines.named(str(name or ""), specification) for name in names]
    known = [np.nan if each is None or not each.width_m else each.width_m for each in found]
    return np.where(driven, np.array([*known, np.nan])[codes], np.nan)


def _across_slope(zones: gpd.GeoDataFrame, area: Shapes) -> Floats:
    """Return the heading across the face of a steep zone; NaN where fewest turns decide [°]."""
    slope = zones["slope_deg"].to_numpy(dtype=float)
    steep = np.flatnonzero(slope > tables.value("level_up_to_deg").number)
    heading = np.full(len(zones), np.nan)
    heading[steep] = least_widths(area[steep]).heading_deg
    pair = (zones["crossing_rule"] == ACUTE).to_numpy(dtype=bool)  # to either side of the contour
    heading[pair] -= tables.value("acute_crossing_deg").number / 2
    return heading


def _chosen(zones: gpd.GeoDataFrame, specification: Specification) -> _Chosen:
    """Return how lines are wanted in each zone: its own direction before that of all."""
    every = specification.choices.get("pass_lines") or {}
    own = specification.each("pass_lines", zones.index)
    kinds = {id(each): each for each in own}  # nearly all are the one of all zones
    codes, keys = pd.factorize(np.fromiter(map(id, own), np.int64, len(own)))
    wanted = [_one({**every, **(kinds[int(key)] or {})}) for key in keys]
    heading, overlap = np.array(wanted, dtype=np.float64).reshape(-1, 2).T
    return _Chosen(heading[codes], overlap[codes])


def _one(choice: dict[str, Any]) -> tuple[float, float]:
    heading, overlap = choice.get("heading_deg"), choice.get("overlap_pct")
    usual = tables.value("pass_overlap_share").number
    return (np.nan if heading is None else float(heading) % 180,
            usual if overlap is None else float(overlap) / 100)  # fmt: skip
