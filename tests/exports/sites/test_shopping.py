import math

import pytest

from lawnmap.exports.sites import shopping
from tests import sites_tables
from tests.axe import problems
from tests.exports.read_back import everything
from tests.exports.sites.sites_papers import paper


@pytest.fixture(scope="module")
def sixty():
    return paper(60)


@pytest.fixture(scope="module")
def page(sixty):
    return shopping.render(sixty)


def test_each_depot_has_a_sheet_with_a_box_for_each_thing(sixty, page):
    lines = len(sixty.table("depot_shopping")) + len(sixty.table("depot_machines"))
    assert page.count(b'class="page depot"') == len(sites_tables.DEPOTS)
    assert page.count(b'class="box"') == lines


def test_what_stands_is_what_the_table_says(sixty, page):
    found = everything(".html", page)
    for row in sixty.table("depot_shopping").to_dict("records"):
        assert row["packs"] in found
    for depot in sites_tables.DEPOTS:
        costs = [
            cost
            for name in ("depot_shopping", "depot_machines")
            for of, cost in sixty.table(name)[["depot", "cost"]].itertuples(index=False)
            if of == depot and not math.isnan(cost)
        ]
        assert f"{math.fsum(costs):.2f} EUR" in found


def test_a_crew_sees_packs_and_days_and_no_money():
    found = everything(".html", shopping.render(paper(60, "crew")))
    assert "2 × 25 kg" in found
    assert "EUR" not in found
    assert "In the shed" not in found


def test_a_machine_without_days_is_told_how_many_it_needs_at_least(page):
    found = everything(".html", page)
    assert "1 at least" in found  # of the knapsack, which no plan has given days


def test_of_nothing_it_says_so(sixty):
    empty = {name: table.head(0) for name, table in sixty.tables.items()}
    assert b"Nothing has to be bought." in shopping.render(sixty.of(tables=empty))


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_it_fits_and_has_no_serious_problem(opened, width):
    seen = opened(shopping.render(paper(10)), width=width)
    assert (len(seen.requests), seen.console) == (1, [])
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    assert problems(seen.page) == []
