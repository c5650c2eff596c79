"""Moss decides whether, where and how often; never the dose."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import moss, ratings
from lawnmap.reference import tables


def test_bare_after():
    # R. Golembiewski, Oregon State: one mechanical dethatching takes about 75 % of the moss, so
    # 60 % moss and 5 % bare leave 50 % bare.
    low, high = moss.bare_after([60, 50], [60, 75], [5, np.nan], share_low=0.75, share_high=0.75)
    assert low.tolist() == [50, 37.5]
    assert high.tolist() == [50, 56.25]


def test_never_barer_than_bare():
    _, high = moss.bare_after(80, 100, 40, share_low=0.75, share_high=1.0)
    assert float(high) == 100


def test_extent():
    found = moss.extent([0, 4.9, 5, 24.9, 25, 100, np.nan], spot_from=5, whole_from=25)
    told = [moss.EXTENTS[each] for each in found]
    assert told == ["none", "none", "spot", "spot", "whole", "whole", "none"]


def test_spot_treats_the_patches_at_their_largest():
    found = moss.treated_area(200, [3, 25, 60], ["none", "spot", "whole"])
    assert found.tolist() == [0, 50, 200]


def test_label_silent_on_repeats_means_one():
    assert moss.doses([2, 1, 0], most_a_year=None).tolist() == [1, 1, 0]
    assert moss.doses([2, 2, 2], most_a_year=4, done_this_year=[0, 3, 5]).tolist() == [2, 1, 0]
    assert moss.doses(2, most_a_year=4, deep_mat=True) == 0


def season(cover, most, dose_fe=0.63, area=100.0):
    """Return iron [g] over a season for one zone, the way the plan stacks these functions."""
    rated = ratings.rating(cover, tables.bands("moss"))
    wanted = tables.scale("moss")[int(rated)].applications
    extent = moss.extent(
        cover,
        spot_from=tables.value("moss_spot_from_pct").number,
        whole_from=tables.value("moss_whole_from_pct").number,
    )
    treated = moss.treated_area(area, cover, moss.EXTENTS[int(extent)])
    return float(treated * moss.doses(wanted, most_a_year=most) * dose_fe)


@given(st.floats(0, 100), st.floats(0, 100), st.none() | st.integers(0, 5))
def test_more_moss_never_lowers_the_iron_of_a_season(one, other, most):
    little, much = sorted([one, other])
    assert season(little, most) <= season(much, most)
    assert season(much, most) <= 100 * 0.63 * (1 if most is None else most)
