"""Weighing out, what dissolves in the water there is, and what stays on the shelf."""

import datetime as dt
import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.model import Machine
from lawnmap.processing.buying.dissolving import dissolving
from lawnmap.processing.buying.left_over import left_over
from lawnmap.processing.buying.weigh_out import weigh_out

SCALES = {"g": 1.0, "ml": 10.0}
WEIGHED = ["full_weigh", "last_weigh"]


def test_cans_of_a_home_lawn(lawn):
    """practice.md (c) 4: 11¼ cans of 50 g on 16 m², the last 12.5 g on 4 m², scales to 1 g."""
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron, weighing={"scale_g": 1.0}))
    (row,) = worked.loads.to_dict("records")
    assert (row["full_loads"], row["full_product"], row["full_weigh"]) == (11, 50, 50)
    assert (row["last_product"], row["last_weigh"]) == (12.5, 12)
    assert row["short_pct"] == pytest.approx(100 * 0.5 / 12.5)
    assert row["flag"] == ""
    assert "last can: 12 g in 2.5 l does 4 m²" in row["remark"]  # no amount that nobody can weigh


def test_coarse_scales_are_told(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron, weighing={"scale_g": 5.0}))
    (row,) = worked.loads.to_dict("records")
    assert (row["full_weigh"], row["last_weigh"]) == (50, 10)
    assert row["flag"] == (
        "12.5 g is due, of which scales in steps of 5 g can tell 10 g: use scales in steps of "
        "0.5 g or finer."
    )


def test_nothing_is_rounded_to_scales_nobody_named(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    assert worked.loads[[*WEIGHED, "short_pct"]].isna().all(axis=None)
    assert (worked.loads["flag"] == "").all()


ROW = {
    "zone_id": "a", "operation": "iron_soluble", "sequence": 1, "product": "p", "machine": "can",
    "product_unit": "g", "flag": "",
}  # fmt: skip


@given(st.integers(0, 40), st.floats(1, 2000), st.floats(0, 0.999), st.sampled_from([0.1, 1, 5]))
def test_never_more_than_was_planned(number, product, last, step):
    load = ROW | {
        "full_loads": float(number), "full_product": product, "last_product": last * product,
    }  # fmt: skip
    (row,) = weigh_out(pd.DataFrame([load]), {"g": step}, most_short=0.05).to_dict("records")
    exact = number * product + last * product
    full, part = (0 if np.isnan(row[name]) else row[name] for name in WEIGHED)
    assert full <= product * (1 + 1e-9)
    assert number * full + part <= exact * (1 + 1e-9) + 1e-9
    assert exact - number * full - part <= step * (number + 1) * (1 + 1e-6)
    assert bool(row["flag"]) == (row["short_pct"] > 5)


areas = st.lists(st.floats(5, 3000), min_size=1, max_size=6)


@settings(max_examples=25)
@given(areas, st.sampled_from(["50 g in 10 l over 16 m²", "7 g in 3 l over 4.7 m²"]))
def test_amounts_add_up_over_zones_and_loads(lawn, ground, rate):
    """Zones to the total: exactly. Loads to a zone: to the last digits a computer keeps."""
    zones = lawn.zones(*({"ground_area_m2": each} for each in ground))
    card = lawn.card(rate_printed=rate)
    worked = lawn.work(zones, lawn.choices(card, weighing={"scale_g": 1.0}))
    steps = worked.steps[worked.steps["operation"] == "iron_soluble"].set_index("zone_id")
    total = worked.totals.set_index("product").loc["Moss iron"]
    assert total["amount"] == math.fsum(steps["amount"])
    assert total["to_buy"] == total["amount"]
    for load in worked.loads.to_dict("records"):
        step = steps.loc[load["zone_id"]]
        for column, whole in (
            ("product", "amount"),
            ("water_l", "water_l"),
            ("area_m2", "area_m2"),
        ):
            parts = load["full_loads"] * load[f"full_{column}"] + load[f"last_{column}"]
            # A part-load under a millionth of a load is none.
            assert abs(parts - step[whole]) <= 1e-6 * load[f"full_{column}"] + 4 * math.ulp(parts)


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
        for at in (None, 0, 9.9, 10, 25)
    }
    assert [each["rule"] for each in answers.values()] == [
        "mix_too_strong", "mix_too_strong", "mix_too_strong", "mix_near_limit", "",
    ]  # fmt: skip
    assert answers[25]["as_salt_g_l"] == pytest.approx(312.5, rel=1e-3)
    assert [each["dissolves_g_l"] for each in answers.values()] == [286, 286, 286, 366, 540]


def test_the_water_of_the_site_is_what_counts(lawn):
    card = lawn.card(user="professional", rate_printed="", rate_g_m2=2.5, applicators=("knapsack",))
    own = [Machine("mine", "knapsack", width_m=1.0, tank_l=15, water_l_m2=0.008)]
    loads = [
        lawn.work(
            lawn.zones(),
            lawn.choices(
                card, user="professional", own=[*own, Machine("rake", "rake")],
                applicator={"iron": "mine"}, weighing={"scale_g": 1.0, "water_c": at},
            ),
        ).loads.iloc[0]
        for at in (5.0, 10.0, 25.0)
    ]  # fmt: skip
    assert [each["rule"] for each in loads] == ["mix_too_strong", "mix_near_limit", ""]
    assert [each["water_c"] for each in loads] == [5, 10, 25]
    assert "takes 286 g/l" in loads[0]["flag"]
    assert "least 18.3 l" in loads[1]["flag"]


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
    assert found["dissolves_g_l"] <= handbook * 1.003


def test_no_wet_loads(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices())
    assert weigh_out(worked.loads, SCALES).empty
    assert dissolving(worked.loads, worked.steps).empty


def test_what_stays_on_the_shelf(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    row = worked.totals.set_index("product").loc["Moss iron"]
    # 562.5 g out of one pack of 1 kg
    assert (row["left_over"], row["unit"]) == (437.5, "g")
    assert row["shelf"] == (
        "438 g will be left. Last day of use 2030-01-01. Keep it in its own pack, locked away, as "
        "its label says; close the pack at once: it draws damp and cakes."
    )


def test_a_pack_far_too_large(lawn):
    card = lawn.card(packs=((25_000.0, "g", 100.0),), use_by=None)
    worked = lawn.work(lawn.zones(), lawn.choices(card))
    note = worked.totals.set_index("product").loc["Moss iron", "shelf"]
    assert note.startswith("24.4 kg will be left. That is more than half: ask for a smaller pack.")
    assert "names no last day of use" in note


def test_past_its_day(lawn):
    totals = pd.DataFrame(
        [{"product": "Moss iron", "left_over": 300.0, "amount": 0.0, "unit": "g", "packs": "none"}]
    )
    card = lawn.card(use_by=dt.date(2026, 1, 1))
    note = left_over(totals, lawn.choices(card))["shelf"].iloc[0]
    assert "do not use it" in note
    assert "Keep it" not in note


def test_nothing_is_left(lawn):
    card = lawn.card(packs=((562.5, "g", 10.0),))
    worked = lawn.work(lawn.zones(), lawn.choices(card))
    assert (worked.totals["shelf"] == "").all()
