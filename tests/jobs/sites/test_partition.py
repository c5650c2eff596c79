"""A partition of many sites against each site worked by itself, sentences and all."""

from __future__ import annotations

import datetime as dt
import math
import pickle
from dataclasses import replace
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap import schema
from lawnmap.jobs.beginning import treatments
from lawnmap.jobs.choices import choices
from lawnmap.jobs.measure import outline_sigmas
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.sites.partition import Part, Terms, worked
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.measure import measure
from lawnmap.processing.setting_out.blade_strips import blade_strips
from lawnmap.processing.setting_out.strips import strips
from lawnmap.processing.steps import steps
from lawnmap.processing.sun.used import used

SAMPLE = Path(__file__).resolve().parents[3] / "sample_geo" / "site"
TODAY = dt.date(2026, 9, 1)
FIGURES = ("area_m2", "dose", "amount_low", "amount", "water_l", "hours_low", "hours", "passes")
WORDS = ("status", "product", "machine", "unit", "rule")
DEG = 1 / 111_320


@pytest.fixture(scope="module")
def terms() -> Terms:
    opened = open_site(SAMPLE)
    found = choices(opened, depot=None, personal=Path("nowhere"), today=TODAY)
    return Terms(replace(found, by_zone={}))


def _table(kind: str, rows: list[dict[str, object]]) -> gpd.GeoDataFrame:
    extra = ["site_id", "region", "depot"] if kind == "zones" else ["site_id"]
    columns = {each.name: each.dtype for each in schema.facts(kind)} | dict.fromkeys(extra, object)
    data = {
        name: pd.Series([row.get(name) for row in rows], dtype=dtype)
        for name, dtype in columns.items()
    }
    return gpd.GeoDataFrame(data, geometry=[row["geometry"] for row in rows], crs="OGC:CRS84")


def _sites() -> tuple[gpd.GeoDataFrame, gpd.GeoDataFrame]:
    """Return seven invented sites far apart: plain, overlapping, with water, a gate, a core."""
    rng = np.random.default_rng(3)
    zones, features = [], []
    for site in range(7):
        west, south = -4.0 + site, 51.0 + site / 2
        for number in range(4):
            size = rng.uniform(8, 40) * DEG
            box = shapely.box(west, south, west + size, south + size)
            zones.append(
                {
                    "site_id": f"s{site}",
                    "zone_id": f"z{number}",
                    "region": "north",
                    "depot": "",
                    "geometry": box,
                    "moss_rating": float(rng.integers(0, 6)),
                    "thatch_rating": float(rng.integers(0, 4)),
                    "cut_height_mm": float(rng.integers(15, 60)),
                    "slope_seen_deg": float(rng.integers(0, 20)),
                    "drainage": rng.choice(np.array(["free", "slow", None], dtype=object)),
                }
            )
            west += size * (0.8 if site == 1 else 1.5)
        here = shapely.Point(-4.0 + site + 10 * DEG, south + 4 * DEG)
        features += {
            2: [{"feature": "water", "geometry": here.buffer(3 * DEG)}],
            3: [{"feature": "access", "width_m": 0.5, "geometry": here}],
            4: [{"feature": "core", "thatch_mm": 22.0, "geometry": here}],
            5: [{"feature": "bed", "geometry": here.buffer(2 * DEG)}],
        }.get(site, [])
        for each in features:
            each.setdefault("site_id", f"s{site}")
    order = rng.permutation(len(zones))  # rows of one site need not stand together
    return _table("zones", [zones[each] for each in order]), _table("features", features)


def _alone(
    site_id: str, zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, terms: Terms
) -> tuple[gpd.GeoDataFrame, pd.DataFrame]:
    """Return the zones and the steps of one site, as a plan of it has them before its days."""
    own = zones[zones["site_id"] == site_id].set_index("zone_id")
    things = features[features["site_id"] == site_id]
    specification = replace(terms.specification, words=True)
    measured = measure(own, things, outline_sigmas())
    lit = used(measured.zones, things, None, ())
    stripped, _ = strips(lit.zones, measured.lawn, things, specification)
    judged, _ = blade_strips(
        choose(stripped, things, specification, None), measured.lawn, things, specification
    )
    return judged, steps(judged, specification, treatments(specification))


@pytest.fixture(scope="module")
def part(terms: Terms) -> tuple[Part, gpd.GeoDataFrame, gpd.GeoDataFrame]:
    zones, features = _sites()
    return worked(zones, features, terms), zones, features


