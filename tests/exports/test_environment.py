"""The sheet for the environment officer."""

import datetime as dt
import math
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
def worked(tmp_path_factory):
    opened = open_site(SITE)
    found = choices(opened, depot=None, personal=tmp_path_factory.mktemp("p"), today=TODAY)
    return plan(opened.site, found, today=TODAY)


def words(page):
    return re.sub(r"<[^>]+>", "", page)


def test_iron_is_that_of_the_card_on_the_ground_it_covers(worked):
    """The card says 20 % Fe w/w, so a fifth of the product is iron.

    Spots and a dose that is put down only if it is needed make it a range, as on the totals.
    """
    page = render(worked, "environment").data.decode().replace("\xa0", " ")
    steps = worked.steps[worked.steps["iron_g_m2"].notna() & (worked.steps["status"] == "do")]
    card = worked.specification.products["Saltmarsh Moss Iron (invented)"]
    assert (card.analysis_pct, card.analysis_as, card.analysis_basis) == (20.0, "Fe", "w/w")
    found = re.findall(r"<td>([\d.]+) to ([\d.]+) kg<small>", page)
    whole, iron = [tuple(map(float, each)) for each in found]
    total = worked.totals.set_index("product").loc[card.name]
    assert whole == pytest.approx((total["amount_low"] / 1000, total["amount"] / 1000), rel=0.01)
    assert iron == pytest.approx(
        (math.fsum(steps["amount_low"]) / 5000, math.fsum(steps["amount"]) / 5000), rel=0.01
    )
    again = steps[steps["rule"] == "iron_repeat"]
    assert set(again.index) == set(steps[steps["day"] == ""].index)
    text = words(page)
    assert text.count("if moss is still green: a second time") == len(again) > 0
    assert "a second time, Beside the pond, 163 m², day not set" in text
    assert card.authorisation_no in page
    assert "of the grass" in page


def test_strips_drains_and_what_was_considered_are_on_it(worked):
    page = render(worked, "environment").data.decode().replace("\xa0", " ")
    text = words(page)
    for said in ("Drive gully",
                 "Strip along water: Sprayed iron 5 m, set by the label; Feed 5 m, set by "
                 "a rule of the site",
                 "Strip along drains: Sprayed iron 5 m, set by the label; Feed 1 m, set "
                 "by a rule of the site",
                 "water stands", "force 4", "Emergency number"):  # fmt: skip
        assert said in text
    days = re.findall(r"<p>\w+ (\d+) (\w+) (\d{4})</p>", page)
    order = [dt.datetime.strptime(" ".join(each), "%d %B %Y") for each in days]  # noqa: DTZ007
    assert order == sorted(order)
    assert len(order) > 1


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_it_fits_and_nothing_serious_is_wrong(opened, worked, width):
    seen = opened(render(worked, "environment").data, width=width)
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    assert problems(seen.page) == []
