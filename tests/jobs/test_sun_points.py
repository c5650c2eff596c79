"""The table of points on which the sun was counted."""

from dataclasses import replace
from types import SimpleNamespace

import geopandas as gpd
import numpy as np
import shapely

from lawnmap.grids import GridMap
from lawnmap.jobs import sun_points
from lawnmap.model import LONLAT
from lawnmap.store.sunlight import encode, parse
from tests.store.test_sunlight import light


def test_points_say_the_same_hours_when_they_were_found_again():
    """Half a hundredth: 12.735 as it is counted lies a hair below, as it is kept a hair above."""
    halves = np.arange(0, 16, 0.005, dtype=np.float32).reshape(1, -1)
    counted = replace(light(), maps=(GridMap(halves, (0.0, 0.0, 1e-3, 1e-3)),))
    lawn = shapely.box(-1e-3, -1e-3, 2e-3, 2e-3)
    zones = gpd.GeoDataFrame({"zone_id": ["a"]}, geometry=[lawn], crs=LONLAT).set_index("zone_id")
    kept = parse(encode(counted))
    first, again = (
        sun_points.points(each, SimpleNamespace(zones=zones)) for each in (counted, kept)
    )
    assert first == again
    assert first.count("\r\n") > 3000
