"""Weighing out, what dissolves in the water there is, and what stays on the shelf."""

import datetime as dt

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.model import Machine
from lawnmap.processing.dissolving import dissolving
from lawnmap.processing.left_over import left_over
from lawnmap.processing.weigh_out import weigh_out

SCALES = {"g": 1.0, "ml": 10.0}


def test_cans_of_a_home_lawn(lawn):
    """practice.md (c) 4: 11¼ cans of 50 g on 16 m², the last 12.5 g on 4 m², scales to 1 g."""
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    table = weigh_out(worked.loads, SCALES, most_short=0.05)
    assert table[
        ["load", "number", "exact", "weigh", "water_l", "area_m2"]
    ].to_numpy().tolist() == [
        ["full", 11, 50, 50, 10, 16],
        ["last", 1, 12.5, 12, 2.5, 4],
    ]
    assert table["short_pct"].tolist() == [0, pytest.approx(4)]
    assert table["flag"].tolist() == ["", ""]


def test_coarse_scales_are_told(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    table = weigh_out(worked.loads, {"g": 5}, most_short=0.05)
    assert table["weigh"].tolist() == [50, 10]
    assert table["flag"].tolist() == [
        "",
        "12.5 g cannot be told on scales in steps of 5 g: use scales in steps of 0.6 g or finer.",
    ]
    with pytest.raises(InputRefused, match="read off in g"):
        weigh_out(worked.loads, {"ml": 5}, most_short=0.05)


ROW = {
    "zone_id": "a", "operation": "iron_soluble", "sequence": 1, "product": "p", "machine": "can",
    "product_unit": "g",
}  # fmt: skip


@given(st.integers(0, 40), st.floats(1, 2000), st.floats(0, 0.999), st.sampled_from([0.1, 1, 5]))
def test_never_more_than_was_planned(number, product, last, step):
    load = ROW | {
        "full_loads": float(number), "full_product": product, "full_water_l": 10.0,
        "full_area_m2": 16.0, "last_product": last * product, "last_water_l": last * 10,
        "last_area_m2": last * 16,
    }  # fmt: skip
    table = weigh_out(pd.DataFrame([load]), {"g": step}, most_short=0.05)
    exact = (table["exact"] * table["number"]).sum()
    assert exact == pytest.approx((number + last) * product)
    weighed = (table["weigh"] * table["number"]).sum()
    assert weighed <= exact * (1 + 1e-9) + 1e-9
    assert exact - weighed <= step * table["number"].sum() * (1 + 1e-6)


def strong(lawn, water, **card):
    sprayer = Machine("mine", "knapsack", width_m=1.0, tank_l=15, water_l_m2=water)
    label = lawn.card(
        user="professional", rate_printed="", rate_g_m2=2.5, applicators=("knapsack",), **card
    )
    choices = lawn.choices(
        label, user="professional", own=[sprayer, Machine("rake", "rake")],
        applicator={"iron": "mine"},
    )  # fmt: skip
    return lawn.work(lawn.zones({"ground_area_m2": 900.0}), choices)


def test_warm_water_takes_more(lawn):
    """Agronomy.md 4.2: 286 g/l of heptahydrate at 0 °C, 366 at 10, 540 at 25; warn from 70 %."""
    worked = strong(lawn, 0.008)  # 312.5 g/l
    answers = {
        at: dissolving(worked.loads, worked.steps, water_c=at).iloc[0]
        for at in (float("nan"), 0, 9.9, 10, 25)
    }
    assert [each["answer"] for each in answers.values()] == [
        "will not dissolve", "will not dissolve", "will not dissolve", "near the limit",
        "dissolves",
    ]  # fmt: skip
    assert answers[25]["as_salt_g_l"] == pytest.approx(312.5, rel=1e-3)
    assert answers[25]["share_pct"] == pytest.approx(100 * 312.5 / 540, rel=1e-3)


def test_the_least_water_dissolves_it(lawn):
    worked = strong(lawn, 0.008)
    found = dissolving(worked.loads, worked.steps, water_c=10).iloc[0]
    # 15 l at 312.5 g/l are 4687.5 g; at 70 % of 366 g/l they need 18.3 l.
    assert found["least_water_l"] == pytest.approx(4687.5 / (0.7 * 366), rel=1e-3)


def test_monohydrate_is_held_as_heptahydrate(lawn):
    """1 g of monohydrate has the iron of 1.6361 g of heptahydrate: agronomy.md 3.1."""
    worked = strong(lawn, 0.04, analysis_pct=100, analysis_as="FeSO4·H2O")
    found = dissolving(worked.loads, worked.steps).iloc[0]
    assert found["as_salt_g_l"] == pytest.approx(62.5 * 1.6361, rel=1e-4)


# CRC Handbook of Chemistry and Physics, mass % of FeSO4 in a saturated solution (from memory).
HANDBOOK = [(0, 13.5), (10, 17.0), (20, 20.8), (25, 22.8), (30, 24.8), (40, 28.8), (50, 32.8)]


@pytest.mark.parametrize(("at", "mass_pct"), HANDBOOK)
def test_the_ceiling_is_never_above_another_table(lawn, at, mass_pct):
    worked = strong(lawn, 0.04)
    found = dissolving(worked.loads, worked.steps, water_c=at).iloc[0]
    handbook = 1000 * mass_pct / (100 - mass_pct) * 278.006 / 151.901
    assert found["ceiling_g_l"] <= handbook * 1.003


def test_no_wet_loads(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices())
    assert weigh_out(worked.loads, SCALES, most_short=0.05).empty
    assert dissolving(worked.loads, worked.steps).empty


def test_what_stays_on_the_shelf(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    table = left_over(worked.totals, lawn.choices(lawn.iron))
    # 562.5 g out of one pack of 1 kg
    assert table[["product", "left_over", "unit"]].to_numpy().tolist() == [
        ["Moss iron", 437.5, "g"]
    ]
    assert table["note"].iloc[0] == (
        "438 g will be left. Last day of use 2030-01-01. Keep it in its own pack, locked away, as "
        "its label says; close the pack at once: it draws damp and cakes."
    )


def test_a_pack_far_too_large(lawn):
    card = lawn.card(packs=((25_000.0, "g", 100.0),), use_by=None)
    worked = lawn.work(lawn.zones(), lawn.choices(card))
    note = left_over(worked.totals, lawn.choices(card))["note"].iloc[0]
    assert note.startswith("24.4 kg will be left. That is more than half: ask for a smaller pack.")
    assert "names no last day of use" in note


def test_past_its_day(lawn):
    totals = pd.DataFrame(
        [{"product": "Moss iron", "left_over": 300.0, "amount": 0.0, "unit": "g", "packs": "none"}]
    )
    card = lawn.card(use_by=dt.date(2026, 1, 1))
    note = left_over(totals, lawn.choices(card))["note"].iloc[0]
    assert "do not use it" in note
    assert "Keep it" not in note


def test_nothing_is_left(lawn):
    card = lawn.card(packs=((562.5, "g", 10.0),))
    worked = lawn.work(lawn.zones(), lawn.choices(card))
    assert left_over(worked.totals, lawn.choices(card)).empty
