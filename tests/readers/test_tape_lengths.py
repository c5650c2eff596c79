"""Lengths as people write them."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.readers.tape.lengths import length, unit_of

FOOT, INCH = 0.3048, 0.0254  # international, exact


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("12.5", 12.5), ("12.5 m", 12.5), ("12.5m", 12.5), (" 12.5 metres ", 12.5),
        ("1250 cm", 12.5), ("350mm", 0.35), ("41 ft", 41 * FOOT), ("41'", 41 * FOOT),
        ("41 feet", 41 * FOOT), ("41.5ft", 41.5 * FOOT), ("10 yd", 30 * FOOT), ('6"', 6 * INCH),
        ("41' 6\"", 41 * FOOT + 6 * INCH), ("12 ft 6 in", 12.5 * FOOT), ("12'6", 12.5 * FOOT),
        ("12′6″", 12.5 * FOOT), ("12’ 6”", 12.5 * FOOT), ("12ft6in", 12.5 * FOOT),
        ("12' 6''", 12.5 * FOOT), ("12' 6.5\"", 12 * FOOT + 6.5 * INCH),
        ("12' 6 1/2\"", 12 * FOOT + 6.5 * INCH), ("12' 0\"", 12 * FOOT),
        ("12 FT 6 IN", 12.5 * FOOT),
        ("1.2e1", 12.0),
    ],
)  # fmt: skip
def test_what_is_read(text, metres):
    assert length(text, "m") == pytest.approx(metres, abs=1e-12)


@pytest.mark.parametrize(
    ("unit", "metres"),
    [("ft", 10 * FOOT), ("yd", 30 * FOOT), ("in", 10 * INCH), ("cm", 0.1), ("mm", 0.01)],
)
def test_a_bare_number_is_in_the_unit_of_the_sheet(unit, metres):
    assert length("10", unit) == pytest.approx(metres)
    assert length("10 m", unit) == 10


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("12,5", "decimal comma"), ("12,5 m", "decimal comma"), ("1,234.5", "not a number"),
        ("", "missing"), ("abc", "not a length"), ("12 perches", "not a unit"),
        ("12' 13\"", "13 inches"), ("12' 6 3/2\"", "fraction"), ("12' 6 1/0\"", "fraction"),
        ("0", "not above zero"), ("-3", "not above zero"), ("0 ft", "not above zero"),
        ("2001", "over 2,000 m"), ("7000 ft", "over 2,000 m"), ("1e9", "over 2,000 m"),
        ("1e400", "finite"), ("nan", "not a length"), ("inf", "not a length"),
        ("12 m 50", "not a length"), ("12 - 5", "not a length"), ("٣", "not a length"),
        ("9" * 50, "too long"), ("--5", "not a number"), ("1.2.3", "not a number"),
        ("12' -6\"", "not a length"),
    ],
)  # fmt: skip
def test_what_is_refused(text, words):
    with pytest.raises(InputRefused, match=words) as caught:
        length(text, "m")
    assert caught.value.remedy


def test_a_bare_number_without_a_unit_is_refused():
    with pytest.raises(InputRefused, match="no unit") as caught:
        length("12.5", None)
    assert "--units" in caught.value.remedy
    assert length("12.5 m", None) == 12.5


def test_nothing_is_a_length_where_it_may_be():
    assert length("0", "m", zero=True) == 0
    assert length("0 ft", "m", zero=True) == 0
    with pytest.raises(InputRefused):
        length("-1", "m", zero=True)


@pytest.mark.parametrize(
    ("word", "unit"), [("M", "m"), (" Feet", "ft"), ("yds", "yd"), ("x", None)]
)
def test_names_of_units(word, unit):
    assert unit_of(word) == unit


@given(st.integers(0, 6000), st.integers(0, 11))
def test_feet_and_inches_add_up(feet, inches):
    if feet or inches:
        expected = feet * FOOT + inches * INCH
        assert length(f"{feet}' {inches}\"", "m") == pytest.approx(expected)


@given(st.text(max_size=30))
def test_any_text_is_a_length_or_refused(text):
    with suppress(InputRefused):
        assert 0 < length(text, "m") <= 2000
