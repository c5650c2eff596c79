"""The job sheet: no script, everything ticked off on paper."""

import io
import re

import pytest
from pypdf import PdfReader

from lawnmap.exports import sheet as sheet_export
from lawnmap.exports.sheet import render
from lawnmap.pages.escape import clean
from tests.exports.names import HOSTILE
from tests.exports.papers import grid, paper

browser = pytest.mark.browser


def crew(*args, **changes):
    return paper(*args, audience="crew", **changes)


def plain(shown):
    return shown.replace("\u00a0", " ").replace("\u202f", " ")


def test_the_shape_of_an_export():
    assert sheet_export.SUFFIX == ".html"
    assert sheet_export.AUDIENCE == "crew"
    assert render(crew()) == render(crew())


def test_it_holds_no_script_and_its_policy_lets_none_run():
    text = render(crew()).decode()
    assert "<script" not in text
    assert "script-src 'none'" in text
    assert "style-src 'sha256-" in text
    assert "unsafe" not in text
    assert re.findall("https?:", text) == []
    assert "style=" not in text


def test_the_issue_in_the_style_sheet_cannot_end_it():
    text = render(crew(issued='x"; } </style><script>alert(1)</script>')).decode()
    assert "<script>" not in text
    assert text.count("</style>") == 1


@browser
def test_it_opens_in_silence_and_its_style_took_effect(opened):
    seen = opened(render(crew()))
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])
    color = "getComputedStyle(document.querySelector('.first h2')).color"
    assert seen.page.evaluate(color) == "rgb(140, 47, 27)"


@browser
def test_cautions_come_first_and_every_step_has_a_box(opened):
    page = opened(render(crew())).page
    assert page.locator("main > section").first.locator("li").count() == 3
    work = page.locator("table.work")
    steps = crew().plan.steps
    do = int((steps["status"] == "do").sum())
    assert work.locator("td.done .box").count() == do
    assert page.locator(".ready .box").count() == 10
    renovated = int((steps["operation"] == "overseeding").sum())
    line = "Look again after the last pass and set the seed rate here"
    assert work.get_by_text(line).count() == renovated


@browser
def test_what_may_not_be_applied_has_no_box_and_no_rate(opened):
    page = opened(render(crew())).page
    rows = page.locator("table.work tr.out")
    stopped = [plain(each) for each in rows.all_inner_texts()]
    assert len(stopped) == 2 + 5  # iron by the pond, feed on five zones
    for row in stopped:
        assert "do not apply" in row or "for pricing only" in row
        assert "g/m²" not in row
        assert "kg" not in row


@browser
def test_loads_are_said_to_work_by(opened):
    page = opened(render(crew())).page
    said = plain(page.locator("table.loads").inner_text())
    assert "23 full loads, each: 50 g in 10 l, covers 16 m²: peg out 2 × 8 m." in said
    assert "Then one part-load: 25 g in 5 l, covers 8 m²: peg out 2 × 4 m." in said
    assert "Weigh to 1 g" in page.locator(".weigh").inner_text()
    assert page.locator("table.loads tbody tr").count() == 3  # none by the pond


@browser
def test_packs_are_there_and_money_only_where_it_was_disclosed(opened):
    page = opened(render(crew())).page
    assert "4 × 20 kg, 2 × 5 kg" in page.locator("table.totals").inner_text()
    assert "52.00 EUR" in page.locator("table.totals").inner_text()
    given = crew()
    totals = given.plan.totals.drop(columns=["cost", "left_over"])
    without = given.of(plan=type(given.plan)(**{**vars(given.plan), "totals": totals}))
    assert "EUR" not in opened(render(without)).page.locator("table.totals").inner_text()


@browser
@pytest.mark.parametrize(("units", "ground"), [("us", "16 340 sq ft"), ("imperial", "1816 sq yd")])
def test_it_is_read_in_the_units_that_are_asked_for(opened, units, ground):
    page = opened(render(crew(units=units))).page
    said = plain(page.locator("table.work").inner_text())
    assert ground in said  # 1518 m² ÷ 0.3048², ÷ 9
    assert "m²" not in said
    loads = plain(page.locator("table.loads").inner_text())
    assert {"us": "US gal", "imperial": "imp gal"}[units] in loads
    assert {"us": "imp ", "imperial": "US "}[units] not in said + loads


@browser
@pytest.mark.parametrize("said", HOSTILE, ids=range(len(HOSTILE)))
def test_what_a_person_typed_is_shown_as_typed(opened, said):
    seen = opened(render(crew([said] * 12, title=said, said=said)))
    page, typed = seen.page, clean(said)
    assert page.locator("h1 bdi").text_content() == typed
    assert page.locator("table.work tr.of bdi").first.text_content() == typed
    assert page.locator("table.work .flag bdi").first.text_content() == typed
    assert page.locator("table.loads .called bdi").first.text_content() == typed
    assert page.locator("table.totals .called bdi").first.text_content() == typed
    assert page.locator(".cautions li bdi").first.text_content() == typed
    assert page.locator("b, img, script").count() == 0
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])


@browser
def test_a_hundred_and_twenty_zones_break_well(opened):
    many = crew([f"Lawn {n}" for n in range(1, 121)], shapes=grid(120), features=False)
    data = opened(render(many)).page.pdf(prefer_css_page_size=True)
    pages = [each.extract_text() for each in PdfReader(io.BytesIO(data)).pages]
    assert [f"{n} / {len(pages)}" in each for n, each in enumerate(pages, 1)] == [True] * len(pages)
    of_work = [each for each in pages if "How and when" in each]
    assert len(of_work) > 8
    first = next(n for n, each in enumerate(pages) if "Lawn 1 " in each and "How and when" in each)
    assert pages[first : first + len(of_work)] == of_work  # the head on every page of the table
    assert all("Issued: 3f2a9c41d07e" in each for each in pages)
    for number in range(1, 121):
        assert any(f"Lawn {number}\n" in each or f"Lawn {number} " in each for each in of_work)


@browser
def test_a_zone_heading_is_never_the_last_line_of_a_page(opened):
    many = crew([f"Lawn {n}" for n in range(1, 121)], shapes=grid(120), features=False)
    data = opened(render(many)).page.pdf(prefer_css_page_size=True)
    for each in PdfReader(io.BytesIO(data)).pages[:-1]:
        lines = [line for line in each.extract_text().splitlines() if line.strip()]
        body = [line for line in lines if not re.fullmatch(r"\d+ / \d+", line.strip())]
        assert not re.search(r"^\d+ Lawn \d+ ", body[-1])
