"""Features beside the zones of their sites: in the same partition, none lost unsaid or doubled."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap.jobs.sites.engine import features as laying
from lawnmap.jobs.sites.engine.layout import lay_out
from lawnmap.jobs.sites.engine.partitions import FEATURES, ZONES, numbers, read
from tests.jobs.sites.engine.lawns import rated

THINGS = 3  # on each site


@pytest.fixture
def folder(tmp_path):
    lay_out([rated(240)], tmp_path, most=60)
    return tmp_path


def things(folder):
    """Return some things on each site, and two on sites without zones."""
    names = pd.concat([read(folder, ZONES, each)["site_id"] for each in numbers(folder)]).unique()
    site = [*np.repeat(names, THINGS), "nobody", "nothing"]
    number = np.arange(len(site))
    data = {
        "site_id": pd.Series(site, dtype=object),
        "feature": pd.Series(np.where(number % 2, "bed", "tree"), dtype=object),
        "name": pd.Series([None] * len(site), dtype=object),
        "stem_m": np.where(number % 2, np.nan, 0.3),
    }
    return gpd.GeoDataFrame(data, geometry=shapely.points(number / 100, 51), crs="OGC:CRS84")


@pytest.mark.parametrize("hashes", ["its own", "one for all"])
def test_each_is_in_the_partition_of_its_site(folder, monkeypatch, hashes):
    if hashes == "one for all":
        monkeypatch.setattr(laying, "_hashes", lambda names: np.zeros(len(names), np.uint64))
    given = things(folder)
    mapped, lost = laying.lay_features([given.iloc[:10], given.iloc[10:]], folder)
    assert lost == 2
    assert mapped == given.iloc[:-2]["feature"].value_counts().sort_index().to_dict()
    found = {each: read(folder, FEATURES, each) for each in numbers(folder)}
    for number, rows in found.items():
        assert set(rows["site_id"]) == set(read(folder, ZONES, number)["site_id"])
        assert (rows["site_id"].value_counts() == THINGS).all()
        assert rows["name"].isna().all()
    whole = pd.concat(found.values())
    assert sorted(whole.geometry.x) == sorted(given.geometry.x[:-2])
    assert whole.set_index(whole.geometry.x)["stem_m"].equals(
        given.set_index(given.geometry.x)["stem_m"].reindex(whole.geometry.x)
    )


def test_batches_and_order_change_no_byte(folder):
    given = things(folder)
    made = []
    for some in ([given], [given.iloc[:7], given.iloc[7:]], [given.iloc[::-1]]):
        laying.lay_features(some, folder)
        made.append([path.read_bytes() for path in sorted((folder / FEATURES).iterdir())])
    assert made[0] == made[1] == made[2]


def test_nothing_mapped_leaves_no_file(folder):
    assert laying.lay_features([], folder) == ({}, 0)
    assert not (folder / FEATURES).exists()
