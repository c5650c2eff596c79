"""A plan reduced to what many sites are summed up from: plain figures that fit into one small file.

What is left of it says nothing of who owns the site or where its files lie.
"""

from __future__ import annotations

import math
from typing import Any

import geopandas as gpd
import pandas as pd

from lawnmap.jobs.sites.crew import packed
from lawnmap.model import Plan
from lawnmap.processing.days.prepared import Prepared
from lawnmap.processing.days.waits import IF_NEEDED, ROLE
from lawnmap.schema import DO, NO_WORK, NOT_ALLOWED, NOT_SET, PRICING, UNRATED

Part = dict[str, Any]

WORDS = ("zone_id", "operation", "status", "product", "unit", "machine", "rule", "day")
FIGURES = (
    "area_m2", "amount_low", "amount", "water_l", "hours_low", "hours", "machine_hours",
)  # fmt: skip


def reduced(plan: Plan, work: Prepared | None = None) -> Part:
    """Return a plan as JSON has it.

    Parameters
    ----------
    plan : Plan
    work : Prepared, optional
        Its steps that are to have a day, for days beside those of other sites.

    Returns
    -------
    dict
        ``site`` holds columns of the table ``sites``; ``steps`` those of the table ``steps`` that
        are summed up, each a list; ``work`` is what days are found from and ``crew`` what a
        crew's papers are made from; ``visits`` are days, ``out`` machines with the days on which
        they are out; ``region`` is what the site's header says, ``currency`` that of its cost.
    """
    steps = plan.steps[~plan.steps["operation"].isin(NO_WORK)]
    region = plan.site.header.get("region")
    out = dict.fromkeys((*plan.dates.out, *plan.dates.hire))
    return {
        "site": _site(plan, steps),
        "steps": {
            **{name: steps[name].to_list() for name in WORDS},
            **{name: [_figure(each) for each in steps[name]] for name in FIGURES},
        },
        "work": work.json() if work else {},
        "crew": packed(plan) if len(steps) else "",
        "visits": [day.isoformat() for day in plan.dates.visits],
        "out": sorted([name, day.isoformat()] for name, day in out),
        "region": region if isinstance(region, str) else "",
        "currency": str((plan.specification.choice("money") or {}).get("currency") or ""),
    }


def undated(steps: pd.DataFrame) -> pd.Series:
    """Tell which steps want a day and have none; what is priced only, if iron, wants none."""
    live = steps["status"].isin([DO, PRICING]) & (steps["day"] == "")
    iron = steps["operation"].map(ROLE) == "iron"
    waits = (steps["status"] == PRICING) & iron | (steps["rule"] == IF_NEEDED)
    return live & ~waits


def _site(plan: Plan, steps: pd.DataFrame) -> dict[str, Any]:
    ground = plan.zones["ground_area_m2"]
    live = steps[steps["status"].isin([DO, PRICING])]
    stopped = steps.loc[steps["status"].isin([NOT_SET, NOT_ALLOWED]), "zone_id"]
    worked = plan.zones.index.isin(set(live["zone_id"]))
    costs = plan.tables["costs"]["cost"].dropna()
    longitude, latitude = _middle(plan.zones) if plan.site.placed else (None, None)
    return {
        "title": plan.site.title,
        "longitude": longitude,
        "latitude": latitude,
        "zones": len(plan.zones),
        "worked": int(worked.sum()),
        "unrated": int((plan.zones["verdict"] == UNRATED).sum()),
        "stopped": int(stopped.nunique()),
        "ground_area_m2": math.fsum(ground),
        "worked_area_m2": math.fsum(ground[worked]),
        "cost": math.fsum(costs) if len(costs) else None,
    }


def _middle(zones: gpd.GeoDataFrame) -> tuple[float | None, float | None]:
    """Return the middle of the zones as longitude and latitude [°]; nothing without zones."""
    west, south, east, north = (float(each) for each in zones.total_bounds)
    return ((west + east) / 2, (south + north) / 2) if len(zones) else (None, None)


def _figure(cell: float) -> float | None:
    return None if math.isnan(cell) else float(cell)
