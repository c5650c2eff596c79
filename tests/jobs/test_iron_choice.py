"""Whether there is a choice of iron at all."""

import datetime as dt

from lawnmap.days import Calendar
from lawnmap.jobs.iron_choice import EMPTY, iron_choice


def chosen(lawn, zone, *cards, calendar=EMPTY, **choices):
    zones = lawn.zones(zone)
    specification = lawn.choices(*cards, **choices)
    return iron_choice(
        zones,
        zones.geometry,
        lawn.features(),
        specification,
        lawn.treatments(),
        calendar=calendar,
    )


def test_one_card_leaves_nothing_to_choose(lawn):
    found = chosen(lawn, {}, lawn.iron)
    assert found.forms.empty
    assert found.specification.choice("products") == {}


def test_of_two_the_cheaper_is_named(lawn):
    dear = lawn.card(name="Dear iron", packs=((1000.0, "g", 50.0),))
    found = chosen(lawn, {}, dear, lawn.iron)
    assert found.specification.choice("products")["iron"] == "Moss iron"
    assert list(found.forms["chosen"]) == [False, True]


def test_where_no_zone_needs_iron_nothing_is_compared(lawn):
    two = (lawn.iron, lawn.card(name="Other", country="IE"))
    assert chosen(lawn, {}, *two).forms["status"].to_list() == ["do", "not allowed"]
    assert chosen(lawn, {"moss_rating": 0}, *two).forms.empty
    assert chosen(lawn, {}, *two, iron="not on this site").forms.empty


def test_none_that_is_allowed_names_none(lawn):
    two = (lawn.card(country="FR"), lawn.card(name="Other", country="IE"))
    found = chosen(lawn, {}, *two)
    assert not found.forms["chosen"].any()
    assert set(found.forms["rule"]) == {"iron_card_country"}
    assert found.specification.choice("products") == {}


def test_a_card_whose_work_is_on_record_is_not_exchanged_for_a_cheaper_one(lawn):
    """Each label allows one application a year, and one was made with the first."""
    cheap = lawn.card(name="Sand", form="lawn sand", rate_printed="35 g/m²", analysis_pct=2.0,
                      nitrogen_pct=0.0, packs=((20_000.0, "g", 1.0),))  # fmt: skip
    day = dt.date(2027, 8, 20)
    before = chosen(lawn, {}, lawn.iron, cheap, today=day)
    assert before.specification.choice("products")["iron"] == "Sand"
    row = {"zone_id": "a", "operation": "iron_soluble", "date": "2027-08-18",
           "product": "Moss iron"}  # fmt: skip
    after = chosen(lawn, {}, lawn.iron, cheap, today=day, calendar=Calendar(record=(row,)))
    assert after.specification.choice("products")["iron"] == "Moss iron"
    assert after.forms.set_index("product").loc["Sand", "rule"] == "iron_form_no_day"
