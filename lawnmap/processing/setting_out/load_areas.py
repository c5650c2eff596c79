"""The step ``load_areas``: the ground that each can, tank or hopper does, to be pegged out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.geometry.carving import carve
from lawnmap.geometry.frame import about
from lawnmap.geometry.passes.headings import least_width
from lawnmap.model import LONLAT

NAMES = [column.name for column in schema.columns("load_areas")]
MOST_LOADS = 60  # of a zone and step; nobody pegs out more, and a map of them says nothing
EQUAL = 1e-6  # of an area: loads that cover another ground than this step's are not drawn
FEEDING = "feeding"


def load_areas(
    loads: pd.DataFrame,
    steps: pd.DataFrame,
    treatable: gpd.GeoDataFrame,
    headings: Mapping[tuple[str, str], float],
) -> gpd.GeoDataFrame:
    """Return the ground of each load, in the order in which the crew goes over the zone.

    Parameters
    ----------
    loads, steps : DataFrame
        Tables of the schema.
    treatable : GeoDataFrame
        The layer of that name.
    headings : mapping of (zone_id, operation) to float
        Direction of the first pass, clockwise from true north [°]; without one a load lies along
        the zone's narrowest way.

    Returns
    -------
    GeoDataFrame
        The layer ``load_areas`` of the schema. A step on patches only has none, since nobody has
        mapped the patches, and neither has one of more than 60 loads.
    """
    kinds = steps.set_index(["zone_id", "sequence"])["kind"]
    ground = treatable.set_index(["zone_id", "kind"])
    rows: list[dict[str, Any]] = []
    for load in loads.to_dict("records"):
        kind = "feed" if load["operation"] == FEEDING else kinds[load["zone_id"], load["sequence"]]
        if (load["zone_id"], kind) in ground.index:
            here = ground.loc[(load["zone_id"], kind)]
            rows += _of_step(load, here, headings.get((load["zone_id"], load["operation"])))
    return gpd.GeoDataFrame(rows, columns=[*NAMES, "geometry"], geometry="geometry", crs=LONLAT)


def _of_step(
    load: Mapping[Any, Any], ground: pd.Series, heading_deg: float | None
) -> Iterator[dict[str, Any]]:
    """Yield a row for each load of a step, the part-load last."""
    each = [_part(load, "full")] * int(load["full_loads"])
    each += [_part(load, "last")] if load["last_area_m2"] > 0 else []
    covered = sum(part["area_m2"] for part in each)
    if len(each) > MOST_LOADS or abs(covered - ground["area_m2"]) > EQUAL * ground["area_m2"]:
        return
    frame = about(ground.geometry)
    (flat,) = frame.flat(np.array([ground.geometry], dtype=object))
    heading = least_width(flat).heading_deg if heading_deg is None else heading_deg
    pieces = frame.round(np.array(carve(flat, [part["area_m2"] for part in each], heading)))
    said = {name: load[name] for name in ("zone_id", "operation", "sequence", "product")}
    for number, (part, piece) in enumerate(zip(each, pieces, strict=True), start=1):
        yield said | part | {"load": number, "unit": load["product_unit"], "geometry": piece}


def _part(load: Mapping[Any, Any], which: str) -> dict[str, float]:
    return {
        "amount": load[f"{which}_product"],
        "water_l": load[f"{which}_water_l"],
        "area_m2": load[f"{which}_area_m2"],
    }
