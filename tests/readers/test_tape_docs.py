"""The how-to page of tape surveys says what really comes out, and the blank sheets fit."""

import re
from pathlib import Path

import pytest
from shapely.geometry import shape

from lawnmap.errors import InputRefused
from lawnmap.readers.tape import reader as tape
from lawnmap.readers.tape.rows import CELLS, COLUMNS
from tests.readers.tape_rows import HEADER, source

PLANS = Path(__file__).parents[2] / "docs" / "plans"


@pytest.fixture(scope="module")
def page():
    return (PLANS / "tape.md").read_text(encoding="utf-8")


def test_the_worked_example_gives_what_is_said(page):
    (text,) = re.findall(r"```csv\n(.*?)```", page, re.DOTALL)
    right, wrong = re.findall(r"```text\n(.*?)\n```", page, re.DOTALL)
    found = tape.read(source(text))
    assert found.warnings == (right,)
    (lawn,) = found.features
    assert f"{shape(lawn.geometry).area:.1f} m²" in page
    assert f"known to {lawn.properties['outline_sigma_m']:.3f} m" in page
    assert tape.read(source(text.replace("17.82", "18.82"))).warnings == (wrong,)


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
