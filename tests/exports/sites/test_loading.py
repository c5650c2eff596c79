import math
import re

import pytest

from lawnmap.exports.sites import loading
from lawnmap.exports.sites.day_load import Round
from lawnmap.exports.wording.amounts import quantity
from tests import sites_tables
from tests.axe import problems
from tests.exports.read_back import texts
from tests.exports.sites.sites_papers import paper

DEPOT = sites_tables.DEPOTS[0]


@pytest.fixture(scope="module")
def twenty():
    return paper(20, "crew")


@pytest.fixture(scope="module")
def page(twenty):
    return loading.render(twenty)


def test_each_depot_has_a_page_for_each_of_its_days(twenty, page):
    sites = twenty.table("sites").set_index("site_id")["depot"]
    steps = twenty.table("steps")
    days = {(sites[site], day) for site, day in zip(steps["site_id"], steps["day"], strict=True)}
    told = re.findall(r'class="page load" data-day="([0-9-]+)"', page.decode())
    assert sorted(told) == sorted(day for _, day in days)


def test_a_day_weighs_out_for_every_site_and_zone_and_takes_all_of_it(twenty):
    trip = Round(twenty, DEPOT)
    sites, every = twenty.table("sites"), twenty.table("steps")
    own = every[every["site_id"].isin(sites.loc[sites["depot"] == DEPOT, "site_id"])]
    for visit in trip.days():
        steps = own[own["day"] == visit.day]
        assert len(visit.steps) == len(steps)
        iron = steps[steps["product"] == sites_tables.IRON]["amount"]
        job = trip.on(visit)
        found = [each for each in loading.lines(job, visit) if each.what == sites_tables.IRON]
        assert quantity(math.fsum(iron), "g") in found[0].much
        assert len(found) == 1 + len(iron)
        signs = next(x for x in loading.lines(job, visit) if x.what.startswith("signs"))
        assert signs.much == str(steps["site_id"].nunique())


def test_a_zone_is_told_with_its_site_and_its_own_number(page):
    found = " ".join(" ".join(texts(".html", page)).split()).replace(" :", ":")
    assert "North shore lawn 0: pill 1 Front of North shore lawn 0" in found
    assert "North shore lawn 0: pill 2 Back of North shore lawn 0" in found
    assert "\x1f" not in found


def test_without_days_nothing_is_loaded(twenty):
    bare = {name: table for name, table in twenty.tables.items() if name != "steps"}
    assert b"No day is set, so nothing is loaded yet." in loading.render(twenty.of(tables=bare))


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_it_fits_and_has_no_serious_problem(opened, width):
    seen = opened(loading.render(paper(1, "crew")), width=width)
    assert (len(seen.requests), seen.console) == (1, [])
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    assert problems(seen.page) == []
