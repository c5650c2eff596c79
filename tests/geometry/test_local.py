"""Unplaced plans keep their areas; the origin is found and absurd sizes refused."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.local import UNITS_M, Local, origin_of


@pytest.mark.parametrize("anchor", [(0.0, 0.0), (-1.55, 53.8), (151.2, -33.9)])
def test_areas_are_kept(anchor):
    plan = np.array([shapely.box(0, 0, 20, 50), shapely.box(-1250, -500, 1250, 500)])
    placed = Local(anchor, (0.0, 0.0)).to_lonlat(plan, 1.0)
    assert areas(placed) == pytest.approx([1000, 2_500_000], rel=5e-8)


@given(st.floats(-1000, 1000), st.floats(-1000, 1000), st.sampled_from(sorted(UNITS_M)))
def test_there_and_back(x, y, unit):
    local = Local((0.0, 0.0), (430000.0, 312000.0))
    point = np.array([shapely.Point((430000 + x) / UNITS_M[unit], (312000 + y) / UNITS_M[unit])])
    (back,) = local.to_metres(local.to_lonlat(point, UNITS_M[unit]))
    assert (back.x, back.y) == pytest.approx((430000 + x, 312000 + y), abs=1e-5)


def test_origin_is_the_middle_in_whole_metres():
    assert origin_of(np.array([shapely.box(430000.3, 10, 430020.3, 30)]), 1.0) == (430010, 20)


def test_feet_are_exact():
    # A lawn of 100 x 100 ft is 929.0304 m² by the international foot of 1959.
    plan = np.array([shapely.box(0, 0, 100, 100)])
    placed = Local((0.0, 0.0), (0.0, 0.0)).to_lonlat(plan, UNITS_M["ft"])
    assert areas(placed)[0] == pytest.approx(929.0304, rel=1e-7)


def test_a_country_is_no_local_plan():
    with pytest.raises(InputRefused, match="km across"):
        origin_of(np.array([shapely.box(0, 0, 50_000, 10)]), 1.0)


def test_an_absurd_size_is_told_shortly():
    with pytest.raises(InputRefused) as refused:
        origin_of(np.array([shapely.box(0, 0, 1e300, 10)]), 1.0)
    assert len(str(refused.value)) < 200
