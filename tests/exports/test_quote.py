"""The quote: what the client is asked and on what terms, and nothing of what it costs us."""

import io
import re
from dataclasses import replace

import pandas as pd
import pytest
from pypdf import PdfReader

from lawnmap.exports import quote as quote_export
from lawnmap.exports.quote import render
from lawnmap.pages.escape import clean
from lawnmap.pages.words import word
from tests.exports.names import HOSTILE
from tests.exports.papers import grid, paper

browser = pytest.mark.browser

LINES = [
    ("labour", "", 495.0), ("materials", "", 37.95), ("clearing", "", 12001.0),
    ("least_charge", "", 9.4), ("before_tax", "", 12543.35), ("tax", "VAT 20 %", 2508.67),
    ("total", "", 15052.02), ("valid_until", "2027-09-01", None),
    ("excluded", "Visits after the first cut", None), ("assumed", "Water on site", None),
    ("not_in", "Watering", None), ("unknown_zone", "Orchard", None), ("unknown_hidden", "", None),
]  # fmt: skip


def table(rows, currency="EUR", decimals=2):
    made = pd.DataFrame(rows, columns=["part", "what", "amount"])
    return made.assign(currency=currency, decimals=decimals)


def quoted(*args, rows=LINES, currency="EUR", decimals=2, **changes):
    given = paper(*args, **changes)
    tables = {"quote": table(rows, currency, decimals)} if rows is not None else {}
    return given.of(plan=replace(given.plan, tables=tables))


def plain(shown):
    return shown.replace("\u00a0", " ").replace("\u202f", " ")


def text(given):
    return plain(re.sub(r"<[^>]+>", "|", render(given).decode()))


def test_the_shape_of_an_export():
    assert quote_export.SUFFIX == ".html"
    assert quote_export.AUDIENCE == "client"
    assert render(quoted()) == render(quoted())


def test_it_holds_no_script_and_its_policy_lets_none_run():
    page = render(quoted()).decode()
    assert "<script" not in page
    assert "script-src 'none'" in page
    assert "unsafe" not in page
    assert re.findall("https?:", page) == []
    assert "style=" not in page


@browser
def test_lines_and_sums_as_they_are_charged(opened):
    seen = opened(render(quoted()))
    rows = [plain(each) for each in seen.page.locator("table.price tbody tr").all_inner_texts()]
    assert [each.split("\t") for each in rows] == [
        ["Labour", "495.00"], ["Materials", "37.95"], ["Clearing and disposal", "12 001.00"],
        ["Made up to the least charge", "9.40"], ["Before tax", "12 543.35"],
        ["VAT 20 %", "2508.67"], ["Total", "15 052.02"],
    ]  # fmt: skip
    assert seen.page.locator("table.price thead").inner_text().split() == ["For", "EUR"]
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])


@browser
def test_terms_stand_under_their_headings(opened):
    page = opened(render(quoted())).page
    found = {
        each.locator("h2").inner_text(): each.locator("li").all_inner_texts()
        for each in page.locator("section.terms").all()
    }
    assert found == {
        "Not in the price": ["Visits after the first cut", "Watering"],
        "Taken for granted": ["Water on site"],
        "Not known yet": [
            "Moss and thatch, not looked at yet: Orchard",
            "What lies hidden: nobody has marked wires, pipes or cables yet.",
        ],
    }
    assert "Wednesday 1 September 2027" in plain(page.locator(".glance").inner_text())


@browser
def test_work_is_told_by_zone_and_what_must_not_be_done_is_not(opened):
    page = opened(render(quoted())).page
    rows = page.locator("table.done tbody tr")
    assert rows.count() == 12
    assert "Iron, dissolved" in rows.nth(0).inner_text()
    for number in (6, 7):  # by the pond, where nobody has set the strip
        assert "Iron" not in rows.nth(number).inner_text()
    assert not re.search(r"\d h\b|\bmin\b", page.locator("main").inner_text())


def test_prices_that_are_missing_are_said():
    rows = [("labour", "", None), ("materials", "", 37.95), ("total_so_far", "", 37.95)]
    shown = text(quoted(rows=[*rows, ("unpriced", "Labour", None), ("tax_open", "", None)]))
    assert "Not complete: prices are missing" in shown
    assert "Total so far" in shown
    assert "no price yet" in shown
    assert "Whether tax comes on top." in shown
    assert "|0.00|" not in shown


def test_no_currency_is_no_sign():
    shown = text(quoted(currency=""))
    assert "|Amount|" in shown
    assert "|495.00|" in shown
    assert "EUR" not in shown
    assert "|495|" in text(quoted(rows=[("labour", "", 495.0)], decimals=0))


def test_no_tax_and_no_last_day():
    shown = text(quoted(rows=[("total", "", 5.0), ("no_tax", "", None)]))
    assert "No tax is added." in shown
    assert "no last day is given for this price" in shown


def test_who_may_not_see_the_price_sees_the_work():
    for given, told in ((quoted(rows=None), "client's copy"), (quoted(rows=[]), "Nothing is to")):
        shown = text(given).replace("&#x27;", "'")
        assert told in shown
        assert "Terrace lawn" in shown
        assert "Labour" not in shown


@browser
def test_what_a_person_typed_is_shown_as_typed(opened):
    said = "\n".join(HOSTILE)  # all at once, since a visit takes its time
    rows = [("tax", said, 1.0), ("total", "", 1.0), ("excluded", said, None)]
    given = quoted([said] * 12, title=said, said=said, rows=rows, currency=said)
    seen = opened(render(given), width=390)
    page, typed = seen.page, clean(said)
    assert page.locator("h1 bdi").text_content() == typed
    assert page.locator("table.done .called bdi").first.text_content() == typed
    assert page.locator("table.price tbody bdi").first.text_content() == typed
    assert page.locator("table.price thead bdi").first.text_content() == typed
    assert page.locator(".terms li bdi").first.text_content() == typed
    assert page.locator("b, img, script").count() == 0
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390


@browser
def test_the_price_is_whole_on_one_sheet_of_paper(opened):
    many = quoted([f"Lawn {n}" for n in range(1, 61)], shapes=grid(60), features=False)
    data = opened(render(many)).page.pdf(prefer_css_page_size=True)
    pages = [each.extract_text() for each in PdfReader(io.BytesIO(data)).pages]
    (priced,) = [each for each in pages if "Before tax" in each]
    assert "Labour" in priced
    assert "Total" in priced
    assert [f"{n} / {len(pages)}" in each for n, each in enumerate(pages, 1)] == [True] * len(pages)


def test_what_is_not_in_the_price_is_not_told_as_done():
    done = [("left_out", "scarifying", None)]
    whole, without = (
        text(quoted(rows=[*LINES[:7], *more])).split("What is done")[1] for more in ((), done)
    )
    assert word("operation.scarifying") in whole
    assert word("operation.scarifying") not in without
    others = [each for each in ("clearing", "mowing") if word(f"operation.{each}") in whole]
    assert others, "the paper of the tests has other work"
    assert all(word(f"operation.{each}") in without for each in others)
