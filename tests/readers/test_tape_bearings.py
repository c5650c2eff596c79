"""Bearings as people write them."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.readers.tape.bearings import COMPASS_DEG, INSTRUMENT_DEG, bearing


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("76", 76), ("76.5", 76.5), ("0", 0), ("360", 0), ("76°", 76), ("north", 0), ("due E", 90),
        ("N76E", 76), ("S36E", 144), ("S61W", 241), ("N38W", 322), ("n 38 w", 322),
        ("N 76.5 E", 76.5), ("S 36 30 E", 143.5), ("N 10-30-36 W", 349.49), ("S 90 W", 270),
        ("N 76°30' E", 76.5), ("N0E", 0), ("N0W", 0),
        ("306-31-00", 306 + 31 / 60), ("306 31 00", 306 + 31 / 60), ("306°31'00\"", 306 + 31 / 60),
        ("306:31", 306 + 31 / 60), ("306° 31' 30.5\"", 306 + 31 / 60 + 30.5 / 3600),
        ("227-09-60", 227 + 10 / 60),  # as a printed example has it
        ("359-59-60", 0), ("12-60-00", 13),
    ],
)  # fmt: skip
def test_what_is_read(text, degrees):
    assert bearing(text).degrees == pytest.approx(degrees, abs=1e-9)


def test_minutes_tell_of_an_instrument():
    assert bearing("N76E").sigma == COMPASS_DEG
    assert bearing("76.5").sigma == COMPASS_DEG
    assert bearing("76-30").sigma == INSTRUMENT_DEG


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("361", "whole circle"), ("-5", "not a bearing"), ("N91E", "quarter"), ("E10N", "not a"),
        ("N76", "not a bearing"), ("76E", "not a bearing"), ("10-61-00", "sixty"),
        ("10-00-61", "sixty"), ("10.5-30", "decimal point"), ("76,5", "not a bearing"),
        ("", "not a bearing"), ("north-ish", "not a bearing"), ("٣", "not a bearing"),
        ("1e2", "not a bearing"), ("1000", "not a bearing"), ("360-00-01", "whole circle"),
    ],
)  # fmt: skip
def test_what_is_refused(text, words):
    with pytest.raises(InputRefused, match=words) as caught:
        bearing(text)
    assert "N76E" in caught.value.remedy


@given(st.integers(0, 359), st.integers(0, 59), st.integers(0, 59))
def test_parts_add_up(degrees, minutes, seconds):
    expected = degrees + minutes / 60 + seconds / 3600
    assert bearing(f"{degrees}-{minutes:02d}-{seconds:02d}").degrees == pytest.approx(expected)


@given(st.text(alphabet="NSEW0123456789-°'\". m", max_size=20))
def test_any_text_is_a_bearing_or_refused(text):
    with suppress(InputRefused):
        assert 0 <= bearing(text).degrees < 360
