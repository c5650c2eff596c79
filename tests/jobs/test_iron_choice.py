"""Whether there is a choice of iron at all."""

from lawnmap.jobs.iron_choice import iron_choice


def chosen(lawn, zone, *cards, **choices):
    zones = lawn.zones(zone)
    specification = lawn.choices(*cards, **choices)
    return iron_choice(zones, zones.geometry, lawn.features(), specification, lawn.treatments())


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