def test_each_zone_is_as_in_a_plan_of_its_own_site(
    part: tuple[Part, gpd.GeoDataFrame, gpd.GeoDataFrame], terms: Terms
) -> None:
    made, zones, features = part
    assert list(made.zones["zone_id"]) == list(zones["zone_id"])
    for site_id in zones["site_id"].unique():
        alone, _ = _alone(site_id, zones, features, terms)
        here = made.zones[made.zones["site_id"] == site_id].set_index("zone_id")
        for column in ("ground_area_m2", "iron_area_m2", "blades_area_m2", "seed_area_m2"):
            np.testing.assert_allclose(here[column], alone[column], rtol=1e-9, atol=1e-9)
        for column in ("verdict", "blades", "passes", "iron_rule", "seed_rule", "crossing_rule"):
            assert here[column].tolist() == alone[column].tolist(), (site_id, column)


def test_each_step_is_as_in_a_plan_of_its_own_site(
    part: tuple[Part, gpd.GeoDataFrame, gpd.GeoDataFrame], terms: Terms
) -> None:
    made, zones, features = part
    compared = 0
    for site_id in zones["site_id"].unique():
        _, alone = _alone(site_id, zones, features, terms)
        for operation, rows in made.steps.items():
            own = made.zones.iloc[rows["zone"].to_numpy()]
            here = rows[(own["site_id"] == site_id).to_numpy()]
            here = here.assign(zone_id=made.zones["zone_id"].to_numpy()[here["zone"]])
            expected = alone[alone["operation"] == operation]
            here = here.sort_values("zone_id", kind="stable")
            expected = expected.sort_values("zone_id", kind="stable")
            assert here["zone_id"].tolist() == expected["zone_id"].tolist()
            for column in WORDS:
                if column in here:
                    assert here[column].tolist() == expected[column].tolist()
            for column in FIGURES:
                if column in here:
                    np.testing.assert_allclose(
                        here[column].astype(float), expected[column], rtol=1e-9
                    )
            compared += len(here)
    assert compared > 60


def test_hours_of_getting_ready_are_of_each_site(
    part: tuple[Part, gpd.GeoDataFrame, gpd.GeoDataFrame], terms: Terms
) -> None:
    made, zones, features = part
    for site_id in zones["site_id"].unique():
        _, alone = _alone(site_id, zones, features, terms)
        own = made.hours[(made.hours["site_id"] == site_id)]
        of_plan = alone[(alone["operation"] == "scarifying") & (alone["status"] == schema.DO)]
        got = own.loc[own["operation"] == "scarifying", "hours"]
        assert math.isclose(math.fsum(got), math.fsum(of_plan["hours"]), rel_tol=1e-9)


def test_sites_are_summed_from_their_zones(
    part: tuple[Part, gpd.GeoDataFrame, gpd.GeoDataFrame],
) -> None:
    made, zones, _ = part
    assert made.sites["zones"].sum() == len(zones)
    by_site = made.zones.groupby("site_id")["ground_area_m2"].sum()
    found = made.sites.set_index("site_id")["ground_area_m2"]
    np.testing.assert_allclose(found, by_site.reindex(found.index), rtol=1e-12)
    assert set(made.needs["site_id"]) <= set(zones["site_id"])


def test_a_pond_without_a_legal_strip_stops_its_own_site_alone(terms: Terms) -> None:
    zones, features = _sites()
    chosen = dict(terms.specification.choices)
    chosen["strips"] = {}
    cards = {
        name: replace(each, untreated_strip_m=None)
        for name, each in terms.specification.products.items()
    }
    bare = Terms(replace(terms.specification, choices=chosen, products=cards))
    made = worked(zones, features, bare)
    stopped = made.zones["water_strip_from"] == "not set"
    assert set(made.zones.loc[stopped, "site_id"]) == {"s2"}
    assert made.zones.loc[stopped, "iron_area_m2"].eq(0).all()


def test_rows_in_another_order_come_to_the_same(
    part: tuple[Part, gpd.GeoDataFrame, gpd.GeoDataFrame], terms: Terms
) -> None:
    made, zones, features = part
    # The order within a site decides who keeps shared ground, so sites are moved whole.
    turned = zones.sort_values("site_id", kind="stable", ascending=False).reset_index(drop=True)
    again = worked(turned, features, terms)
    one, other = (
        each.needs.groupby(["site_id", "operation", "product", "status", "unit"])["amount"].sum()
        for each in (made, again)
    )
    pd.testing.assert_series_equal(one.sort_index(), other.sort_index(), rtol=1e-12)


def test_terms_travel_to_another_process(terms: Terms) -> None:
    assert pickle.loads(pickle.dumps(terms)).specification == terms.specification  # noqa: S301
    assert terms.specification.words is False
