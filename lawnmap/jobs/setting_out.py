"""What a plan says of where the work goes on the ground, once it is known what is to be done."""

from __future__ import annotations

from dataclasses import replace

import geopandas as gpd
import pandas as pd

from lawnmap.jobs.sampling import cores_to_take
from lawnmap.jobs.stages import Heard, reached, unheard
from lawnmap.model import Plan
from lawnmap.processing.setting_out.load_areas import load_areas
from lawnmap.processing.setting_out.passes import pass_lines
from lawnmap.processing.setting_out.refills import refills
from lawnmap.processing.setting_out.walking import walk
from lawnmap.processing.surveying.core_places import Layout
from lawnmap.processing.surveying.cores import thatch_mm
from lawnmap.processing.surveying.sampling import Asked
from lawnmap.processing.surveying.thatch_surface import thatch_surface
from lawnmap.reference import tables
from lawnmap.schema import DO, LEAVE

FIRST = 1  # the pass along which loads lie


def set_out(plan: Plan, *, asked: bool = False, heard: Heard = unheard) -> Plan:
    """Return a plan with the table ``passes`` and the layers that are laid out on the ground.

    Parameters
    ----------
    plan : Plan
        With its steps and loads, and the layers ``lawn``, ``treatable`` and ``kept_clear``.
    asked : bool
        Whether pass lines and the ground of loads are wanted however many zones there are.
    heard : callable
        Hears how far the work is.
    """
    heard(*reached("pass lines"))
    lines = pass_lines(
        plan.zones,
        plan.steps,
        plan.layers,
        plan.site.features,
        plan.specification,
        heights=plan.site.heights,
        asked=asked,
        heard=lambda share: heard(*reached("pass lines", share)),
    )
    layers = {"bouts": lines.bouts, **_on_foot(plan)}
    thatch = thatch_surface(plan.zones, plan.layers["lawn"].geometry, plan.site.features)
    if asked or len(plan.zones) <= tables.value("pass_lines_zones").number:
        layers["load_areas"] = _load_areas(plan, lines.passes)
    return replace(
        plan,
        layers={**plan.layers, **layers},
        grids={**plan.grids, "thatch": thatch.maps},
        tables={**plan.tables, "passes": lines.passes},
        warnings=(*plan.warnings, *lines.told),
    )


def _load_areas(plan: Plan, passes: pd.DataFrame) -> gpd.GeoDataFrame:
    """Return the ground of each load, which lies along the first pass."""
    first = passes[(passes["pass"] == FIRST) & passes["heading_deg"].notna()]
    keys = zip(first["zone_id"], first["operation"], strict=True)
    headings = dict(zip(keys, first["heading_deg"], strict=True))
    return load_areas(plan.loads, plan.steps, plan.layers["treatable"], headings)


def _on_foot(plan: Plan) -> dict[str, gpd.GeoDataFrame]:
    """Return where to fill up, the way round the zones, and where a first look takes its cores."""
    lawn, features = plan.layers["lawn"].geometry, plan.site.features
    worked = plan.steps[(plan.steps["status"] == DO) & (plan.steps["operation"] != LEAVE)]
    taken = thatch_mm(plan.zones, features)
    _, places = cores_to_take(
        plan.zones, lawn, taken, plan.specification, asked=Asked(), layout=Layout()
    )
    return {
        "refills": refills(plan.loads, lawn, features),
        "walk": walk(lawn, features, set(worked["zone_id"])),
        "core_places": places,
    }
