"""Containers, against worked examples of agronomy.md."""

import pytest

from lawnmap.model import Machine


def test_cans_of_a_home_lawn(lawn):
    """I7 and practice.md (c) 4: 562.5 g, 112.5 l, 11¼ cans, each can on a pegged 2 × 8 m."""
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    step, load = worked.step("iron_soluble"), worked.loads.iloc[0]
    assert (step["amount"], step["water_l"]) == (562.5, 112.5)
    assert (load["full_loads"], load["full_product"], load["full_area_m2"]) == (11, 50, 16)
    assert (load["last_product"], load["last_water_l"], load["last_area_m2"]) == (12.5, 2.5, 4)
    assert load["remark"] == (
        "each can: 50 g in 10 l does 16 m²: peg out 2 × 8 m. "
        "last can: 12.5 g in 2.5 l does 4 m²: 2 × 2 m"
    )
    assert (load["concentration_g_l"], load["rule"]) == (5, "")


def knapsack(lawn, water=0.04, **card):
    sprayer = Machine("mine", "knapsack", width_m=1.0, tank_l=15, water_l_m2=water)
    rake = Machine("rake", "rake")
    label = lawn.card(
        user="professional", rate_printed="", rate_g_m2=2.5, applicators=("knapsack",), **card
    )
    choices = lawn.choices(
        label, user="professional", own=[sprayer, rake], applicator={"iron": "mine"}
    )
    return lawn.work(lawn.zones({"ground_area_m2": 900.0}), choices)


def test_knapsack_loads(lawn):
    """W25: 2.5 g/m², 1 l covers 25 m², 15 l tank: 375 m² a tank, 937.5 g, 62.5 g/l."""
    worked = knapsack(lawn)
    load = worked.loads.iloc[0]
    assert load["full_area_m2"] == pytest.approx(375)
    assert load["full_product"] == pytest.approx(937.5)
    assert load["concentration_g_l"] == pytest.approx(62.5)
    # 900 / 375 = 2.4 fills (practice.md, change 12).
    assert (load["full_loads"], load["last_area_m2"]) == (2, pytest.approx(150))


def test_the_labels_least_water_beats_the_applicator(lawn):
    load = knapsack(lawn, water_low_l_m2=0.1).loads.iloc[0]
    assert load["concentration_g_l"] == pytest.approx(25)


@pytest.mark.parametrize(
    ("water", "rule"), [(0.02, ""), (0.012, "mix_near_limit"), (0.008, "mix_too_strong")]
)
def test_what_cold_water_takes(lawn, water, rule):
    """286 g/l of heptahydrate at 0 °C, warning from 70 % of it: agronomy.md 4.2."""
    load = knapsack(lawn, water=water).loads.iloc[0]
    assert load["rule"] == rule
    assert bool(load["flag"]) == bool(rule)


def test_no_loads_where_nothing_may_be_applied(lawn):
    for card in ({"country": "IE"}, {"authorised_for_moss": False}):
        assert lawn.work(lawn.zones(), lawn.choices(lawn.card(**card))).loads.empty
    assert lawn.work(lawn.zones(), lawn.choices()).loads.empty
    dry = lawn.zones({"water_strip_from": "not set", "iron_area_m2": 0.0})
    assert lawn.work(dry, lawn.choices(lawn.iron)).loads.empty
