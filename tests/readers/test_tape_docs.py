"""The how-to page of tape surveys says what really comes out, and the blank sheets fit."""

import re
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.readers.tape import reader as tape
from lawnmap.readers.tape.rows import CELLS, COLUMNS
from tests.readers.tape_rows import HEADER, source

PLANS = Path(__file__).parents[2] / "docs" / "plans"


@pytest.fixture(scope="module")
def page():
    return (PLANS / "tape.md").read_text(encoding="utf-8")


def test_every_measure_is_told_of(page):
    for measure in CELLS:
        assert f"`{measure}`" in page


def test_the_blank_table_has_the_columns():
    text = (PLANS / "tape_blank.csv").read_text(encoding="utf-8")
    assert text.splitlines()[0] == HEADER == ",".join(COLUMNS)
    with pytest.raises(InputRefused, match="the baseline has no from"):
        tape.read(source(text))


def test_the_blank_page_is_paper_and_nothing_else():
    text = (PLANS / "tape_sheet.html").read_text(encoding="utf-8")
    assert not re.search(r"<script|<link|<img|https?:|url\(|\son\w+=", text, re.IGNORECASE)
    assert re.findall(r"<th [^>]*>(\w+)</th>", text) == [
        name for name in COLUMNS if name not in {"feature", "note"}
    ]
