"""Whole sites from partitions to totals: the same on every engine and with every partition."""

import math

import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap import schema
from lawnmap.jobs.sites.engine import cluster, local, partitions, whole_sites
from lawnmap.jobs.sites.engine.layout import lay_out
from lawnmap.jobs.sites.engine.whole_sites import TOTALS, WholeSites
from lawnmap.jobs.sites.partition import Terms
from lawnmap.processing.many.totals_by import BY, FIGURES, joined
from tests.jobs.sites.engine.lawns import rated

ZONES = 240
TABLES = ("sites", "site_needs", "site_hours", TOTALS)


@pytest.fixture(scope="module")
def source(tmp_path_factory):
    folder = tmp_path_factory.mktemp("source")
    lay_out([rated(ZONES)], folder, most=100)
    return folder


@pytest.fixture
def terms(lawn):
    return Terms(lawn.choices(lawn.card()))


def close(one, other):
    """Hold two tables of totals against each other."""
    pd.testing.assert_frame_equal(one[list(BY)], other[list(BY)])
    mine, theirs = (each[["sites", *FIGURES]].to_numpy(dtype=float) for each in (one, other))
    np.testing.assert_allclose(mine, theirs, rtol=1e-12, atol=0)


def test_one_process_and_a_cluster_give_the_same(source, terms, tmp_path, scheduler):
    numbers = partitions.numbers(source)
    one, two = (WholeSites(source, tmp_path / name, terms) for name in ("one", "two"))
    alone = list(local.run(numbers, one))
    beside = sorted(cluster.run(numbers, two, scheduler=scheduler))
    assert [each.number for each in beside] == numbers
    close(joined(each.totals for each in alone), joined(each.totals for each in beside))
    for table in (partitions.ZONES, *TABLES):
        for number in numbers:
            mine, theirs = (partitions.path_of(each.out, table, number) for each in (one, two))
            assert mine.read_bytes() == theirs.read_bytes()


def test_the_size_of_a_partition_changes_no_total(terms, tmp_path):
    found = []
    for most in (60, ZONES):
        source, out = tmp_path / f"in{most}", tmp_path / f"out{most}"
        numbers = lay_out([rated(ZONES)], source, most=most)
        found.append(
            joined(each.totals for each in local.run(numbers, WholeSites(source, out, terms)))
        )
    assert found[0]["amount"].max() > 0
    assert set(found[0]["key"]) >= {"north", "south", "yard"}
    close(*found)


def test_totals_are_those_of_the_sites(source, terms, tmp_path):
    task = WholeSites(source, tmp_path, terms)
    numbers = partitions.numbers(source)
    totals = joined(each.totals for each in local.run(numbers, task))
    needs, sites = (
        pd.concat([partitions.read(tmp_path, name, each) for each in numbers])
        for name in ("site_needs", "sites")
    )
    assert list(sites.columns) == list(schema.names("sites"))
    assert len(sites) == sites["site_id"].nunique() == ZONES / 20
    every = totals[(totals["by"] == "all") & (totals["operation"] == "mowing")]
    mown = needs[needs["operation"] == "mowing"]
    assert math.fsum(every["area_m2"]) == pytest.approx(math.fsum(mown["area_m2"]), rel=1e-12)


def test_what_is_there_is_not_worked_again(source, terms, tmp_path, monkeypatch):
    task, numbers = WholeSites(source, tmp_path, terms), partitions.numbers(source)
    first = list(local.run(numbers[:2], task))
    asked = []

    def worked(*given):
        asked.append(len(given[0]))
        raise KeyboardInterrupt

    monkeypatch.setattr(whole_sites, "apart", worked)
    again = list(local.run(numbers[:2], task))
    for one, other in zip(first, again, strict=True):
        assert one.number == other.number
        pd.testing.assert_frame_equal(one.totals, other.totals)
    with pytest.raises(KeyboardInterrupt):
        list(local.run(numbers, task))
    assert asked == [len(partitions.read(source, partitions.ZONES, numbers[2]))]


def test_things_mapped_on_the_sites_are_taken_out(source, terms, tmp_path):
    zones = rated(40)
    lay_out([zones], tmp_path, most=100)
    columns = {each.name: pd.Series([None], dtype=each.dtype) for each in schema.facts("features")}
    middle = shapely.buffer(shapely.centroid(zones.geometry.array[:1]), 2e-5)
    things = pd.DataFrame(columns).assign(feature="bed", site_id=zones["site_id"].iloc[0])
    bed = type(zones)(things, geometry=list(middle), crs=zones.crs)
    without, beside = (WholeSites(tmp_path, tmp_path / each, terms) for each in ("a", "b"))
    list(local.run([0], without))
    partitions.write(tmp_path, partitions.FEATURES, 0, bed)
    list(local.run([0], beside))
    one, other = (
        partitions.read(each.out, partitions.ZONES, 0).set_index("zone_id")["ground_area_m2"]
        for each in (without, beside)
    )
    assert (one - other)["z0"] > 1
    assert ((one - other).drop("z0") == 0).all()
