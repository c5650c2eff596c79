"""Numbers in words, against what the standards print."""

import datetime as dt

import pandas as pd
import pytest

from lawnmap.exports.wording.amounts import (
    area,
    beside,
    day,
    missing,
    number,
    per_area,
    plain,
    quantity,
    span,
    strength,
    temperature,
    text,
)  # fmt: skip


def typed(shown: str) -> str:
    """Return a shown amount with plain spaces."""
    return shown.replace("\u00a0", " ").replace("\u202f", " ")


@pytest.mark.parametrize(
    ("value", "decimals", "shown"),
    [
        (0.5, 0, "1"),  # a half goes up, as on paper
        (562.5, 0, "563"),
        (1000, 0, "1000"),
        (43_279.168_29, 5, "43 279.16829"),  # the SI brochure's own example (5.4.4), decimals whole
        (-2.5, 1, "−2.5"),
        (-0.2, 0, "0"),
        (100.0, 2, "100"),
    ],
)
def test_number(value, decimals, shown):
    assert typed(number(value, decimals)) == shown


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (562.5, "g", "563 g"),
        (999.4, "g", "999 g"),
        (999.6, "g", "1 kg"),
        (2312.6, "g", "2.313 kg"),
        (0, "g", "0 g"),
        (1500, "ml", "1.5 l"),
        (112.5, "l", "113 l"),
        (9000, "l", "9000 l"),
        (26_787, "l", "26.8 m³"),
        (0.4, "h", "24 min"),
        (7.04, "h", "7 h"),
        (5.4, "m³", "5.4 m³"),
        (3, "", "3"),
    ],
)
def test_quantity(value, unit, shown):
    assert typed(quantity(value, unit)) == shown


@pytest.mark.parametrize(
    ("low", "high", "unit", "shown"),
    [
        (3, 8, "h", "3 to 8 h"),
        (0.25, 0.4, "h", "15 to 24 min"),
        (0.5, 1.6, "h", "0.5 to 1.6 h"),
        (900, 2400, "g", "0.9 to 2.4 kg"),
        (500.2, 500.4, "g", "500 g"),
        (2312.6, 2312.6, "g", "2.313 kg"),
        (float("nan"), 12.0, "m³", "12 m³"),
        (None, None, "m³", ""),
        (25, float("inf"), "mm", "over 25 mm"),
    ],
)
def test_span(low, high, unit, shown):
    assert typed(span(low, high, unit)) == shown


def test_area_has_the_digits_its_error_allows():
    assert typed(area(412.34, sigma=3.2)) == "412 ± 3 m²"
    assert typed(area(412.34, sigma=0.43)) == "412.3 ± 0.4 m²"
    assert typed(area(412.34, sigma=float("nan"))) == "412 m²"
    assert typed(area(4.26)) == "4.3 m²"


def test_area_in_feet_yards_and_acres():
    # NIST Handbook 44, appendix C: 1 m² = 10.763 91 ft² = 1.195 990 yd², 1 acre = 43,560 ft².
    assert typed(area(1000.0, units="us")) == "10 764 sq ft"
    assert typed(area(1000.0, units="imperial")) == "1196 sq yd"
    assert typed(area(412.34, units="us", sigma=3.2)) == "4438 ± 34 sq ft"
    assert typed(area(4046.8564224, units="us")) == "43 560 sq ft (1 acres)"
    assert typed(area(6000.0, units="imperial")) == "7176 sq yd (1.48 acres)"


@pytest.mark.parametrize(
    ("value", "unit", "us", "imperial"),
    [
        (562.5, "g", "1.24 lb", "1.24 lb"),
        (50, "g", "1.76 oz", "1.76 oz"),
        (2312.6, "g", "5.098 lb", "5.098 lb"),
        # HB44: 1 US gal is 3.785 l. Units of Measurement Regulations 1995: 1 gal is 4.54609 l.
        (112.5, "l", "29.7 US gal", "24.7 imp gal"),
        (1.0, "l", "33.8 US fl oz", "1.76 imp pt"),
        (250, "ml", "8.45 US fl oz", "8.8 imp fl oz"),
        (26_787, "l loose", "35 cu yd", "35 cu yd"),
        (20, "mm", "0.79 in", "0.79 in"),
        (3, "h", "3 h", "3 h"),
    ],
)
def test_quantity_in_other_units(value, unit, us, imperial):
    assert typed(quantity(value, unit, "us")) == us
    assert typed(quantity(value, unit, "imperial")) == imperial


def test_a_range_is_read_in_one_unit():
    assert typed(span(200.0, 900.0, "g", "us")) == "0.441 to 1.984 lb"
    assert typed(span(25, float("inf"), "mm", "us")) == "over 0.98 in"


def test_what_stands_beside_a_weight_is_never_more_and_beside_a_strip_never_less():
    # 562.5 / 28.349523125 = 19.842 oz; 5 / 0.3048 = 16.404 ft
    assert typed(beside(562.5, "g", "us")) == " (1.24 lb)"
    assert typed(beside(13.9, "g", "us")) == " (0.49 oz)"
    assert typed(beside(5.0, "m", "us", up=True)) == " (16.5 ft)"
    assert beside(5.0, "m", "metric") == ""


def test_doses_mixes_and_temperatures():
    # Penn State Extension: 1 lb on 1000 sq ft is 4.88 g/m².
    assert typed(per_area(4.88243, "g/m²", "us")) == "1 lb per 1000 sq ft"
    assert typed(per_area(30.0, "g/m²", "imperial")) == "0.885 oz per sq yd"
    assert typed(per_area(30.0, "g/m²")) == "30 g/m²"
    assert typed(strength(5.0, "us")) == "0.668 oz per US gal"
    assert (typed(temperature(8)), typed(temperature(8, "us"))) == ("8 °C", "46.4 °F")
    assert typed(temperature(8, "imperial")) == "8 °C"


@pytest.mark.parametrize("empty", [None, float("nan"), pd.NaT, pd.NA, "", "  "])
def test_empty_cells(empty):
    assert missing(empty)
    assert text(empty) == ""


def test_three_figures():
    assert [plain(each) for each in (3.125, 62.5, 412.7, 0.0623)] == [
        "3.13",
        "62.5",
        "413",
        "0.062",
    ]


def test_days_are_in_our_own_words_whatever_the_locale():
    # 22 March 2027 is a Monday by ISO 8601 (calendar module).
    shown = "Monday 22 March 2027"
    assert day(dt.date(2027, 3, 22)) == day("2027-03-22") == shown
    assert day(dt.datetime(2027, 3, 22, 9, 0, tzinfo=dt.UTC)) == shown
    assert day("when it is dry") == "when it is dry"
    assert day(None) == ""
