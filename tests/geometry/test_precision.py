"""How finely coordinates are written is told from the numbers alone."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.geometry.precision import decimals, degree_m


@pytest.mark.parametrize(
    ("values", "count"),
    [
        ([3, 40, -500], 0),
        ([12.5, 3.25, 7], 2),
        ([430000.001, 312000.5], 3),
        ([1.900329, 53.399924], 6),
        ([1.90032925, 53.39992386], 8),
        ([0.1 + 0.2, 0.3], 1),
        ([1 / 3], None),
        ([430000 + 1 / 3], None),
        ([np.pi, 1.0], None),
        ([], None),
        ([np.nan, 1.0], None),
    ],
)
def test_decimals_of_numbers_as_they_are_written(values, count):
    assert decimals(np.array(values, dtype=float)) == count


@given(
    st.lists(st.integers(-1_800_000_000, 1_800_000_000), min_size=1, max_size=20), st.integers(0, 7)
)
def test_what_was_rounded_to_so_many_decimals_never_needs_more(whole, count):
    told = decimals(np.array(whole) / 10.0**count)
    assert told is not None
    assert told <= count


# Length of a degree of latitude on WGS 84 [m], as printed in tables of the ellipsoid
# (from memory): at 0° 110,574, at 45° 111,132, at 60° 111,412, at 90° 111,694.
@pytest.mark.parametrize(
    ("latitude", "metres"), [(0, 110_574), (45, 111_132), (60, 111_412), (89.5, 111_694)]
)
def test_a_degree_of_latitude_against_the_printed_table(latitude, metres):
    assert degree_m(latitude) == pytest.approx(metres, abs=1.0)


def test_six_decimals_are_about_ten_centimetres():
    # RFC 7946, section 11.2: six decimals are a precision of about 10 centimetres.
    assert 10.0**-6 * degree_m(53.4) == pytest.approx(0.10, abs=0.015)
