"""The client's summary, and the papers that speak another language."""

import csv
import dataclasses
import datetime as dt
import html
import re
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.exports import notice, summary
from lawnmap.exports.wording.amounts import day, number
from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import render
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.pages import words
from lawnmap.pages.page import asset
from tests.axe import problems
from tests.exports.names import HOSTILE
from tests.exports.papers import paper

SITE = Path(__file__).parents[2] / "sample_geo" / "site"
TODAY = dt.date(2026, 8, 3)
# Keys that are looked up for what these pages do not show: layers of the map.
OWN = {row["key"] for row in csv.DictReader(asset("words.de.csv").splitlines())}
NOT_SAID = ("layer.", "pass.")


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    opened = open_site(SITE)
    found = choices(opened, depot=None, personal=tmp_path_factory.mktemp("p"), today=TODAY)
    return plan(opened.site, found, today=TODAY)


def text_of(page: bytes) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub("<[^>]+>", " ", page.decode())))


def test_every_visit_stands_on_it_with_its_work(planned):
    said = text_of(render(planned, "summary").data)
    for visit in planned.dates.visits:
        assert day(visit) in said
    assert "Scarifying and clearing up: Main lawn (5)" in said
    assert "Nobody on it until the new grass has been cut for the first time" in said
    assert "goes dark within 1 to 4 days" in said  # cornwall-cricket in reference/values.csv
    assert "ring 0000 000000" in said


def test_it_asks_only_for_what_the_work_calls_for(planned):
    seedless = planned.steps[planned.steps["operation"].isin(["mowing", "scarifying"])]
    said = text_of(render(dataclasses.replace(planned, steps=seedless), "summary").data)
    assert "tell us of every wire" in said
    assert "Keep what was sown moist" not in said
    assert "Iron stains paving" not in said


def test_nothing_of_money_is_on_it(planned):
    assert "GBP" not in text_of(render(planned, "summary", audience="owner").data)


@pytest.mark.parametrize("name", HOSTILE)
def test_names_come_out_as_typed(name):
    page = summary.render(_named(name)).decode()
    assert page.count("<script") == 0
    assert words_of(name) in words_of(text_of(page.encode()))


def _named(name):
    given = paper()
    zones = given.plan.zones.assign(name=name)
    return given.of(plan=dataclasses.replace(given.plan, zones=zones))


def words_of(text):
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize("to", ["summary", "notice"])
def test_another_language_is_whole(planned, to, monkeypatch):
    asked: set[str] = set()

    class Listening(dict):
        def __getitem__(self, key):
            asked.add(key)
            return super().__getitem__(key)

        def get(self, key, default=None):
            asked.update({key} & set(self))
            return super().get(key, default)

    german = Listening(words.table("de"))
    monkeypatch.setattr(words, "table", lambda language="en": german)
    page = render(planned, to, language="de").data.decode()
    assert len(asked) > 20
    assert {key for key in asked if not key.startswith(NOT_SAID)} <= OWN
    assert '<html lang="de">' in page
    assert "Montag, 14. September 2026" in page or "22. September 2026" in page


def test_every_wording_of_another_language_has_the_blanks_of_the_english_one():
    blanks = re.compile(r"\{([a-z_]+)\}")
    english = words.table()
    for key in OWN:
        said = words.table("de")[key]
        if key in english:
            assert set(blanks.findall(said)) <= set(blanks.findall(english[key])), key
        else:
            assert key.startswith("rule."), key


def test_numbers_and_dates_follow_the_language():
    with words.speaking("de"):
        assert number(2.5, 1) == "2,5"
        assert day("2027-03-22") == "Montag, 22. März 2027"
    assert number(2.5, 1) == "2.5"


def test_a_paper_that_is_not_whole_in_a_language_is_refused(planned):
    with pytest.raises(InputRefused, match="no sheet in the language 'de'"):
        render(planned, "sheet", language="de")
    assert set(notice.LANGUAGES) == set(summary.LANGUAGES) == set(words.TABLES)


@pytest.mark.browser
def test_it_fits_a_phone_and_nothing_serious_is_wrong(opened, planned):
    seen = opened(render(planned, "summary").data, width=390)
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= 390
    assert problems(seen.page) == []
    assert seen.console == []
