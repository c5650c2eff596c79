"""Figures in three systems at once: each reading is what a page in that system says."""

from __future__ import annotations

import dataclasses
import json
import re

import pandas as pd
import pytest

from lawnmap.agronomy.unit_systems import SYSTEMS
from lawnmap.exports.map.page import render
from lawnmap.exports.wording import amounts
from lawnmap.exports.wording.load_text import loads
from lawnmap.exports.wording.sentences import in_units
from lawnmap.exports.wording.switched import unmarked, with_switch
from lawnmap.exports.wording.worded import in_words
from lawnmap.pages.readings import MARKS, reading, together
from tests.exports.papers import grid, paper

US_FIRST = with_switch("us")
FORGED = together(["<b>metric</b>", "imperial", '" onload="alert(1)'], "us")
SAYINGS = {
    "quantity": lambda units: amounts.quantity(562.5, "g", units),
    "beside": lambda units: amounts.beside(5.0, "m", units, up=True),
    "span": lambda units: amounts.span(3.0, 8.0, "kg", units),
    "over": lambda units: amounts.span(3.0, float("inf"), "mm", units),
    "per_area": lambda units: amounts.per_area(3.125, "g/m²", units),
    "strength": lambda units: amounts.strength(5.0, units),
    "temperature": lambda units: amounts.temperature(8.0, units),
    "area": lambda units: amounts.area(412.34, units=units, sigma=3.2),
    "sentence": lambda units: in_units("Keep 5 m (not 2 to 3 m) off, at 8 °C.", units),
    "on_each": lambda units: in_units("Put 3 g on each m² in 0.6 l of water.", units),
    "named": lambda units: in_units("Water, litres a day, at __ g/m².", units),
    "load": lambda units: " ".join(map(str, loads(paper().plan.loads.iloc[:1], units)[0])),
}


@pytest.mark.parametrize("name", SAYINGS)
def test_each_reading_is_what_is_said_in_its_system(name):
    said = SAYINGS[name](US_FIRST)
    assert [reading(said, each) for each in SYSTEMS] == [SAYINGS[name](x) for x in SYSTEMS]
    assert reading(said) == SAYINGS[name]("us")


def test_only_the_figures_of_a_sentence_are_said_three_times():
    said = in_units("Keep the mower 5 m off the drain.", US_FIRST)
    assert said.startswith("Keep the mower ")
    assert said.endswith(" off the drain.")
    assert said.count("drain") == 1


def test_a_sentence_said_in_units_is_not_turned_again():
    once = in_units("Start at 2 mm, on a strip of 2 m.", US_FIRST)
    assert in_units(once, US_FIRST) == once


def test_what_is_the_same_everywhere_stays_one_text():
    assert amounts.quantity(4.0, "h", US_FIRST) == amounts.quantity(4.0, "h")
    assert in_units("Wait 14 days.", US_FIRST) == "Wait 14 days."


def _resolved(page: str, system: str) -> tuple[str, list[object]]:
    """Return a page and its data as one system has them, without what only a switch has."""
    page = re.sub(r'<fieldset class="live units">.*?</fieldset>|<meta http-equiv.*?>', "", page)
    page = re.sub(
        r'<span class="((?:metric|imperial|us)[a-z ]*)">(.*?)</span>',
        lambda each: each[2] if system in each[1].split() else "",
        page,
    )
    text = re.search(r'id="lawnmap-data">(.*?)</script>', page)[1]
    data = json.loads(text)
    texts = [reading(each, system) for each in data.pop("texts")]
    zones = [
        [[texts[place] for place in line[:2]] for line in zone["found"] + zone["chosen"]]
        + [[[texts[a], texts[b]] for a, b in step["details"]] for step in zone["steps"]]
        for zone in data.pop("zones")
    ]
    whys = [reading(each["sentence"], system) for each in data.pop("whys")]
    rest = json.loads(reading(json.dumps(data, ensure_ascii=False), system))
    return page.replace(text, ""), [zones, whys, rest]


def test_a_page_with_a_switch_says_in_each_system_what_a_page_in_it_says():
    given = paper([f"Lawn {place}" for place in range(7)], shapes=grid(7))
    cautions = (*given.plan.cautions, "Keep 5 m from water at 8 °C.")
    given = given.of(plan=dataclasses.replace(given.plan, cautions=cautions))
    for system in SYSTEMS:
        one = render(in_words(given.of(units=system))).decode()
        all_three = render(in_words(given.of(units=with_switch(system)))).decode()
        assert len(all_three) < 1.15 * len(one)
        found, wanted = _resolved(all_three, system), _resolved(one, system)
        assert found[1] == wanted[1]
        assert found[0] == wanted[0]


def test_one_system_has_no_switch_and_no_reading():
    page = render(in_words(paper(["Lawn"], shapes=grid(1), units="us"))).decode()
    assert '<body data-units="us">' in page
    assert '"live units"' not in page
    assert '<span class="us">' not in page


def test_a_forged_figure_comes_out_as_typed_and_does_nothing():
    given = paper([FORGED] * 2, shapes=grid(2), title=FORGED, said=FORGED, units=US_FIRST)
    page = render(in_words(given)).decode()
    assert not re.search(r"<b>metric|onload=\"alert|>imperial</span><span class=\"us\">\"", page)
    typed = "&lt;b&gt;metric&lt;/b&gt;imperial&quot; onload=&quot;alert(1)"
    assert f"<title>{typed}" in page
    assert f"<bdi>{typed}</bdi>" in page
    data = json.loads(re.search(r'id="lawnmap-data">(.*?)</script>', page)[1])
    assert {zone["name"] for zone in data["zones"]} == {MARKS.sub("", FORGED)}


def test_marks_go_from_every_word_of_a_paper_and_nothing_else_changes():
    given = paper([FORGED] * 2, shapes=grid(2), title=FORGED, said=FORGED, issued=FORGED)
    bare = unmarked(given)
    assert not MARKS.search(json.dumps(bare.plan.site.document, ensure_ascii=False))
    assert not MARKS.search(f"{bare.plan.specification}{bare.issued}{bare.plan.cautions}")
    for table in (bare.plan.zones, bare.plan.steps, bare.plan.totals, bare.plan.loads):
        assert not MARKS.search(table.to_csv())
    index = unmarked(pd.DataFrame({"a": [1]}, index=["z\ufdd0"])).index
    assert list(index) == ["z"]
    plain = paper()
    pd.testing.assert_frame_equal(unmarked(plain).plan.zones, plain.plan.zones)
