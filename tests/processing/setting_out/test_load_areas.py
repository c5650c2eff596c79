"""The ground of each load: of the right size, in order, together the zone, and never guessed."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry import ellipsoid
from lawnmap.geometry.frame import Frame
from lawnmap.processing.setting_out.load_areas import MOST_LOADS, load_areas

FRAME = Frame(-1.55, 53.8)
LAWN = shapely.Polygon([(0, 0), (30, 0), (30, 20), (12, 20), (12, 12), (0, 12)])


def tables(area_m2, full_m2, *, kind="spray", treated=None):
    """One zone sprayed by cans of 10 l and 50 g: the tables that the step is given."""
    loads = pd.DataFrame(
        {
            "zone_id": ["a"],
            "operation": ["iron_soluble"],
            "sequence": [1],
            "product": ["Invented Iron"],
            "product_unit": ["g"],
            "full_loads": [np.floor(area_m2 / full_m2 + 1e-9)],
            "full_product": [50.0],
            "full_water_l": [10.0],
            "full_area_m2": [full_m2],
        }
    )
    last = area_m2 - float(loads["full_loads"].iloc[0]) * full_m2
    last = last if last > 1e-6 else 0.0
    loads = loads.assign(
        last_area_m2=last, last_product=50 * last / full_m2, last_water_l=10 * last / full_m2
    )
    steps = pd.DataFrame({"zone_id": ["a"], "sequence": [1], "kind": [kind]})
    treatable = gpd.GeoDataFrame(
        {"zone_id": ["a"], "kind": ["spray"], "area_m2": [treated or area_m2]},
        geometry=list(FRAME.round(np.array([LAWN], dtype=object))),
        crs="OGC:CRS84",
    )
    return loads, steps, treatable


@given(st.floats(20, 400))
def test_amounts_water_and_ground_add_up_to_the_step(full_m2):
    loads, steps, treatable = tables(LAWN.area, full_m2)
    found = load_areas(loads, steps, treatable, {})
    assert list(found["load"]) == list(range(1, len(found) + 1))
    assert found["area_m2"].sum() == pytest.approx(LAWN.area, rel=1e-12)
    assert found["amount"].sum() == pytest.approx(50 * LAWN.area / full_m2, rel=1e-12)
    assert found["water_l"].sum() == pytest.approx(10 * LAWN.area / full_m2, rel=1e-12)
    # Must show 5 of the issue: areas equal within 0.1 %; by the ellipsoid, not by the frame.
    drawn = ellipsoid.areas(np.asarray(found.geometry.array, dtype=object))
    assert drawn == pytest.approx(found["area_m2"].to_numpy(), rel=1e-3)
    assert drawn.sum() == pytest.approx(ellipsoid.areas(treatable.geometry.to_numpy())[0])


def test_loads_lie_side_by_side_along_the_pass_lines():
    loads, steps, treatable = tables(LAWN.area, 60.0)
    found = load_areas(loads, steps, treatable, {("a", "iron_soluble"): 0.0})
    wests = [FRAME.flat(np.array([each], dtype=object))[0].bounds[0] for each in found.geometry]
    assert wests == sorted(wests)
    assert {each.geom_type for each in found.geometry} == {"Polygon"}


def test_a_step_on_patches_has_no_ground_to_draw():
    loads, steps, treatable = tables(100.0, 16.0, treated=480.0)
    assert load_areas(loads, steps, treatable, {}).empty


def test_a_step_of_another_kind_is_not_drawn_on_this_ground():
    loads, steps, treatable = tables(480.0, 100.0, kind="granules")
    assert load_areas(loads, steps, treatable, {}).empty


def test_nobody_pegs_out_hundreds_of_cans():
    few = load_areas(*tables(LAWN.area, LAWN.area / MOST_LOADS), {})
    many = load_areas(*tables(LAWN.area, LAWN.area / (MOST_LOADS + 1)), {})
    assert (len(few), len(many)) == (MOST_LOADS, 0)
