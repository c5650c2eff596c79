"""The job sheet: no script, a page a visit, everything ticked off on paper."""

import io
import re
from dataclasses import replace

import pytest
from pypdf import PdfReader

from lawnmap.exports import sheet as sheet_export
from lawnmap.exports.crew.visits import in_order, visits
from lawnmap.exports.sheet import render
from lawnmap.exports.wording.step_text import steps
from lawnmap.pages.escape import clean
from tests.exports.crew_papers import NO_DAY, VISITS, dated, sections
from tests.exports.names import HOSTILE
from tests.exports.papers import grid, paper

browser = pytest.mark.browser


def plain(shown):
    return shown.replace("\u00a0", " ").replace("\u202f", " ")


@pytest.fixture(scope="module")
def crew():
    return dated()


@pytest.fixture(scope="module")
def page(crew):
    return sections(render(crew))


def test_the_shape_of_an_export(crew):
    assert sheet_export.SUFFIX == ".html"
    assert sheet_export.AUDIENCE == "crew"
    assert render(crew) == render(crew)


def test_it_holds_no_script_and_its_policy_lets_none_run(crew):
    text = render(crew).decode()
    assert "<script" not in text
    assert "script-src 'none'" in text
    assert "style-src 'sha256-" in text
    assert "unsafe" not in text
    assert re.findall("https?:", text) == []
    assert "style=" not in text


def test_the_issue_in_the_style_sheet_cannot_end_it():
    text = render(dated(issued='x"; } </style><script>alert(1)</script>')).decode()
    assert "<script>" not in text
    assert text.count("</style>") == 1


def test_each_visit_has_one_page_and_what_has_no_day_the_last(page):
    assert page.found == [*VISITS, ""]


def test_each_step_to_do_stands_on_the_page_of_its_day_alone(crew):
    to_do = crew.plan.steps
    to_do = to_do[(to_do["status"] == "do") & (to_do["operation"] != "leave it alone")]
    found = visits(crew.plan, "metric")
    shown = [(each.zone_id, each.row["sequence"]) for visit in found for each in visit.steps]
    assert sorted(shown) == sorted(zip(to_do["zone_id"], to_do["sequence"], strict=True))
    assert all(each.row["day"] == visit.day for visit in found for each in visit.steps)
    assert {each.zone_id for each in found[-1].steps} == {NO_DAY}


def test_two_days_of_work_are_told_on_both(page):
    assert "Goes on from an earlier day" in page.text("2027-09-08")
    assert "Scarifying" in page.text("2027-09-08")
    assert "Tuesday 7 September 2027 to Wednesday 8 September 2027" in page.text("2027-09-07")


def test_loads_stand_on_their_day_and_make_up_the_amount_of_the_step(crew, page):
    text = page.text("2027-08-24")
    assert "In each load" in text
    assert "23 full loads, each: 50 g in 10 l, covers 16 m²: peg out 2 × 8 m." in text
    assert all("In each load" not in page.text(day) for day in page.found if day != "2027-08-24")
    applied = crew.plan.steps
    applied = applied[(applied["operation"] == "iron_soluble") & (applied["status"] == "do")]
    applied = applied[applied["amount"].notna()].set_index("zone_id")["amount"]
    loads = crew.plan.loads.set_index("zone_id")
    sums = loads["full_loads"] * loads["full_product"] + loads["last_product"]
    assert sorted(sums.index) == sorted(applied.index)
    assert sums.sub(applied).abs().max() < 1e-6


def test_what_may_not_be_applied_has_no_page_no_load_and_no_rate(crew, page):
    text = re.sub(r"<[^>]+>", "|", plain(render(crew).decode()))
    out = text.partition("Not to be done, or done already")[2]
    assert out.count("not set: do not apply") >= 2
    assert out.count("for pricing only") >= 5
    assert "Feeding" not in "".join(page.text(day) for day in page.found)
    for row in re.findall(r'<tr class="out">.*?</tr>', render(crew).decode()):
        assert 'class="box"' not in row
        assert "g/m²" not in plain(row)
    assert "Pond bank" in page.text("2027-08-24").partition("Not here")[2]


def test_cautions_belong_to_the_work_of_the_day():
    given = dated()
    told = (
        "Iron sulphate used against moss is treated as a plant protection product in the EU and "
        "the UK: use only a product authorised for that, in your country, on the day."
    )
    fuel = "Let the engine cool and refuel off the grass, on a tray."
    bought = "Moorland iron salt (invented): no rain for 6 h."
    ways = "Several ways in are mapped: check that the machine fits through the one you take."
    plan = replace(given.plan, cautions=(told, fuel, bought, ways))
    found = sections(render(given.of(plan=plan)))
    whole = re.sub(r"<[^>]+>", "|", render(given.of(plan=plan)).decode())
    where = {
        each: [day for day in VISITS if each in found.text(day)] for each in (told, fuel, bought)
    }
    assert where == {
        told: ["2027-08-24"],
        fuel: ["2027-09-07", "2027-09-08"],
        bought: ["2027-08-24"],
    }
    assert whole.count(ways) == 1
    assert all(ways not in found.text(day) for day in VISITS)


def test_what_is_ticked_first_is_what_the_day_asks_for(page):
    ticks = {day: page.text(day).partition("tick all before you start")[2] for day in VISITS}
    assert "Label and safety sheet" in ticks["2027-08-24"]
    assert "Label and safety sheet" not in ticks["2027-09-07"]
    assert "Wires, pipes, cables" in ticks["2027-09-07"]
    assert "Wires, pipes, cables" not in ticks["2027-08-24"]


