"""The pictures in docs/map.md are those of today's map."""

import importlib.util
import re
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[2] / "docs"


@pytest.fixture(scope="module")
def pictures():
    spec = importlib.util.spec_from_file_location("map_pictures", DOCS / "map_pictures.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_map_is_as_its_pictures_show_it(pictures):
    assert pictures.main(["--check"]) == 0


def test_every_picture_is_on_the_page_and_the_other_way_round(pictures):
    shown = set(re.findall(r"\(pictures/(\w+)\.png\)", (DOCS / "map.md").read_text("utf-8")))
    there = {each.stem for each in pictures.PICTURES.glob("*.png")}
    assert shown == there == set(pictures.SHOTS)


def test_a_changed_word_or_script_is_seen(pictures):
    page = b"<p>One lawn</p><svg><text>1</text></svg>"
    assert pictures.taken_of(page) == pictures.taken_of(page.replace(b"<text>1", b"<text>2"))
    assert pictures.taken_of(page) != pictures.taken_of(page.replace(b"One", b"Two"))
