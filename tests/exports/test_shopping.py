"""The shopping list: whole packs, machines with their days, and money for the owner alone."""

import datetime as dt
import re
from dataclasses import replace

import pandas as pd
import pytest

from lawnmap.days import Dates
from lawnmap.exports import shopping as shopping_export
from lawnmap.exports.shopping import render
from lawnmap.pages.escape import clean
from tests.exports.crew_papers import dated
from tests.exports.names import HOSTILE
from tests.exports.papers import FEED, IRON, SEED

COSTS = [
    ("materials", IRON, 7812.4, "g", 52.0, ""),
    ("hire", "petrol scarifier", 2.0, "days", 90.0, "10 of it for bringing and fetching"),
    ("hire", "hollow-tine machine", 1.0, "days", None, "no price given"),
    ("labour", "mowing", 3.0, "h", 90.0, ""),
    ("disposal", "arisings: skip", 2.0, "loads", 480.0, "full by volume first"),
]


def listed(*args, audience="owner", costs=COSTS, **changes):
    given = dated(*args, audience=audience, **changes)
    days = [dt.date(2027, 9, 7), dt.date(2027, 9, 8), dt.date(2027, 10, 5)]
    dates = Dates(
        visits=given.plan.dates.visits,
        out=(("rotary mower", dt.date(2027, 8, 23)),),
        hire=tuple(("petrol scarifier", each) for each in days),
    )
    table = pd.DataFrame(costs, columns=["part", "what", "number", "number_unit", "cost", "remark"])
    tables = {"costs": table} if costs else {}
    return given.of(plan=replace(given.plan, dates=dates, tables=tables))


def text(given):
    shown = re.sub(r"<style>.*?</style>", "", render(given).decode(), flags=re.DOTALL)
    return re.sub(r"\|+", "|", re.sub(r"<[^>]+>", "|", shown)).replace("\u00a0", " ")


def test_the_shape_of_an_export():
    assert shopping_export.SUFFIX == ".html"
    assert shopping_export.AUDIENCE == "owner"
    page = render(listed()).decode()
    assert page == render(listed()).decode()
    assert "<script" not in page
    assert re.findall("https?:", page) == []


def test_packs_are_bought_what_is_needed_first_at_the_top():
    shown = text(listed()).partition("To buy")[2].partition("Machines")[0]
    assert shown.index(IRON) < shown.index(SEED) < shown.index(FEED)
    assert "|8 × 1 kg|7.812 kg|188 g|52.00 EUR|Tuesday 24 August 2027|" in shown.replace(
        "\u202f", ""
    )
    assert shown.count("for pricing only") == 1  # the feed, which nobody may put down yet
    assert "Clearing" not in shown  # what comes off is not bought


def test_no_sort_of_pack_is_parted_at_the_end_of_a_line():
    given = listed()
    totals = given.plan.totals.assign(packs="2 × 5 kg + 3 × 20 kg")
    shown = render(given.of(plan=replace(given.plan, totals=totals))).decode()
    assert "2\u00a0×\u00a05\u00a0kg + 3\u00a0×\u00a020\u00a0kg" in shown


def test_each_thing_to_get_has_a_box():
    page = render(listed()).decode()
    assert page.count('class="box"') == 3 + 3 + 1  # products, machines, the skip


def test_machines_are_told_in_stretches_of_days():
    shown = text(listed()).partition("Machines")[2]
    assert "Tuesday 7 September 2027 to Wednesday 8 September 2027, 2 days; Tuesday 5 Oct" in shown
    assert shown.index("rotary mower") < shown.index("petrol scarifier")  # by their first day
    assert "hired; 10 of it for bringing and fetching" in shown


def test_what_has_a_price_is_summed_and_what_has_none_is_told():
    shown = text(listed())
    assert "What has a price comes to 622.00 EUR at most." in shown  # 52 + 90 + 480; hours apart
    assert "hollow-tine machine|: |no price given" in shown.partition("No price yet")[2]


def test_a_crew_sees_no_money():
    given = listed(audience="crew", costs=None)
    totals = given.plan.totals.drop(columns="cost")
    choices = {k: v for k, v in given.plan.specification.choices.items() if k != "money"}
    specification = replace(given.plan.specification, choices=choices)
    plan = replace(given.plan, totals=totals, specification=specification)
    shown = text(given.of(plan=plan))
    assert "EUR" not in shown
    assert "Price" not in shown.partition("Machines")[0]
    assert "4 × 20 kg, 2 × 5 kg" in shown


def test_what_the_shed_holds_is_not_bought():
    given = listed()
    there = given.plan.totals.assign(stock=[9000.0, 0.0, 0.0, None], to_buy=[0.0, 8e4, 1e5, None])
    shown = text(given.of(plan=replace(given.plan, totals=there)))
    buy, _, shed = shown.partition("In the shed already")
    assert IRON not in buy
    assert IRON in shed


@pytest.mark.browser
def test_what_a_person_typed_is_shown_as_typed_on_a_phone(opened):
    said = "\n".join(HOSTILE)
    costs = [("hire", said, 1.0, "days", None, said), ("disposal", said, 1.0, "loads", 2.0, said)]
    seen = opened(render(listed(title=said, said=said, costs=costs)), width=390)
    page, typed = seen.page, clean(said)
    assert page.locator("h1 bdi").text_content() == typed
    assert page.locator("table.buy .called bdi").first.text_content() == typed
    assert page.locator("table.buy .packs bdi").first.text_content() == typed
    assert typed in page.locator("table.book .called bdi").all_text_contents()
    assert page.locator("section.clear bdi").first.text_content() == typed
    assert page.locator("section.unpriced bdi").first.text_content() == typed
    assert page.locator("b, img, script").count() == 0
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])
    assert page.evaluate("document.documentElement.scrollWidth") == 390
