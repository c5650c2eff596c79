"""Arisings: a low and a high, against what people told and authorities weigh."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import arisings


def test_bags_of_a_hand_raked_lawn():
    # A household blog: a yard bag of 30 US gal on 200 ft² is about 610 l on 100 m².
    litres = arisings.litres_by_class(100, *[30 * 3.785411784 / (200 * 0.09290304)] * 2)
    assert float(litres[0]) == pytest.approx(610, abs=2)
    # Merseyside weighs garden waste at 231 kg/m³, the US EPA yard trimmings at 148.
    low, high = arisings.mass_kg(litres, 148, 231)
    assert float(low) == pytest.approx(90, abs=1)
    assert float(high) == pytest.approx(141, abs=1)


@pytest.mark.parametrize(
    ("area", "litres", "bins"),
    # At 6 l/m²: 180 m² fill 4.5 wheeled bins of 240 l (Merseyside), so five are needed.
    [(180, 1080, 5), (900, 5400, 23), (6000, 36_000, 150)],
)
def test_bins(area, litres, bins):
    low, high = arisings.litres_by_class(area, 6, 6)
    assert float(low) == float(high) == litres
    assert float(arisings.containers(high, 240)) == bins


def test_in_place_times_bulking():
    # 3 mm off 100 m² is 0.30 m³ in place; two to four times that
    # loose (common practice, no source).
    low, high = arisings.litres_by_depth(
        100, 3, 100, 100, share_low=1, share_high=1, bulking_low=2, bulking_high=4
    )
    assert (float(low), float(high)) == (600, 1200)


def test_a_whole_bag_is_not_rounded_up():
    assert float(arisings.containers(240.0000000001, 240)) == 1
    assert float(arisings.containers(241, 240)) == 2
    with pytest.raises(ValueError, match="hold something"):
        arisings.containers(10, 0)


@given(st.floats(0, 300), st.floats(0, 100), st.floats(0, 100))
def test_more_or_deeper_moss_never_gives_less(depth, one, other):
    less, more = sorted([one, other])

    def high(cover, deep):
        return arisings.litres_by_depth(
            10, deep, cover, cover, share_low=0.75, share_high=1, bulking_low=2, bulking_high=4
        )[1]

    assert high(less, depth) <= high(more, depth)
    assert high(more, depth) <= high(more, depth + 1)
    low, _ = arisings.litres_by_class(np.array([1.0]), 3, 60)
    assert low[0] == 3
