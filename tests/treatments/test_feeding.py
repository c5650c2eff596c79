"""Nitrogen, counted from everything that carries it."""

import pytest

from lawnmap.model import Product

FEED = Product("Spring feed", "feed", nitrogen_pct=10.0)


def feed(lawn, zone=None, card=FEED, **choices):
    given = lawn.choices(card, products={"feed": card.name}, **choices)
    return lawn.work(lawn.zones(zone or {}), given).step("feeding")


def test_by_the_nitrogen_on_the_card(lawn):
    """R8: 4.9 g N/m² at the low end, so 49 g/m² of a 10 % feed."""
    row = feed(lawn)
    assert (row["dose"], row["amount"]) == (pytest.approx(49), pytest.approx(8820))
    assert (row["status"], row["rule"]) == ("do", "feed_after")


def test_half_in_shade_and_the_users_own(lawn):
    """L4 (University of Illinois): nitrogen in shade at about half the rate in sun."""
    assert feed(lawn, {"sun_hours_seen": 5})["nitrogen_g_m2"] == pytest.approx(2.45)
    assert feed(lawn, rates={"nitrogen_g_m2": 3.0})["nitrogen_g_m2"] == pytest.approx(3)


def test_never_above_the_label(lawn):
    card = Product("Spring feed", "feed", nitrogen_pct=10.0, rate_printed="35 g/m²")
    row = feed(lawn, card=card)
    assert row["dose"] == pytest.approx(35)
    assert "less nitrogen" in row["flag"]


def test_without_a_card_only_the_nitrogen_is_priced(lawn):
    row = lawn.work(lawn.zones(), lawn.choices()).step("feeding")
    assert (row["status"], row["amount"]) == ("for pricing only", pytest.approx(882))
    assert row["remark"] == "grams of nitrogen, not of feed"
