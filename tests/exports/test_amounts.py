"""Numbers in words, against what the standards print."""

import datetime as dt

import pandas as pd
import pytest

from lawnmap.exports.amounts import area, day, missing, number, plain, quantity, span, text


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


def test_area_in_feet_and_yards():
    # NIST Handbook 44, appendix C: 1 m² = 10.763 91 ft² = 1.195 990 yd².
    assert typed(area(1000.0, units="imperial")) == "1000 m² (10 764 ft², 1196 yd²)"


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
