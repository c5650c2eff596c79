"""No cell is run, and every cell reads back as it was."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.files.spreadsheet import guarded, unguarded

# OWASP, CSV Injection: what a spreadsheet takes for the beginning of a formula.
BEGINNINGS = ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"]


@pytest.mark.parametrize("begin", BEGINNINGS)
@pytest.mark.parametrize("before", ["", " ", "\u00a0", "  ", "'", "''", "' "])
def test_what_a_spreadsheet_would_run_gets_an_apostrophe(begin, before):
    text = f"{before}{begin}1+1"
    assert guarded(text) == f"'{text}"
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", ["", "Back lawn", "'tis", "a=b", "1-2", "a\n=1", "'", "''", "é="])
def test_other_text_is_left_as_it_is(text):
    assert guarded(text) == text
    assert unguarded(text) == text


@given(st.text(st.sampled_from("'=+-@\t\r\n a＝"), max_size=8) | st.text(max_size=8))
def test_every_text_reads_back_and_none_begins_a_formula(text):
    cell = guarded(text)
    assert unguarded(cell) == text
    assert cell.lstrip()[:1] not in BEGINNINGS
    assert cell[:1] not in BEGINNINGS