def test_the_order_of_a_day_never_turns_a_zone_round():
    def step(zone_id, operation):
        (made,) = steps(paper().plan.steps.head(1), "metric").values()
        return made[0]._replace(zone_id=zone_id, operation=operation)

    same = [step("a", "x"), step("a", "y"), step("b", "x"), step("b", "y")]
    assert in_order(same) == [("x", ["a", "b"]), ("y", ["a", "b"])]
    turned = [step("a", "x"), step("a", "y"), step("b", "y"), step("b", "x")]
    flat = [(zone, operation) for operation, zones in in_order(turned) for zone in zones]
    assert [operation for zone, operation in flat if zone == "a"] == ["x", "y"]
    assert [operation for zone, operation in flat if zone == "b"] == ["y", "x"]
    assert len(flat) == 4


def test_one_lawn_is_told_as_the_order_of_its_work():
    found = render(dated(["Back garden"], shapes=grid(1), features=False)).decode()
    (listed,) = re.findall(r'<ol class="job">.*?</ol>', found, flags=re.DOTALL)
    titles = re.findall(r"</span><strong>([^<]+)</strong>", listed)
    assert titles == [
        "Mowing", "Iron, dissolved", "Scarifying", "Clearing the arisings", "Overseeding",
    ]  # fmt: skip
    assert listed.count('class="box"') == 5
    assert "full loads, each: 50 g in 10 l" in plain(listed)
    assert "at least 14 days after the step before" in listed


def test_a_plan_without_days_has_one_page_for_all():
    found = sections(render(paper(audience="crew")))
    assert found.found == [""]
    assert "In each load" in found.text("")


@pytest.mark.parametrize(("units", "ground"), [("us", "16 340 sq ft"), ("imperial", "1816 sq yd")])
def test_it_is_read_in_the_units_that_are_asked_for(units, ground):
    found = sections(render(dated(units=units)))
    said = "".join(found.text(day) for day in found.found)
    assert ground in said  # 1518 m² ÷ 0.3048², ÷ 9
    assert "m²" not in said
    assert {"us": "US gal", "imperial": "imp gal"}[units] in said
    assert {"us": "imp ", "imperial": "US "}[units] not in said


def test_packs_are_there_and_money_only_where_it_was_disclosed(crew):
    text = plain(render(crew).decode())
    assert "4 × 20 kg, 2 × 5 kg" in text
    assert "52.00 EUR" in text
    totals = crew.plan.totals.drop(columns=["cost", "left_over"])
    without = crew.of(plan=replace(crew.plan, totals=totals))
    assert "EUR" not in render(without).decode()


@browser
def test_it_opens_in_silence_fits_a_phone_and_breaks_by_visits(opened, crew):
    seen = opened(render(crew), width=390)
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])
    assert seen.page.evaluate("document.documentElement.scrollWidth") == 390
    color = "getComputedStyle(document.querySelector('.first h2')).color"
    assert seen.page.evaluate(color) == "rgb(140, 47, 27)"
    for options in ({"prefer_css_page_size": True}, {"format": "Letter"}):
        pages = PdfReader(io.BytesIO(seen.page.pdf(**options))).pages
        texts = [each.extract_text() for each in pages]
        heads = [n for n, each in enumerate(texts) if re.search(r"visit \d of 5", each)]
        assert len(heads) == 5  # no two visits share a sheet
        assert all("Issued: 3f2a9c41d07e" in each for each in texts)


@browser
def test_what_a_person_typed_is_shown_as_typed(opened):
    said = "\n".join(HOSTILE)
    names = list(HOSTILE)
    given = dated(names, shapes=grid(len(names)), title=said, said=said, features=False)
    seen = opened(render(given), width=390)
    page, typed = seen.page, clean(said)
    assert page.locator("h1 bdi").text_content() == typed
    shown = page.locator("section.day .where bdi").all_text_contents()
    unrated = {names[8], names[9], names[20]}  # nothing is done there, or on no day
    assert set(shown) == {clean(each) for each in names if each not in unrated}
    assert typed in page.locator("table.work .flag bdi").all_text_contents()
    assert typed in page.locator("table.loads .called bdi").all_text_contents()
    assert typed in page.locator("table.totals .called bdi").all_text_contents()
    assert page.locator(".cautions li bdi").first.text_content() == typed
    assert page.locator("b, img, script").count() == 0
    assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], [])


@browser
def test_sixty_zones_break_well(opened):
    many = dated([f"Lawn {n}" for n in range(1, 61)], shapes=grid(60), features=False)
    data = opened(render(many)).page.pdf(prefer_css_page_size=True)
    pages = [each.extract_text() for each in PdfReader(io.BytesIO(data)).pages]
    assert [f"{n} / {len(pages)}" in each for n, each in enumerate(pages, 1)] == [True] * len(pages)
    assert all("Issued: 3f2a9c41d07e" in each for each in pages)
    whole = "\n".join(pages)
    assert all(re.search(rf"Lawn {number}\b", whole) for number in range(1, 61))
    for each in pages[:-1]:  # a zone's heading is never the last line of a sheet
        body = [line for line in each.splitlines() if line.strip() and " / " not in line]
        assert not re.fullmatch(r"\d+\s+Lawn \d+ \d+ ± \d+ m².*", body[-1])
