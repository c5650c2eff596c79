"""Seed for the sward after the blades."""

import pytest

from lawnmap.model import Product

SEED = Product("Lawn seed", "seed", purity_pct=98, germination_pct=85)


def test_pure_live_seed(lawn):
    """agronomy.md 5.3: 250 m² at 25 g/m², purity 98 %, germination 85 %: 7.503 kg from the bag."""
    choices = lawn.choices(
        SEED, products={"seed": "Lawn seed"}, seeding={"wanted": True, "rate_g_m2": 25}
    )
    row = lawn.work(lawn.zones({"ground_area_m2": 250.0}), choices).step("overseeding")
    assert row["amount"] == pytest.approx(7503, abs=0.5)
    assert (row["product"], row["rule"]) == ("Lawn seed", "seed_own_rate")


def test_bare_ground_and_the_sward_between(lawn):
    """60 % moss and 5 % bare leave 50 to 65 % bare; 25 g/m² there, half of it between (E7, E13)."""
    zone = {"moss_rating": None, "moss_cover_pct": 60, "bare_pct": 5, "ground_area_m2": 100.0}
    row = lawn.work(lawn.zones(zone), lawn.choices()).step("overseeding")
    assert row["amount_low"] == pytest.approx(100 * (0.5 * 25 + 0.5 * 12.5))
    assert row["amount"] == pytest.approx(100 * (0.65 * 25 + 0.35 * 12.5))
    assert (row["product"], row["rule"]) == ("general lawn mixture", "seed_rate")
    assert "look again after the last pass" in row["remark"]


def test_what_the_bag_prints_is_of_the_bag(lawn):
    card = Product("Bag", "seed", purity_pct=98, germination_pct=85, rate_printed="35 g/m²")
    choices = lawn.choices(card, products={"seed": "Bag"})
    row = lawn.work(lawn.zones({"moss_rating": 5, "ground_area_m2": 100.0}), choices).step(
        "overseeding"
    )
    assert (row["amount"], row["rule"]) == (pytest.approx(3500), "seed_label_rate")


@pytest.mark.parametrize("choices", [{"seeding": {"wanted": False}}, {"operations": ("raking",)}])
def test_not_wanted(lawn, choices):
    names = lawn.work(lawn.zones(), lawn.choices(**choices)).operations()
    assert "overseeding" not in names
    assert "watering" not in names


def test_little_bare_ground_closes_by_itself(lawn):
    zone = {"moss_rating": 0, "thatch_rating": 2, "bare_pct": 4}
    worked = lawn.work(lawn.zones(zone), lawn.choices())
    assert "raking" in worked.operations()
    assert "overseeding" not in worked.operations()


def test_shade_is_said(lawn):
    zones = lawn.zones({"sun_hours_seen": 5})
    row = lawn.work(zones, lawn.choices()).step("overseeding")
    assert (row["product"], row["flag"]) == ("red fescue", "")
    assert "; red fescue: under 6 h of sun" in row["remark"]
    bag = lawn.work(zones, lawn.choices(SEED, products={"seed": "Lawn seed"})).step("overseeding")
    assert "fescues" in bag["flag"]
    assert "the place asks for red fescue" in bag["remark"]


def test_each_zone_gets_the_grasses_of_its_place_at_their_rate(lawn):
    """Sowing rates, UK: red fescue 15 to 25 g/m², ryegrass mixtures up to 40 g/m² (E2 to E7)."""
    zones = lawn.zones({"sun_hours_seen": 5}, {"turf_type": "sports pitch"}, {})
    worked = lawn.work(zones, lawn.choices())
    rows = [worked.step("overseeding", zone) for zone in "abc"]
    names = ["red fescue", "ryegrass mixture", "general lawn mixture"]
    assert [row["product"] for row in rows] == names
    assert rows[1]["amount"] == pytest.approx(rows[2]["amount"] * 40 / 25)
    assert set(names) <= set(worked.totals["product"])


def test_a_water_ban_says_what_it_changes(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(water_ban=True))
    assert "sow when it is lifted" in worked.step("overseeding")["flag"]
    watering = worked.step("watering")
    assert watering["rule"] == "water_seed_ban"
    assert "no hose" in watering["flag"]
    assert watering["water_l"] == 900


def test_seed_is_bought_for_the_ground_that_is_sown(lawn):
    every, some = (
        lawn.work(lawn.zones(each), lawn.choices()).step("overseeding")
        for each in ({}, {"seed_area_m2": 90.0})
    )
    assert some["amount"] == pytest.approx(every["amount"] / 2)
