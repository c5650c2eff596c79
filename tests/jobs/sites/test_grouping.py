"""Which sites are worked together, and which zone a core is of."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from lawnmap.jobs.sites.grouping import NOWHERE, groups, names_of, placed

NAN = np.nan


def _features(*rows: tuple[str, float, float]) -> gpd.GeoDataFrame:
    table = pd.DataFrame(rows, columns=["feature", "width_m", "steps"])
    return gpd.GeoDataFrame(table, geometry=[shapely.Point(0, 0)] * len(rows), crs="OGC:CRS84")


def _together(many: int, features: gpd.GeoDataFrame, of_feature: list[int]) -> set[tuple[int, ...]]:
    site = np.repeat(np.arange(many), 2)
    needed_m = np.array([0.0, 0.7, 1.1])
    found = list(groups(site, features, np.array(of_feature, dtype=np.intp), needed_m))
    zones = np.concatenate([places for places, _ in found])
    things = np.concatenate([places for _, places in found])
    assert sorted(zones) == list(range(2 * many))
    assert sorted(things) == [row for row, own in enumerate(of_feature) if own >= 0]
    for places, own in found:
        assert set(np.array(of_feature)[own]) <= set(site[places])
    return {tuple(np.unique(site[places]).tolist()) for places, _ in found}


def test_sites_with_water_or_drains_are_worked_apart_from_others() -> None:
    features = _features(
        *[(each, NAN, NAN) for each in ("water", "drain", "water", "bed", "water")]
    )
    assert _together(4, features, [0, 0, 1, 2, -1]) == {(0,), (1,), (2, 3)}


def test_the_best_way_in_is_what_counts() -> None:
    features = _features(
        ("access", 0.9, 0), ("access", 0.6, 2),  # site 0: 0.9 m, no steps
        ("access", 0.8, NAN),  # 1: lets the same machines in
        ("access", 0.9, 3),  # 2: steps on the only way
        ("access", NAN, 0),  # 3: nobody measured it, as where none is mapped
        ("access", 0.6, 1), ("access", NAN, 2),  # 5: wide enough, one step
    )  # fmt: skip
    assert _together(6, features, [0, 0, 1, 2, 3, 5, 5]) == {(0, 1), (2,), (3, 4), (5,)}


def test_nothing_mapped_is_one_group() -> None:
    assert _together(3, _features(), []) == {(0, 1, 2)}


def test_a_core_is_of_the_zone_it_names_or_lies_in_on_its_own_site() -> None:
    boxes = shapely.box(np.array([0, 2, 0, 2]), 0, np.array([1, 3, 1, 3]), 1)
    ids = pd.Series(["a", "b", "a", "b"], dtype=object)
    zones = gpd.GeoDataFrame({"zone_id": ids}, geometry=boxes, crs="OGC:CRS84")
    kinds = ["core"] * 5 + ["tree"]
    named = pd.Series(["b", None, "c", None, "a", "a"], dtype=object)
    features = gpd.GeoDataFrame(
        {"feature": kinds, "zone_id": named},
        geometry=shapely.points([0.5, 2.5, 0.5, 9.0, 0.5, 0.5], 0.5),
        crs="OGC:CRS84",
    )
    site, of_feature = np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1, -1, 0])
    found = placed(zones, features, site, of_feature)
    assert found.tolist() == [1, 3, -1, -1, -1, -1]
    assert names_of(found, np.array([1, 3]))[:3].tolist() == ["0", "1", NOWHERE]
