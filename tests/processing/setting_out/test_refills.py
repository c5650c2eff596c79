"""Where a crew fills up again: the nearest tap, else the gate, and the walks add up."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap.geometry.frame import Frame
from lawnmap.processing.setting_out.refills import refills

FRAME = Frame(-1.55, 53.8)


def on_earth(*shapes):
    return list(FRAME.round(np.array(shapes, dtype=object)))


LAWN = gpd.GeoSeries(
    on_earth(shapely.box(10, 0, 20, 10), shapely.box(40, 0, 50, 10)),
    index=["near", "far"],
    crs="OGC:CRS84",
)


def features(*rows):
    kinds, sorts, names, places = zip(*rows, strict=True)
    return gpd.GeoDataFrame(
        {"feature": kinds, "supply_kind": sorts, "name": names},
        geometry=on_earth(*(shapely.Point(each) for each in places)),
        crs="OGC:CRS84",
    )


GATE = ("access", None, "Gate", (0, 5))
TAP = ("supply", "tap", "House tap", (55, 5))
SOCKET = ("supply", "socket", "Socket", (11, 5))


def loads(water_l=10.0, **full):
    """Full loads by zone, with half a load more."""
    return pd.DataFrame(
        {"zone_id": list(full), "full_loads": list(full.values()), "last_area_m2": 8.0,
         "full_water_l": water_l, "last_water_l": water_l / 2}
    )  # fmt: skip


def test_the_place_is_the_edge_nearest_to_the_tap():
    found = refills(loads(near=3, far=2), LAWN, features(GATE, SOCKET, TAP)).set_index("zone_id")
    assert list(found["filled_at"]) == ["House tap", "House tap"]
    assert list(found["away_m"]) == pytest.approx([35, 5], abs=1e-6)
    assert list(found["fills"]) == [4, 3]
    assert list(found["walk_m"]) == pytest.approx([280, 30], abs=1e-5)
    (edge,) = FRAME.flat(np.array([found.geometry["far"]], dtype=object))
    assert (edge.x, edge.y) == pytest.approx((50, 5), abs=1e-3)


def test_without_a_tap_it_is_the_way_in():
    found = refills(loads(near=2), LAWN, features(SOCKET, GATE))
    assert list(found["filled_at"]) == ["Gate"]
    assert list(found["away_m"]) == pytest.approx([10], abs=1e-6)


def test_one_load_needs_no_way_back_and_no_source_gives_no_place():
    once = loads(near=0)
    assert refills(once, LAWN, features(TAP)).empty
    assert refills(loads(near=5), LAWN, features(SOCKET)).empty


def test_bags_stand_at_the_gate_and_water_comes_from_the_tap():
    both = pd.concat([loads(near=3), loads(water_l=0.0, near=1)])
    found = refills(both, LAWN, features(GATE, TAP))
    assert list(found["filled_at"]) == ["House tap", "Gate"]
    assert list(found["fills"]) == [4, 2]
    assert list(found["walk_m"]) == pytest.approx([280, 40], abs=1e-5)
    assert list(refills(both, LAWN, features(TAP))["filled_at"]) == ["House tap", "House tap"]
