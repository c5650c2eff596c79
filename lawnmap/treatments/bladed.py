"""Passes with a rake or a machine, whichever was chosen for the zone."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import row, work

STOP = "stop when soil shows in the slots or live grass comes out by its roots"


def bladed(
    zones: gpd.GeoDataFrame, specification: Specification, *, operation: str, by_hand: bool
) -> pd.DataFrame:
    """Return the rows of raking (by hand) or of scarifying.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    operation : str
        Name of the treatment.
    by_hand : bool
        Whether the zones that a rake was chosen for are meant.
    """
    kind = zones["blades_kind"].to_numpy(dtype=object)
    worked = zones["passes"].to_numpy(dtype=float) > 0
    mine = worked & (kind != "") & ((kind == "rake") == by_hand)
    here = zones[mine]
    area = here["ground_area_m2"].to_numpy(dtype=float)
    passes = here["passes"].to_numpy(dtype=float)
    name = here["blades"].to_numpy(dtype=object)
    low, high = work.hours(area, name, specification, passes)
    hidden = here["hidden"].to_numpy(dtype=object) != ""
    found = row.rows(
        here,
        operation,
        rule="hours_by_hand" if by_hand else "hours_by_capacity",
        machine=name,
        passes=passes,
        area_m2=area,
        hours_low=low,
        hours=high,
        flag=np.where(hidden, "hidden here: " + here["hidden"] + ". Mark it first", ""),
        remark=[_how(each) for each in here.to_dict("records")],
    )
    return pd.concat([found, _without(zones[worked & (kind == "")], specification, operation)])


def _how(zone: dict[str, object]) -> str:
    depth = "" if pd.isna(zone["depth_low_mm"]) else tables.sentence(str(zone["depth_rule"]), zone)  # type: ignore[call-overload]
    way = str(zone["crossing"] or "one way")
    return f"{depth} {way[0].upper()}{way[1:]}; {STOP}.".strip()


def _without(zones: gpd.GeoDataFrame, specification: Specification, operation: str) -> pd.DataFrame:
    """Return a row for each zone that nothing to hand may do, once."""
    chosen = [specification.choice("operations", str(each)) or () for each in zones.index]
    first = [
        next((name for name in ("scarifying", "raking") if name in each), "") for each in chosen
    ]
    here = zones[np.array([name == operation for name in first], dtype=bool)]
    rule = here["blades_rule"].to_numpy(dtype=object)
    return row.rows(here, operation, rule=rule, status=schema.NOT_ALLOWED)
