"""Slope factors against trigonometry, and slopes as people write them."""

import pytest

from lawnmap.geometry import slope


@pytest.mark.parametrize(
    ("text", "factor"),
    # sqrt(1 + (s/100)²) and 1/cos, tabulated in any surveying handbook.
    [
        ("5 %", 1.00125),
        ("1 in 12", 1.00347),
        ("25%", 1.03078),
        ("1:3", 1.05409),
        ("100 %", 1.41421),
        ("10", 1.01543),
        ("20°", 1.06418),
        ("30 deg", 1.15470),
        ("45 degrees", 1.41421),
        ("0", 1.0),
    ],
)
def test_factor(text, factor):
    assert float(slope.ground_factor(slope.degrees_from(text))) == pytest.approx(factor, abs=5e-6)


@pytest.mark.parametrize("text", ["steep", "", "-3", "61", "1 in 0", "nan", "300 %", "2 in 5"])
def test_what_is_no_slope(text):
    with pytest.raises(ValueError, match=r"slope|convert"):
        slope.degrees_from(text)
