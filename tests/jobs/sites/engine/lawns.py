"""Partitions of invented lawns, and a task on them that is cheap: stands in for whole plans."""

import os
import time
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.geometry import ellipsoid
from lawnmap.geometry.frame import flats
from lawnmap.geometry.passes.many import counted
from lawnmap.jobs.sites.engine import partitions

A_SITE = 20
CORNERS = 9
VERSIONS = iter(["0.0.1", "0.0.2"])


def two_versions(name):
    """Return another version each time: here first, and then on the worker."""
    assert name == "lawnmap"
    return next(VERSIONS)


class Sums(NamedTuple):
    number: int
    pid: int
    area_m2: float
    bouts_m: float
    text_kept: bool


def zones(number, many):
    """Return lawns with a text that is missing here and there, whole sites of twenty."""
    rng = np.random.default_rng(number)
    turn = np.sort(rng.uniform(0, 2 * np.pi, (many, CORNERS)), axis=1)
    middle = np.column_stack([rng.uniform(-3, 0, many), rng.uniform(51, 54, many)])
    reach = rng.uniform(5e-5, 2e-4, (many, CORNERS))
    points = np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=2) + middle[:, None]
    place = np.arange(many)
    return gpd.GeoDataFrame(
        {
            "site_id": pd.Series([f"s{number}-{each // A_SITE}" for each in place], dtype=object),
            "note": pd.Series([None if each % 3 else "wet" for each in place], dtype=object),
        },
        geometry=shapely.convex_hull(shapely.multipoints(points)),
        crs="OGC:CRS84",
    )


def rated(many):
    """Return the same with every fact of the schema, as the bulk door hands it on."""
    rng = np.random.default_rng(8)
    data = {
        column.name: pd.Series([None] * many, dtype=column.dtype)
        for column in schema.facts("zones")
    }
    sites = zones(1, many)
    facts = {
        "zone_id": [f"z{place}" for place in range(many)],
        "moss_rating": rng.integers(0, 6, many).astype(float),
        "thatch_rating": rng.integers(0, 4, many).astype(float),
        "drainage": rng.choice(np.array(["free", "slow", None], dtype=object), many),
        "region": np.where(np.arange(many) < many / 3, "north", "south").astype(object),
        "depot": np.full(many, "yard", dtype=object),
        "site_id": sites["site_id"].to_numpy(dtype=object),
    }
    return gpd.GeoDataFrame({**data, **facts}, geometry=sites.geometry, crs=sites.crs)


@dataclass(frozen=True)
class Areas:
    """Reads a partition from disk; writes the area of each zone and returns sums."""

    source: Path
    out: Path
    pause_s: float = 0.0

    def read(self, number):
        return partitions.read(self.source, partitions.ZONES, number)

    def work(self, number, zones):
        time.sleep(self.pause_s)
        outlines = np.asarray(zones.geometry.array, dtype=object)
        area, bouts = ellipsoid.areas(outlines), counted(flats(outlines), np.full(len(zones), 0.38))
        partitions.write(self.out, partitions.ZONES, number, zones.assign(area_m2=area))
        kept = zones["note"].dtype == object and set(zones["note"]) == {None, "wet"}
        return Sums(number, os.getpid(), float(area.sum()), float(bouts.length_m.sum()), kept)


@dataclass(frozen=True)
class Wrong(Areas):
    """A partition with something wrong in it."""

    def work(self, number, zones):
        raise InputRefused("is not a lawn", file="table", place=f"zone {len(zones)}")


@dataclass(frozen=True)
class Deadly(Areas):
    """A partition that ends whoever works it."""

    def work(self, number, zones):
        os.kill(os.getpid(), 9)
