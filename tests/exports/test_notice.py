"""The notice at the gate."""

import datetime as dt
import re
from pathlib import Path

import pytest

from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import render
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from tests.axe import problems

SITE = Path(__file__).parents[2] / "sample_geo" / "site"
TODAY = dt.date(2026, 8, 3)


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    opened = open_site(SITE)
    found = choices(opened, depot=None, personal=tmp_path_factory.mktemp("p"), today=TODAY)
    return render(plan(opened.site, found, today=TODAY), "notice").data


def test_a_sheet_for_each_zone_that_is_worked(page):
    text = page.decode()
    sheets = text.split('<section class="notice">')[1:]
    names = [re.search("<h1[^>]*>(.*?)</h1>", each).group(1) for each in sheets]
    assert "Main lawn" in " ".join(names)
    assert "Under the oak" not in text  # left alone: nobody has to keep off
    (main,) = [each for each in sheets if "Main lawn" in each]
    assert "Scarifying" in main
    assert "Saltmarsh Moss Iron (invented)" in main
    assert "2026" in main
    assert "Keep people and animals off until the grass is dry" in main
    assert "cut for the first time" in main
    assert main.count('class="box"') == 2
    assert "ring 0000 000000" in main


def test_each_time_the_ground_is_shut_has_its_days_and_a_box(page):
    (pond,) = [each for each in page.decode().split("<section")[1:] if "Beside the pond" in each]
    assert pond.count('class="box"') == 3  # two times iron, one of them without a day, and seed
    assert pond.count("until the grass is dry") == 1
    assert re.search("Iron, dissolved: from [0-9]{1,2} October 2026<", pond)
    assert "Iron, dissolved: day not set yet" in pond
    assert re.search("Overseeding: [^<]* to [^<]* 2027, as planned", pond)
    assert "Cover this sign while nothing is shut" in pond


def test_nothing_private_is_on_it(page):
    text = page.decode()
    for word in ("g/m²", "GBP", "hire", "thatch"):
        assert word not in text


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_it_fits_and_nothing_serious_is_wrong(opened, page, width):
    seen = opened(page, width=width)
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    assert problems(seen.page) == []
    assert seen.console == []
