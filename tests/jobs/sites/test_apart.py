"""A site that cannot be worked out stops no other of its partition."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.sites import apart as module
from lawnmap.jobs.sites.apart import MOST, apart
from lawnmap.jobs.sites.partition import Part

NOTHING = gpd.GeoDataFrame({"site_id": []}, geometry=[], crs="OGC:CRS84")


def _zones(many: int) -> gpd.GeoDataFrame:
    ids = [f"s{each // 2}" for each in range(many)]
    shape = gpd.points_from_xy(np.zeros(many), np.zeros(many))
    return gpd.GeoDataFrame({"site_id": ids, "region": "r", "depot": ""}, geometry=shape)


def _working(bad: dict[str, Exception]):
    def worked(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, terms: object) -> Part:
        for site_id in zones["site_id"]:
            if site_id in bad:
                raise bad[site_id]
        sites = zones.drop_duplicates("site_id")[["site_id"]].assign(trouble="", zones=2.0)
        needs = sites[["site_id"]].assign(amount=1.0)
        return Part(zones, {}, sites, needs, needs)

    return worked


def test_the_others_go_on_and_the_fault_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    bad = {"s3": InputRefused("is odd", remedy="Mend it."), "s8": ZeroDivisionError()}
    monkeypatch.setattr(module, "worked", _working(bad))
    made = apart(_zones(40), NOTHING, None)
    told = made.sites.set_index("site_id")["trouble"]
    assert len(told) == 20
    assert told["s3"].startswith("is odd")
    assert "a fault in lawnmap (ZeroDivisionError)" in told["s8"]
    assert (told == "").sum() == 18
    assert set(made.needs["site_id"]) == set(told.index) - set(bad)
    assert len(made.zones) == 36


def test_without_trouble_it_is_the_part_as_it_was_made(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "worked", _working({}))
    assert apart(_zones(4), NOTHING, None).sites["trouble"].eq("").all()


def test_a_partition_of_bad_sites_alone_has_no_needs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "worked", _working({"s0": ValueError()}))
    made = apart(_zones(2), NOTHING, None)
    assert made.sites["zones"].tolist() == [0.0]
    assert made.needs.empty
    pd.testing.assert_index_equal(made.zones.columns, _zones(2).columns)


def test_when_nearly_all_fail_the_run_stops_with_the_fault(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    many = MOST + 5
    bad = {f"s{each}": InputRefused("no such card") for each in range(many)}
    monkeypatch.setattr(module, "worked", _working(bad))
    with pytest.raises(InputRefused, match="no such card"):
        apart(_zones(2 * many), NOTHING, None)
