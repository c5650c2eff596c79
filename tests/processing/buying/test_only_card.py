"""The only card of a use is planned with, and that is said."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.model import Product
from lawnmap.processing.buying.only_card import only_cards

SEED = Product("Dune seed", "seed", rate_g_m2=30.0)
FEED = Product("Marram feed", "feed", nitrogen_pct=6.0)


def test_the_only_seed_and_the_only_feed_are_taken_and_said(lawn):
    made, told = only_cards(lawn.choices(SEED, FEED, lawn.iron))
    assert made.choice("products") == {"seed": "Dune seed", "feed": "Marram feed"}
    assert len(told) == 2
    assert "Dune seed is the only seed on a label card" in told[0]
    worked = lawn.work(lawn.zones(), made)
    assert worked.step("overseeding")["product"] == "Dune seed"
    assert (worked.step("feeding")["status"], worked.step("feeding")["product"]) == (
        "do", "Marram feed",
    )  # fmt: skip


@pytest.mark.parametrize(
    "cards",
    [
        [SEED, replace(SEED, name="Other seed")],
        [replace(SEED, use_by=dt.date(2020, 1, 1))],
        [replace(SEED, user="professional")],
        [],
    ],
)
def test_of_several_or_none_that_may_be_used_nobody_guesses(lawn, cards):
    choices = lawn.choices(*cards)
    made, told = only_cards(choices)
    assert told == ()
    assert made is choices


def test_what_is_named_stays(lawn):
    two = [FEED, replace(FEED, name="Other feed")]
    made, told = only_cards(lawn.choices(*two, SEED, products={"feed": "Other feed"}))
    assert made.choice("products") == {"feed": "Other feed", "seed": "Dune seed"}
    assert len(told) == 1
