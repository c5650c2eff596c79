"""Invented tables of many sites, as a run over them gives: no such places, people or products."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.model import Machine, Product, Specification
from lawnmap.processing.many.depots import depot_machines, depot_shopping
from lawnmap.processing.many.totals_by import totals_by
from lawnmap.schema import DO, DONE, NOT_SET, PRICING

TODAY = dt.date(2027, 7, 1)
MIDDLE = (3.0, 55.0)  # open sea: nobody lives there
REGIONS = ("North shore", "South shore", "Upper town", "Lower town", "Parks")
DEPOTS = ("Harbour yard", "Mill yard")
IRON, SEED = "Moorland iron salt (invented)", "Hard-wearing mixture (invented)"
MONTHS = ("2027-08", "2027-09", "2027-10")
# operation, product, unit, amount and litres of water on a square metre, hours on 100 m²
WORK = (
    ("iron_soluble", IRON, "g", 5.0, 0.5, 0.15),
    ("scarifying", "", "", 0.0, 0.0, 0.6),
    ("clearing", "", "l", 6.0, 0.0, 0.8),
    ("overseeding", SEED, "g", 20.0, 0.0, 0.1),
)
MACHINE = {
    "iron_soluble": "knapsack", "scarifying": "petrol scarifier", "clearing": "",
    "overseeding": "seed spreader",
}  # fmt: skip


def specifications() -> dict[str, Specification]:
    """Return cards, machines and crew of both depots."""
    cards = [
        Product(
            IRON, "soluble", authorised_for_moss=True, stock=3000.0,
            packs=((1000.0, "g", 9.0), (25000.0, "g", 140.0)),
        ),
        Product(SEED, "seed", packs=((1000.0, "g", 12.0), (20000.0, "g", 150.0))),
    ]  # fmt: skip
    own = [
        Machine("knapsack", "knapsack", hire_a_day=0.0),
        Machine("petrol scarifier", "petrol", hire_a_day=45.0, hire_delivery=20.0),
        Machine("seed spreader", "spreader"),
    ]
    choices = {
        "crew": {"people": 2, "hours_a_day": 7.0},
        "money": {"currency": "EUR", "decimals": 2},
    }
    made = Specification(
        choices,
        products={each.name: each for each in cards},
        machines={each.name: each for each in own},
    )
    return dict.fromkeys(DEPOTS, made)


def sites(count: int, *, seed: int = 7, names: list[str] | None = None) -> pd.DataFrame:
    """Return the table ``sites``: most planned, some done, unrated, stopped, or in trouble."""
    chance = np.random.default_rng(seed)
    place = np.arange(count)
    state = place % 10
    zones = chance.integers(1, 30, count).astype(float)
    ground = np.round(chance.lognormal(6.5, 1.1, count), 2)
    planned = state < 6
    day = [TODAY + dt.timedelta(days=int(each)) for each in chance.integers(30, 110, count)]
    trouble = state == 9
    spread = max(np.log10(count) * 0.12, 0.02)
    table = pd.DataFrame(
        {
            "site_id": [f"site-{each:05d}" for each in place],
            "title": names or [f"{REGIONS[each % 5]} lawn {each}" for each in place],
            "region": [REGIONS[each % 5] for each in place],
            "depot": [DEPOTS[each % 2] for each in place],
            "longitude": MIDDLE[0] + chance.normal(0, spread, count) + 0.3 * (place % 5),
            "latitude": MIDDLE[1] + chance.normal(0, spread / 2, count) + 0.1 * (place % 3),
            "zones": zones,
            "worked": np.where(planned, np.ceil(zones / 2), 0.0),
            "unrated": np.where(state == 7, zones, 0.0),
            "stopped": np.where(state == 8, 1.0, 0.0),
            "ground_area_m2": ground,
            "worked_area_m2": np.where(planned, np.round(ground / 2, 2), 0.0),
            "hours_low": np.where(planned, np.round(ground / 200, 2), 0.0),
            "hours": np.where(planned, np.round(ground / 120, 2), 0.0),
            "visits": np.where(planned, 3.0, np.nan),
            "day_first": [
                each.isoformat() if on else "" for each, on in zip(day, planned, strict=True)
            ],
            "day_last": [
                (each + dt.timedelta(days=14)).isoformat() if on else ""
                for each, on in zip(day, planned, strict=True)
            ],
            "undated": np.where(planned & (place % 7 == 0), 1.0, 0.0),
            "cost": np.where(planned, np.round(ground * 0.4, 2), np.nan),
            "trouble": np.where(trouble, "The site file is damaged: line 3.", ""),
        }
    )  # fmt: skip
    figures = ["zones", "worked", "unrated", "stopped", "ground_area_m2", "worked_area_m2"]
    table.loc[trouble, [*figures, "longitude", "latitude", "hours_low", "hours"]] = np.nan
    return table.astype(dict.fromkeys(("site_id", "title", "region", "depot", "trouble"), object))


def needs(of: pd.DataFrame, *, seed: int = 7) -> pd.DataFrame:
    """Return the table ``site_needs`` of some sites."""
    chance = np.random.default_rng(seed)
    rows = []
    for row in of[of["trouble"] == ""].to_dict("records"):
        state = int(row["site_id"][-1])
        if state == 7:
            continue
        status = {6: DONE, 8: NOT_SET}.get(state, PRICING if state == 5 else DO)
        for operation, product, unit, amount, water, _ in WORK:
            ground = row["ground_area_m2"] / 2
            share = float(chance.uniform(0.5, 1.0))
            rows.append(
                {
                    **{name: row[name] for name in ("site_id", "region", "depot")},
                    "month": row["day_first"][:7],
                    "operation": operation,
                    "product": product,
                    "status": status if product else (DONE if status == DONE else DO),
                    "unit": unit,
                    "zones": row["zones"],
                    "area_m2": ground,
                    "amount_low": ground * amount * share,
                    "amount": ground * amount,
                    "water_l": ground * water,
                }
            )
    return _table(rows, "site_needs")


def hours(of: pd.DataFrame) -> pd.DataFrame:
    """Return the table ``site_hours`` of some sites."""
    rows = [
        {
            **{name: row[name] for name in ("site_id", "region", "depot")},
            "month": row["day_first"][:7],
            "operation": operation,
            "machine": MACHINE[operation],
            "zones": row["zones"],
            "area_m2": row["ground_area_m2"] / 2,
            "hours_low": row["ground_area_m2"] / 200 * each * 0.7,
            "hours": row["ground_area_m2"] / 200 * each,
            "machine_hours": row["ground_area_m2"] / 200 * each * 0.6,
        }
        for row in of[of["worked"] > 0].to_dict("records")
        for operation, _, _, _, _, each in WORK
    ]
    return _table(rows, "site_hours")


def out(of: pd.DataFrame) -> pd.DataFrame:
    """Return on which days the scarifier is out."""
    planned = of[of["day_first"] != ""]
    return pd.DataFrame(
        {"depot": planned["depot"], "machine": "petrol scarifier", "day": planned["day_first"]}
    )


def tables(count: int, **given: Any) -> dict[str, pd.DataFrame]:
    """Return every table of a run over many sites."""
    of = sites(count, **given)
    needed, worked = needs(of), hours(of)
    return {
        "sites": of,
        "site_needs": needed,
        "site_hours": worked,
        "totals_by": totals_by(needed, worked),
        "depot_shopping": depot_shopping(needed, specifications()),
        "depot_machines": depot_machines(worked, specifications(), out(of)),
    }


def _table(rows: list[dict[str, Any]], name: str) -> pd.DataFrame:
    columns = {column.name: column.dtype for column in schema.columns(name)}
    return pd.DataFrame(rows, columns=[*columns]).astype(columns)


def dated(of: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """Return the tables of the plans of some sites: two zones each, iron one day, seed another."""
    steps, loads, zones = [], [], []
    for row in of[of["day_first"] != ""].to_dict("records"):
        for zone, day in (("front", row["day_first"]), ("back", row["day_last"])):
            own = {"site_id": row["site_id"], "zone_id": zone}
            zones.append(own | {"name": f"{zone.title()} of {row['title']}"})
            for place, (operation, product, unit, amount, water, each) in enumerate(WORK):
                ground = row["ground_area_m2"] / 4
                steps.append(
                    own
                    | {
                        "operation": operation, "sequence": place, "status": DO, "unit": unit,
                        "product": product, "machine": MACHINE[operation], "day": day,
                        "kind": "spray" if water else "", "amount": ground * amount or np.nan,
                        "water_l": ground * water, "area_m2": ground,
                        "hours": ground / 100 * each, "machine_hours": ground / 100 * each,
                    }
                )  # fmt: skip
                if water:
                    loads.append(
                        own
                        | {
                            "operation": operation, "sequence": place, "product": product,
                            "product_unit": unit, "full_loads": 2.0, "full_product": 50.0,
                            "last_product": 20.0, "runs": 1.0,
                        }
                    )  # fmt: skip
    ways = pd.DataFrame({"site_id": of["site_id"], "feature": "access"})
    return {
        "steps": _stacked(steps, "steps"),
        "loads": _stacked(loads, "loads"),
        "zones": pd.DataFrame(zones, columns=["site_id", "zone_id", "name"]),
        "features": ways,
    }


def _stacked(rows: list[dict[str, Any]], name: str) -> pd.DataFrame:
    columns = {column.name: column.dtype for column in schema.columns(name)}
    return pd.DataFrame(rows, columns=["site_id", *columns]).astype(columns)
