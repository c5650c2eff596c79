"""An invented site in the open sea, and a plan for it, as the pipeline would hand it on."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely
from shapely.geometry import mapping

from lawnmap import schema
from lawnmap.days import Dates
from lawnmap.geometry.frame import Frame
from lawnmap.model import Plan, Site, Specification
from lawnmap.paper import Paper
from tests.exports.names import FORMULAS

FRAME = Frame(3.0, 55.0)  # open sea: nobody lives there

ZONES = {
    "front-west": ("Front lawn, west", [(0, 0), (34, 0), (34, 22), (20, 26), (0, 22)]),
    "front-east": ("Front lawn, east", [(42, 0), (78, 0), (78, 20), (42, 24)]),
    "verge-west": ("Drive verge, west", [(34.6, 0), (36.6, 0), (36.6, 24), (34.6, 24)]),
    "verge-east": ("Drive verge, east", [(39.4, 0), (41.4, 0), (41.4, 24), (39.4, 24)]),
    "side": ("Side lawn", [(0, 26), (20, 30), (20, 48), (0, 48)]),
    "terrace": ("Terrace lawn", [(24, 44), (56, 44), (56, 52), (24, 52)]),
    "great": ("Great lawn", [(4, 54), (60, 54), (66, 70), (50, 84), (10, 80)]),
    "pond-bank": ("Pond bank", [(64, 54), (77, 51), (80, 70), (70, 74)]),
    "orchard": ("Orchard", [(82, 30), (112, 28), (114, 52), (84, 54)]),
    "croquet": ("Croquet lawn", [(84, 60), (116, 56), (119, 80), (87, 84)]),
    "bank": ("South bank", [(60, 26), (78, 24), (80, 46), (62, 48)]),
    "play": ("Play lawn", [(84, 0), (112, 0), (112, 20), (84, 22)]),
}
FACTS: dict[str, list[Any]] = {
    "client_number": ["A1", "A2", "A3", "A4", None, "B1", "B2", "B3", None, "C1", "B4", "C2"],
    "lot": ["1", "1", "1", "1", "1", "2", "2", "2", "2", "3", "2", "3"],
    "looked_after_by": [None] * 8 + ["the tenant of the lodge", None, None, None],
    "moss_rating": [3, 2, 1, 1, 5, 2, 4, 3, np.nan, 2, 4, 0],
    "moss_cover_pct": [np.nan] * 6 + [62.0] + [np.nan] * 5,
    "moss_depth_mm": [15, np.nan, np.nan, np.nan, 55, np.nan, 20, 18, np.nan, 5, np.nan, np.nan],
    "moss_form": ["trailing", None, None, None, "cushion", None, "trailing"] + [None] * 5,
    "thatch_rating": [2, 1, 0, 0, 3, 1, np.nan, 2, np.nan, np.nan, 1, 1],
    "thatch_mm": [np.nan] * 6 + [21.0] + [np.nan] * 2 + [12.0, np.nan, np.nan],
    "sun_hours_seen": [5, 6, 4, 4, 1.5, 7, 6, 3, np.nan, 8, 5, 7],
    "slope_deg": [0, 0, 0, 0, 0, 0, 0, 4, 2, 0, 14, 0],
    "drainage": [None, None, None, None, "stands wet", None, "slow"] + [None] * 5,
    "turf_type": [None] * 9 + ["bowls/croquet/tennis", None, None],
    "outline_source": ["drawn"] * 9 + ["tape", "gps", "drawn"],
    "moss_class": [
        "much, 25 to 50 %", "some, 5 to 25 %", "a little, under 5 %", "a little, under 5 %",
        "nearly all moss, over 75 %", "some, 5 to 25 %", "more moss than grass, 50 to 75 %",
        "much, 25 to 50 %", None, "some, 5 to 25 %", "more moss than grass, 50 to 75 %", "none",
    ],
    "thatch_class": [
        "thick, 13 to 19 mm", "helpful, 6 to 13 mm", "little, good, up to 6 mm",
        "little, good, up to 6 mm", "heavy, 19 to 25 mm", "helpful, 6 to 13 mm",
        "heavy, 19 to 25 mm", "thick, 13 to 19 mm", None, "thick, 10 to 15 mm",
        "helpful, 6 to 13 mm", "helpful, 6 to 13 mm",
    ],
    "verdict": [
        "renovate", "light work", "leave it alone", "leave it alone", "staged", "light work",
        "renovate", "renovate", None, "light work", "renovate", "leave it alone",
    ],
    "water_strip_from": [None] * 6 + ["not set", "not set"] + [None] * 4,
    "hand_strip_m": [0.3, 0.3, 0, 0, 0, 0.3, 0, 0, 0, 0, 0, 0],
    "public_note": [None] * 6 + ["Cores of 3 November lie in the shed."] + [None] * 5,
}  # fmt: skip
FEATURES: list[tuple[dict[str, Any], Any]] = [
    ({"feature": "building", "name": "House"}, shapely.box(24, 28, 56, 40)),
    ({"feature": "paving", "name": "Drive"}, shapely.box(36.8, 0, 39.2, 27)),
    ({"feature": "paving", "name": "Terrace"}, shapely.box(24, 40, 56, 43.6)),
    ({"feature": "water", "name": "Pond", "water_kind": "pond"}, shapely.Point(60, 63).buffer(6)),
    ({"feature": "bed", "name": "Round bed"}, shapely.Point(28, 66).buffer(4)),
    ({"feature": "tree", "name": "Beech", "crown_radius_m": 6}, shapely.Point(8, 40)),
    ({"feature": "tree", "crown_radius_m": 3}, shapely.Point(90, 38)),
    ({"feature": "tree", "crown_radius_m": 3}, shapely.Point(100, 40)),
    ({"feature": "tree", "crown_radius_m": 3}, shapely.Point(107, 46)),
    ({"feature": "hedge", "name": "Yew hedge"}, shapely.LineString([(0, 51), (22, 51)])),
    ({"feature": "fence"}, shapely.LineString([(81, 24), (81, 56)])),
    ({"feature": "drain", "name": "Yard gully", "drain_kind": "gully"}, shapely.Point(58, 34)),
    (
        {"feature": "hidden", "name": "Boundary wire", "hidden_kind": "boundary wire",
         "public_note": "Pegged on the surface along the edge."},
        shapely.LineString([(5, 55), (59, 55), (64, 69)]),
    ),
    ({"feature": "supply", "name": "Yard tap", "supply_kind": "tap"}, shapely.Point(22, 42)),
    ({"feature": "access", "name": "Yard gate", "width_m": 1.1}, shapely.Point(38, -1)),
]  # fmt: skip
IRON = "Moorland iron salt (invented)"
SEED = "Hard-wearing mixture (invented)"
FEED = "Autumn feed (invented)"
RENOVATED = {"renovate", "staged"}
WRITTEN = ("client_number", "lot", "looked_after_by", "public_note")
WORKED = {
    "slope_deg",
    "moss_class",
    "thatch_class",
    "verdict",
    "water_strip_from",
    "hand_strip_m",
}
CAUTIONS = (
    "The label of the product, and the law where it is used, come before anything here.",
    "Iron stains concrete, brick and stone like rust: keep the strip, and sweep up dry at once.",
    "Stop the machine, and take out the key or plug, before clearing a blockage.",
)


def _earth(shape: Any) -> dict[str, Any]:
    return mapping(shapely.transform(shape, FRAME.to_lonlat))


def _site(
    names: list[str], shapes: list[Any], facts: dict[str, list[Any]], *, features: bool
) -> Site:
    known = {c: v for c, v in facts.items() if c not in WORKED}
    zones = [
        {
            "type": "Feature",
            "properties": {
                "feature": "zone",
                "zone_id": f"z{place}",
                "name": name,
                **{c: _plain(v[place]) for c, v in known.items() if place < len(v)},
            },
            "geometry": _earth(shape),
        }
        for place, (name, shape) in enumerate(zip(names, shapes, strict=True))
    ]
    others = [
        {"type": "Feature", "properties": properties, "geometry": _earth(shape)}
        for properties, shape in (FEATURES if features else [])
    ]
    header = {"format": 1, "title": "Hollin Court", "placed": True, "anchor": [3.0, 55.0]}
    return Site({"type": "FeatureCollection", "lawnmap": header, "features": zones + others})


def _plain(value: Any) -> Any:
    return None if pd.isna(value) else value


def _zones(site: Site, shapes: list[Any], facts: dict[str, list[Any]]) -> gpd.GeoDataFrame:
    count = len(shapes)
    areas = np.array([shape.area for shape in shapes])
    worked = {c: v[:count] for c, v in facts.items() if c in WORKED and len(v) >= count}
    renovated = [verdict in RENOVATED for verdict in worked["verdict"]]
    return site.zones.assign(
        outline_area_m2=areas,
        obstacle_area_m2=0.0,
        shared_area_m2=0.0,
        plan_area_m2=areas,
        ground_area_m2=areas,
        area_sigma_m2=np.sqrt(areas) / 8,
        iron_area_m2=np.where(renovated, areas * 0.94, np.nan),
        **worked,
        verdict_rule=["renovate" if each else "leave_alone" for each in renovated],
        blades=["petrol scarifier" if each else None for each in renovated],
        blades_rule=["blades_to_hand" if each else None for each in renovated],
        passes=[2.0 if each else np.nan for each in renovated],
        passes_rule=["passes_by_thatch" if each else None for each in renovated],
        crossing=["right angle" if each else None for each in renovated],
        depth_low_mm=[2.0 if each else np.nan for each in renovated],
        depth_high_mm=[5.0 if each else np.nan for each in renovated],
        depth_rule=["depth_by_turf" if each else None for each in renovated],
        iron_order=["before blades" if each else "none" for each in renovated],
        iron_rule=["iron_before" if each else "iron_none_little_moss" for each in renovated],
        bare_after_low_pct=[20.0 if each else np.nan for each in renovated],
        bare_after_high_pct=[45.0 if each else np.nan for each in renovated],
    )


def _step(zone_id: str, sequence: int, operation: str, **cells: Any) -> dict[str, Any]:
    head = {"zone_id": zone_id, "sequence": sequence, "operation": operation, "status": "do"}
    return {**head, **cells}


def _light(zone_id: str, area: float) -> list[dict[str, Any]]:
    return [
        _step(
            zone_id,
            1,
            "mowing",
            area_m2=area,
            hours=area / 500,
            rule="mow_down",
            remark="Raise the cut: never more than a third of the height at once.",
        ),
        _step(zone_id, 2, "iron_soluble", status="not needed", rule="iron_none_little_moss"),
    ]


def _iron(zone_id: str, area: float, *, wet: bool) -> dict[str, Any]:
    stop = {
        "status": "not set: do not apply",
        "rule": "not_set_water_strip",
        "flag": "Nobody has set the strip along the pond.",
    }
    return _step(
        zone_id,
        2,
        "iron_soluble",
        product=IRON,
        machine="watering can",
        area_m2=area,
        dose=3.125,
        dose_unit="g/m²",
        amount=area * 3.125,
        unit="g",
        iron_g_m2=0.63,
        water_l=area * 0.625,
        hours_low=area / 400,
        hours=area / 250,
        remark="Dry leaf, no rain for the hours of the label.",
        **(stop if wet else {"rule": "iron_label_rate"}),
    )


def _renovation(zone_id: str, area: float, *, wet: bool) -> list[dict[str, Any]]:
    mow = {"area_m2": area, "hours_low": area / 800, "hours": area / 500, "rule": "mow_down"}
    blades = {
        "machine": "petrol scarifier",
        "passes": 2,
        "area_m2": area,
        "wait_days": 14,
        "hours_low": area / 500,
        "hours": area / 300,
        "rule": "hours_by_capacity",
        "remark": "From 2 mm down to 5 mm at most; stop when soil shows in the slots.",
    }
    clearing = {
        "area_m2": area,
        "amount_low": area * 0.004,
        "amount": area * 0.012,
        "unit": "m³",
        "hours_low": area / 300,
        "hours": area / 120,
        "rule": "arisings_by_class",
    }
    seed = {
        "product": SEED,
        "area_m2": area,
        "dose": 25,
        "dose_unit": "g/m²",
        "amount_low": area * 14,
        "amount": area * 25,
        "unit": "g",
        "wait_days": 28,
        "rule": "seed_rate",
        "sources": "overseed_share",
        "standing": "published",
    }
    feed = {"product": FEED, "area_m2": area, "dose": 30, "amount": area * 30, "unit": "g"}
    return [
        _step(zone_id, 1, "mowing", **mow),
        _iron(zone_id, area * 0.94, wet=wet),
        _step(zone_id, 3, "scarifying", **blades),
        _step(zone_id, 4, "clearing", **clearing),
        _step(zone_id, 5, "overseeding", **seed),
        _step(zone_id, 6, "feeding", status="for pricing only", rule="feed_pricing_only", **feed),
        _step(zone_id, 7, "top_dressing", status="not needed", rule="top_dress_off"),
    ]


def _steps(zones: gpd.GeoDataFrame) -> pd.DataFrame:
    rows = []
    for zone_id, zone in zones.iterrows():
        area, verdict = zone["ground_area_m2"], zone["verdict"]
        if verdict in RENOVATED:
            rows += _renovation(zone_id, area, wet=zone["water_strip_from"] == "not set")
        elif isinstance(verdict, str):
            rows += _light(zone_id, area)
        else:
            rows.append(_step(zone_id, 1, "leave it alone", area_m2=area, rule="not_rated"))
    return pd.DataFrame(rows).reindex(columns=schema.names("steps"))


def _totals() -> pd.DataFrame:
    rows = [
        (IRON, "iron_soluble", "do", np.nan, 7_812.4, "g", "8 × 1 kg", 187.6, 52.0),
        (SEED, "overseeding", "do", 49_000.0, 87_500.0, "g", "4 × 20 kg, 2 × 5 kg", 2_500.0, 410.0),
        (FEED, "feeding", "for pricing only", np.nan, 105_000.0, "g", "21 × 5 kg", 0.0, 188.5),
        (None, "clearing", "do", 14.0, 42.0, "m³", None, np.nan, np.nan),
    ]
    names = "product operation status amount_low amount unit packs left_over cost"
    return pd.DataFrame(rows, columns=names.split())


def _loads(zones: gpd.GeoDataFrame) -> pd.DataFrame:
    rows = []
    for zone_id, zone in zones.iterrows():
        if zone["verdict"] not in RENOVATED or zone["water_strip_from"] == "not set":
            continue
        full, rest = divmod(zone["ground_area_m2"] * 0.94, 16)
        rows.append(
            {
                "zone_id": zone_id,
                "operation": "iron_soluble",
                "product": IRON,
                "machine": "watering can",
                "container_l": 10.0,
                "full_loads": full,
                "full_product": 50.0,
                "full_water_l": 10.0,
                "full_area_m2": 16.0,
                "last_product": rest * 3.125,
                "last_water_l": rest * 0.625,
                "last_area_m2": rest,
                "product_unit": "g",
                "concentration_g_l": 5.0,
            }
        )
    return pd.DataFrame(rows)


def paper(
    names: list[str] | None = None,
    *,
    shapes: list[Any] | None = None,
    title: str = "Hollin Court",
    said: str = "",
    features: bool = True,
    header: dict[str, Any] | None = None,
    **changes: Any,
) -> Paper:
    """Return a paper of an invented plan; `said` stands wherever a person may write."""
    shapes = shapes or [shapely.Polygon(corners) for _, corners in ZONES.values()]
    names = names or [name for name, _ in ZONES.values()][: len(shapes)]
    facts = {c: [v[place % 12] for place in range(len(shapes))] for c, v in FACTS.items()}
    if said:
        facts |= {c: [said] * len(shapes) for c in WRITTEN}
    site = _site(names, shapes, facts, features=features)
    site = site.with_header(title=title, **(header or {}))
    if said:
        site = site.with_features([_saying(each, said) for each in site.document["features"]])
    zones = _zones(site, shapes, facts)
    steps, totals, loads = _steps(zones), _totals(), _loads(zones)
    if said:
        steps = steps.assign(remark=said, flag=said, product=said, machine=said)
        totals = totals.assign(product=said, packs=said)
        loads = loads.assign(product=said, machine=said)
    choices = {
        "first_day": "2027-08-23",
        "contact": said or "Office of the grounds, 555 0100 (invented)",
        "keep_off": said or "Until the grass is dry and somebody has looked.",
        "money": {"currency": said or "EUR"},
    }
    plan = Plan(
        site=site,
        specification=Specification(choices),
        zones=zones,
        steps=steps,
        totals=totals,
        loads=loads,
        cautions=(said,) * 3 if said else CAUTIONS,
        today=dt.date(2027, 8, 2),
        warnings=(said,) if said else (),
    )
    given = {"audience": "client", "issued": "3f2a9c41d07e of 2 August 2027", **changes}
    return Paper(plan, **given)


def of_formulas() -> Paper:
    """Return a paper that has what spreadsheets run wherever a person may write."""
    made = paper(FORMULAS, title=FORMULAS[0], said=FORMULAS[0])
    plan = made.plan
    notes = dict.fromkeys(WRITTEN, FORMULAS)
    cells = [FORMULAS[at % len(FORMULAS)] for at in range(len(plan.steps))]
    said = dict.fromkeys(("product", "machine", "remark", "flag"), cells)
    return made.of(
        plan=replace(plan, zones=plan.zones.assign(**notes), steps=plan.steps.assign(**said))
    )


def dated(given: Paper) -> Paper:
    """Return a paper whose steps have days: blades for two days, seed to the first cut."""
    visits = [dt.date(2027, 8, 23), dt.date(2027, 8, 24), dt.date(2027, 8, 30)]
    days = {"scarifying": 0, "clearing": 0, "iron_soluble": 2, "overseeding": 2, "feeding": 2}
    steps = given.plan.steps
    does = steps["operation"].map(days)
    first = [None if pd.isna(each) else str(visits[int(each)]) for each in does]
    blades = steps["operation"] == "scarifying"
    until = {"iron_soluble": "The grass is dry", "overseeding": "The new grass was cut once"}
    dated = steps.assign(
        kind=np.where(steps["operation"] == "overseeding", "seed", "hand"),
        day=first,
        day_last=np.where(blades, str(visits[1]), None),
        days=np.where(blades, 2.0, 1.0),
        keep_off=steps["operation"].map(until),
    )
    plan = replace(given.plan, steps=dated, dates=Dates(tuple(visits)))
    return given.of(plan=plan)


def _saying(feature: dict[str, Any], said: str) -> dict[str, Any]:
    if feature["properties"]["feature"] == "zone":
        return feature
    return {**feature, "properties": {**feature["properties"], "name": said, "public_note": said}}


def grid(count: int) -> list[Any]:
    """Return square zones of 8 m in rows of twenty."""
    return [
        shapely.box(x, y, x + 8, y + 8)
        for x, y in ((10 * (place % 20), 10 * (place // 20)) for place in range(count))
    ]
