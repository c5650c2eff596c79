"""A builder for zones, choices and worked plans, so that a test states only what it turns on."""

from __future__ import annotations

import datetime as dt
import gc
import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from importlib import import_module
from types import ModuleType
from typing import Any

import geopandas as gpd
import pandas as pd
import pytest
import shapely
from hypothesis import settings

from lawnmap import schema
from lawnmap.geometry import ellipsoid
from lawnmap.logistics.work import WEEKDAYS
from lawnmap.model import LONLAT, Product, Specification
from lawnmap.processing import cautions, machines, steps
from lawnmap.processing.buying import loads, totals
from lawnmap.processing.judgement import choose

pytest_plugins = ["tests.figures"]

# How long an example takes says how busy the machine is, and nothing of the code. Coverage of
# branches needs few examples (.ci/coverage); a test that says a number of its own keeps that.
EXAMPLES = int(os.environ.get("HYPOTHESIS_EXAMPLES", "100"))
settings.register_profile("unhurried", deadline=None, max_examples=EXAMPLES)
settings.load_profile("unhurried")

TODAY = dt.date(2027, 3, 1)
OPERATIONS = (
    "mowing", "iron_liquid", "iron_soluble", "lawn_sand", "raking", "scarifying", "clearing",
    "aerating", "overseeding", "top_dressing", "feeding", "watering",
    "first_cut",
)  # fmt: skip
# Invented: no such product exists.
IRON = Product(
    name="Moss iron", form="soluble", authorised_for_moss=True, authorisation_no="M0",
    country="GB", use_by=dt.date(2030, 1, 1), user="home", analysis_pct=20.09, analysis_as="Fe",
    analysis_basis="w/w", rate_printed="50 g in 10 l over 16 m²", untreated_strip_m=2.0,
    packs=((1000.0, "g", 10.0),),
)  # fmt: skip


CHROMIUM = "/usr/bin/chromium"
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_collection_finish() -> None:
    """Tell the collector of garbage: what thousands of tests and libraries hold now, stays."""
    gc.collect()
    gc.freeze()


@dataclass(frozen=True)
class Worked:
    zones: gpd.GeoDataFrame
    steps: pd.DataFrame
    totals: pd.DataFrame
    loads: pd.DataFrame
    cautions: tuple[str, ...]

    def step(self, operation: str, zone_id: str = "a") -> dict[str, Any]:
        """Return the only row of an operation in a zone."""
        found = self.steps[
            (self.steps["operation"] == operation) & (self.steps["zone_id"] == zone_id)
        ]
        assert len(found) == 1, f"{len(found)} rows of {operation}"
        return {str(key): value for key, value in found.iloc[0].to_dict().items()}

    def operations(self, zone_id: str = "a") -> list[str]:
        return list(self.steps.loc[self.steps["zone_id"] == zone_id, "operation"])


class Lawn:
    """Makes tables as the job hands them on."""

    iron = IRON
    today = TODAY

    def zones(self, *rows: dict[str, Any]) -> gpd.GeoDataFrame:
        """Return measured zones of 180 m² with half moss, but for what each row says."""
        usual = {"moss_rating": 3, "thatch_rating": 1, "ground_area_m2": 180.0, "slope_deg": 0.0}
        given = [{**usual, **row} for row in rows or ({},)]
        data = {
            column.name: pd.Series([row.get(column.name) for row in given], dtype=column.dtype)
            for column in schema.facts("zones")
        }
        table = gpd.GeoDataFrame(
            data,
            geometry=[
                shapely.box(n / 1e3, 53.8, n / 1e3 + 2e-4, 53.8001) for n in range(len(given))
            ],
            crs=LONLAT,
        )
        area = [row["ground_area_m2"] for row in given]
        outlines = table.geometry.to_numpy()
        table["zone_id"] = [row.get("zone_id") or "abcdefgh"[n] for n, row in enumerate(given)]
        return table.set_index("zone_id").assign(
            outline_area_m2=ellipsoid.areas(outlines),
            perimeter_m=ellipsoid.perimeters(outlines),
            ground_area_m2=area,
            slope_deg=[row["slope_deg"] for row in given],
            sun_used_h=[row.get("sun_hours_seen", float("nan")) for row in given],
            water_strip_m=0.0,
            water_strip_from=[row.get("water_strip_from", "none mapped") for row in given],
            hand_strip_m=0.0,
            iron_area_m2=[row.get("iron_area_m2", row["ground_area_m2"]) for row in given],
            feed_strip_m=0.0,
            feed_strip_from=[row.get("feed_strip_from", "none mapped") for row in given],
            feed_area_m2=[row.get("feed_area_m2", row["ground_area_m2"]) for row in given],
            seed_area_m2=[row.get("seed_area_m2", row["ground_area_m2"]) for row in given],
            blades_area_m2=[row.get("blades_area_m2", row["ground_area_m2"]) for row in given],
            rake_area_m2=[row.get("rake_area_m2", 0.0) for row in given],
        )

    def features(self, *rows: dict[str, Any]) -> gpd.GeoDataFrame:
        data = {
            column.name: pd.Series([row.get(column.name) for row in rows], dtype=column.dtype)
            for column in schema.facts("features")
        }
        shapes = [row.get("geometry", shapely.Point(1e-4, 53.80005)) for row in rows]
        return gpd.GeoDataFrame(data, geometry=shapes, crs=LONLAT)

    def choices(
        self, *cards: Product, zones: dict[str, Any] | None = None, own: Any = (), **changes: Any
    ) -> Specification:
        """Return a home user's choices with a scarifying rake, but for what is said."""
        usual = {
            "turf_type": "general lawn", "iron": "allowed", "country": "GB", "user": "home",
            "operations": OPERATIONS, "today": TODAY, "products": {}, "applicator": {},
            "seeding": {"wanted": True}, "machines": (), "weekdays": WEEKDAYS,
            "crew": {"people": 1, "hours_a_day": 7.0, "hours_planned": "middle"},
        }  # fmt: skip
        hand = own or [machines.generic()["scarifying rake"]]
        return Specification(
            {**usual, **changes},
            products={each.name: each for each in cards},
            machines={each.name: each for each in hand},
            by_zone=zones or {},
        )

    def card(self, **changes: Any) -> Product:
        return replace(IRON, **changes)

    def treatments(self) -> dict[str, ModuleType]:
        return {name: import_module(f"lawnmap.treatments.{name}") for name in OPERATIONS}

    def work(
        self,
        zones: gpd.GeoDataFrame,
        specification: Specification,
        features: gpd.GeoDataFrame | None = None,
    ) -> Worked:
        """Run the whole chain behind ``strips``."""
        things = self.features() if features is None else features
        chosen = choose.choose(zones, things, specification)
        rows = steps.steps(chosen, specification, self.treatments())
        return Worked(
            chosen,
            rows,
            totals.totals(rows, specification),
            loads.loads(rows, specification),
            cautions.cautions(chosen, things, rows, specification),
        )


@pytest.fixture(scope="session")
def lawn() -> Lawn:
    return Lawn()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Return the one browser of the session; a second driver beside it would not start."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield browser
        browser.close()
