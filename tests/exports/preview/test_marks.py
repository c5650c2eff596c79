"""The scale bar of a preview is round, and is as long as it says."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.exports.preview.marks import bar_m
from lawnmap.exports.preview.view import view_of
from lawnmap.geometry.ellipsoid import perimeters


@given(st.floats(0.5, 50_000))
def test_the_bar_is_one_two_or_five_and_a_tenth_to_a_quarter_of_the_width(width):
    length = bar_m(width)
    assert 0.1 * width <= length <= 0.25 * width * (1 + 1e-12)
    assert f"{length:e}"[0] in "125"


@pytest.mark.parametrize("latitude", [0.0, 53.4, -41.0])
def test_a_bar_is_as_long_as_that_on_the_ellipsoid(latitude):
    view = view_of((1.9, latitude, 1.901, latitude + 0.001), foot=64)
    ends = np.array([[1.9001, latitude + 0.0005], [1.9009, latitude + 0.0005]])
    pixels = np.diff(view.pixels(ends)[:, 0])[0]
    (metres,) = perimeters(np.array([shapely.LineString(ends)], dtype=object))
    assert pixels / view.scale == pytest.approx(metres, rel=1e-5)


def test_everything_is_inside_its_margins_and_north_is_up():
    view = view_of((1.9, 53.4, 1.901, 53.4002), foot=64)
    (left, bottom), (right, top) = view.pixels(np.array([[1.9, 53.4], [1.901, 53.4002]]))
    width, height = view.size
    assert 0 < left < right < width
    assert 0 < top < bottom < height - view.foot
