"""Nitrogen, counted from everything that carries it."""

import datetime as dt

import pytest

from lawnmap.model import Product
from lawnmap.processing import machines

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


def test_sand_on_the_patches_feeds_the_patches_only(lawn):
    """Sand with nitrogen over the whole zone counts; on the patches the rest went without."""
    sand = lawn.card(
        name="Sand", form="lawn sand", analysis_pct=2.0, nitrogen_pct=3.0, rate_printed="35 g/m²",
        rate_g_m2=None,
    )  # fmt: skip

    def nitrogen(moss):
        cards = lawn.choices(
            sand, FEED, products={"iron": "Sand", "feed": FEED.name},
            applicator={"iron": "drop spreader"}, first_day=dt.date(2027, 3, 20),
            own=list(machines.generic().values()),
        )  # fmt: skip
        made = lawn.work(lawn.zones({"moss_rating": moss, "thatch_rating": 2}), cards)
        assert "lawn_sand" in made.operations()
        return made.step("feeding")["nitrogen_g_m2"]

    assert nitrogen(2) == pytest.approx(4.9)
    assert nitrogen(3) < 4.9


def test_no_feed_while_nobody_has_set_its_strip_along_water(lawn):
    row = feed(lawn, {"feed_strip_from": "not set", "feed_area_m2": 0.0})
    assert (row["status"], row["rule"]) == ("not set: do not apply", "not_set_feed_strip")
    assert all(row[each] != row[each] for each in ("dose", "amount", "hours", "area_m2"))  # NaN


def test_feed_goes_on_the_ground_outside_its_strips(lawn):
    row = feed(lawn, {"feed_area_m2": 150.0})
    assert row["area_m2"] == 150
    assert row["amount"] == pytest.approx(49.0 * 150)
