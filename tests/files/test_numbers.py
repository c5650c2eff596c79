"""The one number grammar, against what Python writes and what people write by mistake."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.files.numbers import LONGEST, number


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_double_python_writes_reads_back(value):
    # The shortest text of a double reads back to the same double: repr() of Python 3.
    again = number(repr(value))
    assert again == value
    assert math.copysign(1, again) == math.copysign(1, value)


@pytest.mark.parametrize(
    ("text", "value"),
    [("7", 7), ("+7", 7), (" 7\n", 7), ("7.", 7), (".5", 0.5), ("-1.25E+2", -125), ("1e-05", 1e-5)],
)
def test_what_people_write(text, value):
    assert number(text) == value


NOT_NUMBERS = ["", " ", ".", "-", "e5", "1e", "1 2", "1_000", "0x10", "1.2.3", "--1", "1,000.5"]
WORDS = ["1e5.5", "nan", "inf", "Infinity", "true", "12°"]
OTHER_SCRIPTS = ["１２", "٣"]  # digits to float() and to Python's \d


@pytest.mark.parametrize("text", [*NOT_NUMBERS, *WORDS, *OTHER_SCRIPTS])
def test_what_is_no_number(text):
    with pytest.raises(ValueError, match="is not a number"):
        number(text)


@pytest.mark.parametrize("text", ["51,5", "-0,25", "+1,0"])
def test_a_decimal_comma_is_named(text):
    with pytest.raises(ValueError, match="decimal comma: write a point"):
        number(text)


def test_too_large_and_too_long():
    with pytest.raises(ValueError, match="finite"):
        number("1e400")
    with pytest.raises(ValueError, match="too long"):
        number("1" * (LONGEST + 1))
    assert number("0" * LONGEST) == 0
