"""Hours against extension tables, a land-area calculator and the safety regulator."""

import pytest

from lawnmap.agronomy import work_rate

FOOT, MILE, ACRE = 0.3048, 1.609344, 4046.8564224


@pytest.mark.parametrize(
    ("feet", "mph", "efficiency", "acres"),
    [
        (40, 6, 0.70, 20.4),  # Iowa State PM 696, fertiliser spreader
        (10, 5, 0.63, 3.8),  # the same, manure spreader
        (10, 4, 0.75, 3.64),  # ASABE EP496 form: mph × ft × E / 8.25
        (12, 5, 0.80, 5.82),  # the same
    ],
)
def test_field_capacity_in_acres(feet, mph, efficiency, acres):
    found = work_rate.field_capacity(mph * MILE, feet * FOOT, efficiency)
    assert float(found) / ACRE == pytest.approx(acres, abs=0.05 if feet == 40 else 0.02)


@pytest.mark.parametrize(
    ("km_h", "metres", "efficiency", "m2_h"),
    [
        (5, 2.5, 0.85, 10_625),  # a calculator page prints 1.06 ha/h
        (6, 3.0, 0.80, 14_400),  # EP496 form: 1.44 ha/h
        (3.0, 0.38, 0.70, 798),
        (2.0, 0.30, 0.60, 360),
    ],
)
def test_field_capacity(km_h, metres, efficiency, m2_h):
    assert float(work_rate.field_capacity(km_h, metres, efficiency)) == pytest.approx(m2_h)


def test_hours_of_passes():
    # Same form: 500 m² twice at 798 m²/h is 1.25 h; 6,000 m² twice is 15.0 h.
    assert float(work_rate.hours(500, 798, 2)) == pytest.approx(1.25, abs=0.005)
    assert float(work_rate.hours(6000, 798, 2)) == pytest.approx(15.0, abs=0.05)


def test_hours_by_hand():
    # A household blog: 18.6 m²/h on the first day, 46.5 on the next; 180 m² twice is 8 to 19 h.
    assert float(work_rate.hours(180, 46.5, 2)) == pytest.approx(7.7, abs=0.05)
    assert float(work_rate.hours(180, 18.6, 2)) == pytest.approx(19.4, abs=0.05)


@pytest.mark.parametrize(
    ("across", "width", "overlap", "number"),
    # n = ceil(W / (w (1 - overlap))), as on land-area calculators.
    [
        (20, 0.50, 0, 40),
        (20, 0.50, 0.1, 45),
        (20, 0.38, 0.1, 59),
        (20, 0.32, 0, 63),
        (50, 0.38, 0.1, 147),
    ],
)
def test_bouts(across, width, overlap, number):
    assert float(work_rate.bouts(across, width, overlap)) == number


def test_bouts_that_cannot_be():
    with pytest.raises(ValueError, match="overlap"):
        work_rate.bouts(20, 0.5, 1)
