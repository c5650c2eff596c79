"""Figures in sentences, said in other units beside the metric ones."""

import pytest

from lawnmap.exports.wording.sentences import in_units, sentence

US = [
    # 1 in is 25.4 mm, 1 ft 0.3048 m (NIST Handbook 44, appendix C)
    ("Start at 2 mm.", "Start at 0.079 in (2 mm)."),
    ("a strip of 2 m first", "a strip of 6.56 ft (2 m) first"),
    ("cut at 26, 20 mm, days apart", "cut at 1.02, 0.787 in (26, 20 mm), days apart"),
    ("thick (13 to 19 mm)", "thick (0.512 to 0.748 in, 13 to 19 mm)"),
    ("peg out 2 × 8 m", "peg out 6.56 × 26.2 ft (2 × 8 m)"),
    ("3 × 2 kg, 1 × 500 g", "3 × 4.41 lb (2 kg), 1 × 1.1 lb (500 g)"),  # packs are counted
    ("0.4 l/m²", "9.82 US gal per 1000 sq ft (0.4 l/m²)"),
    ("from 8 °C on", "from 46.4 °F (8 °C) on"),
    ("12–24 kg", "26.5–52.9 lb (12–24 kg)"),
    (
        "3.125 g on each m² in 0.625 l of water",
        "0.64 lb in 15.3 US gal of water per 1000 sq ft (3.125 g on each m² in 0.625 l of water)",
    ),
    ("litres a day for 21 days", "US gal a day for 21 days"),
    ("set it here: ____ g/m²; two", "set it here: ____ lb per 1000 sq ft; two"),
]
ALIKE = [
    "1 to 3 days of 7.5 h",
    "moss over 25 %",
    "a bank (19°)",
    "H302, H315 and 2026-10-01",
    "10 oz in 16 US gal over 1000 ft²",  # as a label prints it
    "Article 4, 12 pages",
    "",
]


@pytest.mark.parametrize(("metric", "said"), US)
def test_figures_are_said_in_us_units(metric, said):
    once = in_units(metric, "us")
    assert once.replace("\u202f", " ") == said
    assert in_units(once, "us") == once  # a class in words may be said again within a reason


@pytest.mark.parametrize("text", ALIKE)
def test_what_is_no_metric_figure_stays(text):
    assert in_units(text, "us") == text
    assert in_units(text, "imperial") == text


def test_british_readers_keep_degrees_celsius_and_their_own_gallon():
    assert in_units("10 l at 8 °C", "imperial") == "2.2 imp gal (10 l) at 8 °C"
    assert in_units("3.125 g on each m² in 0.625 l of water", "imperial").startswith(
        "0.092 oz per sq yd in 11.5 imp gal per 100 sq yd of water"
    )


def test_a_metric_plan_is_not_touched():
    for text in [metric for metric, _ in US] + ALIKE:
        assert in_units(text, "metric") == text


def test_the_sentence_of_a_rule():
    metric, us = (sentence("seen_blades", {}, each) for each in ("metric", "us"))
    assert metric
    assert us == in_units(metric, "us")
