"""What a checker finds wrong with the pages for people who cannot see or use a mouse.

Source of the rules: axe-core, which tests after WCAG 2.2 of the W3C.
"""

import datetime as dt
from pathlib import Path

import pytest

from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import render
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from tests.axe import problems

SITE = Path(__file__).parents[2] / "sample_geo" / "site"
TODAY = dt.date(2027, 3, 1)


@pytest.fixture(scope="module")
def worked(tmp_path_factory):
    opened = open_site(SITE)
    personal = tmp_path_factory.mktemp("personal")
    return plan(
        opened.site, choices(opened, depot=None, personal=personal, today=TODAY), today=TODAY
    )


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("to", ["map", "sheet", "quote", "shopping", "loading"])
def test_no_serious_problem_is_found(opened, worked, to, width):
    seen = opened(render(worked, to).data, width=width)
    assert problems(seen.page) == []


@pytest.mark.browser
def test_the_panel_of_a_zone_has_none_either(opened, worked):
    seen = opened(render(worked, "map").data, width=390)
    seen.page.locator(".list button").first.click()
    assert seen.page.locator(".panel").is_visible()
    assert problems(seen.page) == []


@pytest.mark.browser
def test_the_checker_finds_what_is_wrong(opened):
    page = (
        b"<!DOCTYPE html><html lang=en><title>t</title><main><h1>t</h1><p style='color:#999'>pale"
    )
    (found,) = problems(opened(page).page)
    assert found.startswith("color-contrast")
