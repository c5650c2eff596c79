"""Nothing is applied without a card that allows it here, to this user, on this day."""

import datetime as dt

import pytest

from lawnmap.model import Machine
from lawnmap.processing.iron.label_card import iron_card


@pytest.mark.parametrize(
    ("card", "choices", "status", "rule"),
    [
        ({}, {}, "do", ""),
        ({"user": "professional"}, {}, "not allowed", "iron_card_user"),
        ({"user": "professional"}, {"user": "professional"}, "do", ""),
        ({"use_by": dt.date(2027, 2, 28)}, {}, "not allowed", "iron_card_past"),
        ({"use_by": dt.date(2027, 3, 1)}, {}, "do", ""),
        ({"use_by": dt.date(2027, 3, 1)}, {"first_day": dt.date(2027, 3, 2)}, "not allowed",
         "iron_card_past"),
        ({"country": "IE"}, {}, "not allowed", "iron_card_country"),
        ({"country": ""}, {}, "not set: do not apply", "iron_card_country_not_set"),
        ({}, {"country": ""}, "not set: do not apply", "iron_card_country_not_set"),
        ({"authorised_for_moss": False}, {}, "for pricing only", "iron_pricing_only"),
        ({"authorisation_no": ""}, {}, "for pricing only", "iron_pricing_only"),
        ({"applicators": ("spreader",)}, {}, "not allowed", "iron_card_applicator"),
    ],
)  # fmt: skip
def test_what_the_card_allows(lawn, card, choices, status, rule):
    found = iron_card(lawn.choices(lawn.card(**card), **choices))
    assert (found.status, found.rule) == (status, rule)


def test_no_card_and_several(lawn):
    assert iron_card(lawn.choices()).rule == "iron_no_card"
    two = (lawn.iron, lawn.card(name="Other"))
    assert iron_card(lawn.choices(*two)).rule == "iron_several_cards"
    assert iron_card(lawn.choices(*two, products={"iron": "Other"})).product.name == "Other"


def test_a_card_that_claims_nothing_does_not_hide_the_one_that_does(lawn):
    feed = lawn.card(name="Feed with iron", form="granule", authorised_for_moss=False)
    assert iron_card(lawn.choices(feed, lawn.iron)).product == lawn.iron
    assert iron_card(lawn.choices(feed)).product is None


def test_the_applicator_named_is_held_against_the_label(lawn):
    sprayer = Machine("mine", "knapsack", tank_l=15)
    card = lawn.card(applicators=("can",))
    named = lawn.choices(card, own=[sprayer], applicator={"iron": "mine"})
    assert iron_card(named).rule == "iron_card_applicator"
    assert iron_card(lawn.choices(card, own=[sprayer])).machine.kind == "can"
