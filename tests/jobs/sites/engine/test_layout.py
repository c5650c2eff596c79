"""Partitions of whole sites, near each other, the same whatever batches the table came in."""

from concurrent.futures import ThreadPoolExecutor

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.jobs.sites.engine import partitions
from lawnmap.jobs.sites.engine.layout import lay_out
from lawnmap.jobs.sites.engine.partitions import ZONES, numbers, path_of, read, write
from tests.jobs.sites.engine.lawns import zones as lawns


def scattered(sites, seed=4):
    """Return sites of one to nine zones, each within a tenth of a degree of its own place."""
    rng = np.random.default_rng(seed)
    many = rng.integers(1, 10, sites)
    site = np.repeat(np.arange(sites), many)
    places = np.column_stack([rng.uniform(-3, 0, sites), rng.uniform(51, 54, sites)])
    corner = places[site] + rng.uniform(0, 0.1, (len(site), 2))
    return gpd.GeoDataFrame(
        {
            "zone_id": pd.Series([f"z{each}" for each in range(len(site))], dtype=object),
            "site_id": pd.Series([f"s{each}" for each in site], dtype=object),
            "note": pd.Series([None if each % 2 else "wet" for each in site], dtype=object),
            "moss_rating": rng.choice([1.0, 2.0, np.nan], len(site)),
        },
        geometry=shapely.box(*corner.T, *(corner + 1e-4).T),
        crs="OGC:CRS84",
    )


def batches(zones, sites_each):
    number = zones["site_id"].str[1:].astype(int)
    return [rows for _, rows in zones.groupby(number // sites_each)]


def everything(folder):
    return pd.concat([read(folder, ZONES, each) for each in numbers(folder)], ignore_index=True)


def test_no_site_is_cut_and_no_zone_lost(tmp_path):
    zones = scattered(200)
    found = lay_out(batches(zones, 30), tmp_path, most=100)
    assert found == numbers(tmp_path) == list(range(len(found)))
    parts = [read(tmp_path, ZONES, each) for each in found]
    assert max(map(len, parts)) <= 100
    assert min(map(len, parts[:-1])) > 90  # as full as whole sites allow
    of_site = [set(part["site_id"]) for part in parts]
    assert sum(map(len, of_site)) == len(set.union(*of_site)) == 200
    same = everything(tmp_path).sort_values("zone_id").reset_index(drop=True)
    pd.testing.assert_frame_equal(
        pd.DataFrame(same), pd.DataFrame(zones.sort_values("zone_id").reset_index(drop=True))
    )


def test_batches_change_nothing(tmp_path):
    zones = scattered(120)
    for name, each in (("one", 1000), ("few", 50), ("many", 7)):
        lay_out(batches(zones, each), tmp_path / name, most=90)
    one, *others = (tmp_path / name for name in ("one", "few", "many"))
    for other in others:
        for number in numbers(one):
            assert (
                path_of(other, ZONES, number).read_bytes()
                == path_of(one, ZONES, number).read_bytes()
            )


def test_partitions_are_compact(tmp_path):
    zones = scattered(900)
    found = lay_out([zones], tmp_path, most=300)
    bounds = np.array([read(tmp_path, ZONES, each).total_bounds for each in found])
    area = (bounds[:, 2] - bounds[:, 0]) * (bounds[:, 3] - bounds[:, 1])
    assert len(found) > 12
    # In the order of the file each partition would reach over nearly all nine square degrees.
    assert np.median(area) < 2


def test_a_site_larger_than_a_partition_is_one_by_itself(tmp_path):
    zones = lawns(1, 100).assign(site_id=["big"] * 60 + ["small"] * 40)
    lay_out([zones], tmp_path, most=50)
    assert sorted(len(read(tmp_path, ZONES, each)) for each in numbers(tmp_path)) == [40, 60]


def test_no_batch_at_all(tmp_path):
    assert lay_out([], tmp_path, most=50) == numbers(tmp_path) == []


def test_the_same_table_gives_the_same_file(tmp_path):
    zones = lawns(3, 50)
    write(tmp_path, ZONES, 3, zones)
    path = path_of(tmp_path, ZONES, 3)
    before = path.read_bytes()
    write(tmp_path, ZONES, 3, read(tmp_path, ZONES, 3))
    assert path.read_bytes() == before
    assert [each.name for each in path.parent.iterdir()] == [path.name]


def test_two_workers_may_write_the_same_partition_at_once(tmp_path):
    zones = lawns(3, 50)
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda _: write(tmp_path, ZONES, 3, zones), range(12)))
    assert numbers(tmp_path) == [3]
    assert len(read(tmp_path, ZONES, 3)) == len(zones)


def test_what_is_no_partition_is_told(tmp_path):
    path_of(tmp_path, ZONES, 1).parent.mkdir()
    path_of(tmp_path, ZONES, 1).write_bytes(b"PAR1 and no more")
    with pytest.raises(InputRefused, match=r"zones/000001\.parquet"):
        read(tmp_path, ZONES, 1)
    assert partitions.numbers(tmp_path, "sites") == []
