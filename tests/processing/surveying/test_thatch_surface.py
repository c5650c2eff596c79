"""Thatch between the cores: drawn where it tells more than the mean, and where to cut the zone."""

import geopandas as gpd
import numpy as np
import pytest
import shapely

from lawnmap.geometry.frame import Frame
from lawnmap.processing.surveying.thatch_surface import thatch_surface

FRAME = Frame(-1.55, 53.8)
LAWN = shapely.box(0, 0, 40, 15)


def told(values, places):
    ground = list(FRAME.round(np.array([LAWN], dtype=object)))
    zones = gpd.GeoDataFrame({"name": ["A"]}, geometry=ground, index=["a"], crs="OGC:CRS84")
    cores = gpd.GeoDataFrame(
        {"feature": "core", "zone_id": "a", "thatch_mm": values},
        geometry=list(FRAME.round(shapely.points(np.array(places, dtype=float)))),
        crs="OGC:CRS84",
    )
    return thatch_surface(zones, zones.geometry, cores)


PLACES = [(x, y) for x in (4, 12, 20, 28, 36) for y in (4, 11)]
RISING = [8 + 0.4 * x for x, _ in PLACES]  # 9.6 mm in the west, 22.4 mm in the east


def test_a_lawn_that_thickens_eastward():
    found = told(RISING, PLACES)
    (row,) = found.table.to_dict("records")
    assert row["drawn"]
    assert row["error_mm"] < row["mean_error_mm"]
    # By hand: the mean of the others less each core, root mean square.
    values = np.array(RISING)
    others = [(values.sum() - each) / 9 - each for each in values]
    assert row["mean_error_mm"] == pytest.approx(np.sqrt(np.mean(np.square(others))))
    assert "to the east: worth a zone of its own" in row["says"]
    (drawn,) = found.maps
    middle = drawn.cells[drawn.cells.shape[0] // 2]
    assert middle[2] < 12
    assert middle[-3] > 18
    assert np.nanmin(drawn.cells) >= min(values) - 1e-4
    assert np.nanmax(drawn.cells) <= max(values) + 1e-4


def test_chance_is_not_drawn():
    """Cores that alternate: the nearest says the opposite, and the mean says more."""
    found = told([10, 20, 20, 10, 10, 20, 20, 10, 10, 20], PLACES)
    (row,) = found.table.to_dict("records")
    assert not row["drawn"]
    assert "no better than their mean" in row["says"]
    assert found.maps == ()


def test_few_cores_are_no_surface():
    found = told(RISING[:9], PLACES[:9])
    assert found.table.empty
    assert found.maps == ()


def test_an_even_lawn_is_not_cut():
    """From 14 to 16 mm it is one class from end to end."""
    found = told([14 + x / 20 for x, _ in PLACES], PLACES)
    (row,) = found.table.to_dict("records")
    assert row["drawn"]
    assert "zone of its own" not in row["says"]
