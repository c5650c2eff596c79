"""Where cores are taken: along a W, or spread over a lawn that is too hollow for one."""

import geopandas as gpd
import numpy as np
import shapely

from lawnmap.geometry.frame import Frame
from lawnmap.processing.surveying.core_places import Layout, core_places

FRAME = Frame(-1.55, 53.8)
ARMS = [(0, 0), (18, 0), (18, 6), (6, 6), (6, 18), (0, 18)]


def places(shape, count=5):
    """Return the layer of places, and the places in metres."""
    lawn = gpd.GeoSeries(list(FRAME.round(np.array([shape]))), index=["a"], crs="OGC:CRS84")
    found = core_places(lawn, {"a": count}, Layout())
    return found, FRAME.flat(np.asarray(found.geometry.array, dtype=object))


def test_both_arms_of_an_l_are_looked_at():
    ell = shapely.Polygon(ARMS)
    found, flat = places(ell)
    assert set(found["layout"]) == {"chance"}
    assert all(shapely.dwithin(ell, flat, 0.01))
    north = shapely.get_y(flat) > 6
    east = shapely.get_x(flat) > 6
    assert north.any()
    assert east.any()
    apart = [one.distance(other) for one in flat for other in flat if one is not other]
    assert min(apart) > 2  # a third of the width of an arm


def test_a_plain_lawn_has_its_w():
    found, flat = places(shapely.box(0, 0, 30, 14), 3)
    assert set(found["layout"]) == {"w"}
    assert list(np.argsort(shapely.get_x(flat))) in ([0, 1, 2], [2, 1, 0])
