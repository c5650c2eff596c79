"""Units to read in, against the definitions and conversion tables that others publish.

SP811: NIST Special Publication 811 (2008), appendix B.8, factors to SI.
HB44: NIST Handbook 44, appendix C, general tables of units of measurement.
SI1995: The Units of Measurement Regulations 1995 (United Kingdom, SI 1995/1804), schedule.
"""

import importlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import label_units, unit_systems
from lawnmap.agronomy.unit_systems import acres, decimals, temperature, unit_for

BIG = 1e9  # read in the largest unit there is

# Metric unit, system, how much, the unit it is read in, how much of the metric one it is.
PRINTED = [
    ("g", "us", BIG, "lb", 453.59237),  # HB44, exact
    ("g", "imperial", 1.0, "oz", 28.349523125),  # HB44, exact
    ("l", "us", BIG, "US gal", 3.785412),  # SP811
    ("ml", "us", 1.0, "US fl oz", 29.57353),  # SP811
    ("l", "imperial", BIG, "imp gal", 4.54609),  # SI1995, exact
    ("l", "imperial", 1.0, "imp pt", 0.56826125),  # SI1995, exact
    ("ml", "imperial", 1.0, "imp fl oz", 28.4130625),  # SI1995, exact
    ("m", "us", BIG, "ft", 0.3048),  # HB44, exact
    ("mm", "us", 1.0, "in", 25.4),  # HB44, exact
    ("m²", "us", 1.0, "sq ft", 0.09290304),  # SP811, exact
    ("m²", "imperial", 1.0, "sq yd", 0.8361274),  # SP811
    ("m³", "us", BIG, "cu yd", 0.7645549),  # SP811
    ("l loose", "us", 1.0, "cu ft", 28.31685),  # SP811
    ("km/h", "us", 1.0, "mph", 1.609344),  # SP811, exact
    ("kPa", "us", 1.0, "psi", 6.894757),  # SP811
    ("g/m²", "imperial", 1.0, "oz per sq yd", 33.90575),  # SP811: ounce per square yard
    ("g/l", "us", 1.0, "oz per US gal", 7.489152),  # SP811
    ("g/l", "imperial", 1.0, "oz per imp gal", 6.236023),  # SP811
    ("kg/m³", "us", 1.0, "lb per cu ft", 16.01846),  # SP811
    ("ha", "us", 1.0, "acres", 0.40468564224),  # HB44: 43,560 square feet
]
# Penn State Extension, Turfgrass fertilization: 1 lb on 1000 sq ft is 43.56 lb on an acre.
ON_GROUND = [("us", "g/m²", "lb per 1000 sq ft", 43.56)]


@pytest.mark.parametrize(("metric", "system", "much", "name", "size"), PRINTED)
def test_each_unit_is_as_large_as_is_published(metric, system, much, name, size):
    found = unit_for(much, metric, system)
    assert found.name == name
    assert found.size == pytest.approx(size, rel=3e-7)


@pytest.mark.parametrize(("system", "metric", "name", "on_acre"), ON_GROUND)
def test_a_rate_on_a_lawn_and_on_an_acre_agree(system, metric, name, on_acre):
    lawn, field = unit_for(BIG, metric, system), unit_for(BIG, "kg/ha", system)
    assert lawn.name == name
    assert lawn.size * 10 / field.size == pytest.approx(on_acre)  # 1 g/m² is 10 kg/ha


def test_gallons_on_the_ground_are_those_of_the_country():
    us, imperial = (unit_for(BIG, "l/m²", each) for each in ("us", "imperial"))
    # 1 US gal on 1000 sq ft: 3.785412 l on 92.90304 m²; 1 imp gal on 100 sq yd: 4.54609 on 83.61.
    assert us.size == pytest.approx(3.785412 / 92.90304)
    assert imperial.size == pytest.approx(4.54609 / 83.612736)


@pytest.mark.parametrize("metric", ["l", "ml", "l/m²", "ml/m²", "l/ha", "g/l", "l/min"])
def test_no_volume_goes_without_its_country(metric):
    for much in (1e-6, 1.0, BIG):
        assert "US " in unit_for(much, metric, "us").name
        assert "imp " in unit_for(much, metric, "imperial").name


def test_a_gallon_taken_for_another_is_found(monkeypatch):
    right = dict(label_units.GALLON_ML)
    with monkeypatch.context() as wrong:
        wrong.setitem(label_units.GALLON_ML, "US", right["imperial"])
        wrong.setitem(label_units.GALLON_ML, "imperial", right["US"])
        swapped = importlib.reload(unit_systems)
        off = [
            row for row in PRINTED
            if swapped.unit_for(row[2], row[0], row[1]).size != pytest.approx(row[4], rel=3e-7)
        ]  # fmt: skip
    importlib.reload(unit_systems)
    assert {row[3] for row in off} >= {"US gal", "imp gal", "imp pt", "oz per US gal"}


def test_what_is_read_alike_everywhere_stays():
    for metric in ("h", "%", "°", "°C", ""):
        assert unit_for(5.0, metric, "us") == (metric, 1.0, 1.0)
    assert unit_for(5.0, "g", "metric").name == "g"
    assert unit_for(5.0, "l loose", "metric").name == "l"


def test_temperatures():
    # HB44, appendix C: t/°F = 1.8 t/°C + 32; water freezes at 32 °F and boils at 212 °F.
    assert (temperature(0), temperature(100), temperature(-40)) == (32, 212, -40)


def test_acres():
    # HB44, appendix C: 1 acre = 43,560 square feet.
    assert acres(43_560 * 0.09290304) == pytest.approx(1, abs=1e-12)


@given(st.floats(0.001, 1e6), st.integers(0, 3), st.sampled_from([row[4] for row in PRINTED]))
def test_no_digit_of_the_metric_figure_is_lost(value, places, size):
    # Two metric figures that differ in their last digit still differ when they are read.
    step = 10.0**-places
    kept = decimals(places, size)
    one, other = (round(each / size, kept) for each in (value, value + 1.001 * step))
    assert one != other
