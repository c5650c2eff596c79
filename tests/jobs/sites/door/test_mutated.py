"""Tables with bytes changed at random are read, or refused in words; nothing else comes out.

A child takes half a second, so that few are tried unless ``LAWNMAP_LONG=1``.
"""

import random

import pytest

from lawnmap.errors import LawnmapError
from lawnmap.jobs.sites.door import reader
from tests.jobs.sites.door.tables import zones
from tests.readers.mutants import LONG, SEED, damaged, mutated

ROUNDS = {"geojsonl": 40, "parquet": 2, "gpkg": 1, "fgb": 1}
TIMES = 30 if LONG else 1


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    """Return the bytes of one table in every kind."""
    folder = tmp_path_factory.mktemp("good")
    table = zones(["A", "B", "A"] * 20, moss_rating=[1.0] * 60, wear=["light"] * 60)
    table.to_parquet(folder / "a.parquet")
    for suffix, driver in (("geojsonl", "GeoJSONSeq"), ("gpkg", "GPKG"), ("fgb", "FlatGeobuf")):
        table.to_file(folder / f"a.{suffix}", driver=driver)
    return {suffix: (folder / f"a.{suffix}").read_bytes() for suffix in ROUNDS}


def outcome(path):
    """Return the error that a table was refused with, or what was read of it."""
    try:
        table = reader.opened(path)
        return table, list(reader.batches(table, 7))
    except LawnmapError as error:
        return error, None


@pytest.mark.parametrize("suffix", ROUNDS)
def test_changed_at_random(tmp_path, good, suffix):
    path = tmp_path / f"a.{suffix}"
    change = mutated if suffix == "geojsonl" else damaged
    chance = random.Random(SEED)
    for _ in range(ROUNDS[suffix] * TIMES):
        path.write_bytes(change(good[suffix], chance))
        found, batches = outcome(path)
        if batches is None:
            assert (found.file, found.exit_code) == (path.name, 3)
            assert "could not be read (an" not in str(found)
        else:
            assert found.count == sum(len(each.rows) + len(each.skipped) for each in batches)
            assert all(each.rows.geometry.is_valid.all() for each in batches)
