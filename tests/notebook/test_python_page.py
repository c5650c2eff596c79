"""docs/python.md is run from top to bottom: what it shows under a block is what is printed."""

import importlib
import re
from pathlib import Path

import pytest

import lawnmap

DOCS = Path(__file__).parents[2] / "docs"
LINES = 10
INSIDE = {"Page"}  # what show returns; nobody makes one


@pytest.fixture
def page(monkeypatch):
    monkeypatch.syspath_prepend(str(DOCS))
    return importlib.import_module("python_page")


def text():
    return (DOCS / "python.md").read_text(encoding="utf-8")


@pytest.mark.notebook
def test_what_the_page_shows_is_printed(page):
    assert len(page.BLOCK.findall(text())) > 7
    assert page.filled(text()) == text(), "run python docs/python_page.py, and read what it changed"


def test_a_wrong_output_is_caught(page):
    wrong = "```python\nprint(1 + 1)\n```\n\n```text\n3\n```\n"
    assert page.filled(wrong) == wrong.replace("3", "2")
    with pytest.raises(ValueError, match="nothing is shown"):
        page.filled("```python\nprint(1)\n```\n")


def test_the_page_names_every_public_name_and_no_other():
    named = set(re.findall(r"`?lawnmap\.([A-Za-z_]+)|`(Site|Plan)`", text()))
    named = {each for pair in named for each in pair}
    assert set(lawnmap.__all__) - INSIDE - named == set()
    called = set(re.findall(r"lawnmap\.([a-z_]+)\(", text()))
    assert called <= set(lawnmap.__all__)


def test_the_first_block_is_ten_lines(page):
    code = page.BLOCK.search(text())["code"]
    assert sum(1 for line in code.splitlines() if line.strip()) <= LINES
