"""Iron: the label's dose, on as much ground and as often as the moss asks for."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.errors import InputRefused


def test_by_the_label(lawn):
    """I7: 50 g in 10 l over 16 m² is 3.125 g/m² and 0.625 l/m²; 180 m² take 562.5 g."""
    row = lawn.work(lawn.zones(), lawn.choices(lawn.iron)).step("iron_soluble")
    assert (row["status"], row["rule"]) == ("do", "iron_label_rate")
    assert (row["dose"], row["amount"], row["water_l"]) == (3.125, 562.5, 112.5)
    assert row["iron_g_m2"] == pytest.approx(3.125 * 0.2009)
    assert (row["standing"], row["flag"]) == ("label", "")
    assert "fe_low_g_m2" in row["sources"]


def test_only_outside_the_strips(lawn):
    zones = lawn.zones({"iron_area_m2": 160.0})
    assert lawn.work(zones, lawn.choices(lawn.iron)).step("iron_soluble")["amount"] == 500


def test_a_liquid_is_measured_in_millilitres(lawn):
    card = lawn.card(
        form="liquid", rate_printed="", rate_ml_m2=20.0, water_l_m2=0.1,
        analysis_pct=60, analysis_as="Fe", analysis_basis="g/l",
    )  # fmt: skip
    row = lawn.work(lawn.zones(), lawn.choices(card)).step("iron_liquid")
    assert (row["amount"], row["unit"], row["dose_unit"]) == (3600, "ml", "ml/m²")
    assert row["iron_g_m2"] == pytest.approx(1.2)


def test_lawn_sand_counts_its_nitrogen(lawn):
    """N1: 140 g/m² with 0.837 % Fe and 2.65 % N brings 1.172 g Fe and 3.71 g N."""
    card = lawn.card(
        form="lawn sand", rate_printed="140 g/m²", analysis_pct=0.8371, nitrogen_pct=2.65
    )
    worked = lawn.work(lawn.zones(), lawn.choices(card))
    row = worked.step("lawn_sand")
    assert row["iron_g_m2"] == pytest.approx(1.172, abs=1e-3)
    assert row["nitrogen_g_m2"] == pytest.approx(3.71)
    assert (row["amount"], row["rule"]) == (pytest.approx(25_200), "sand_label_rate")
    assert np.isnan(row["water_l"])
    assert "Half one way, half across" in row["remark"]
    # 4.9 g/m² of nitrogen aimed at (R8), less 3.71 of the sand.
    assert worked.step("feeding")["nitrogen_g_m2"] == pytest.approx(1.19)
    # The generic spreader holds 10 l: 16.02 kg of dry sand (USGA: 1,602 kg/m³), in two runs.
    (load,) = worked.loads.to_dict("records")
    assert (load["runs"], load["full_loads"]) == (2, 0)
    assert load["last_product"] == pytest.approx(25_200 / 2)


def test_lawn_sand_is_not_put_on_a_square(lawn):
    card = lawn.card(form="lawn sand", rate_printed="35 g/m²")
    square = lawn.zones({"turf_type": "cricket square", "thatch_mm": 6.0})
    row = lawn.work(square, lawn.choices(card)).step("lawn_sand")
    assert (row["status"], row["rule"]) == ("not allowed", "sand_not_on_square")


def test_patches_only_where_moss_is_thin(lawn):
    row = lawn.work(lawn.zones({"moss_rating": 2}), lawn.choices(lawn.iron)).step("iron_soluble")
    # 5 to 25 % of 180 m²: 9 to 45 m²; bought for the most.
    assert row["area_m2"] == pytest.approx(45)
    assert (row["amount_low"], row["amount"]) == (pytest.approx(28.125), pytest.approx(140.625))
    assert row["remark"].startswith("on the patches only")


def test_without_a_card_the_plan_buys_and_does_not_apply(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices())
    row = worked.step("iron_soluble")
    assert (row["status"], row["rule"], row["product"]) == ("for pricing only", "iron_no_card", "")
    # Middle of 0.6 to 2.01 g Fe/m² as heptahydrate of 20.09 % iron: 6.5 g/m².
    assert row["dose"] == pytest.approx(1.305 / 0.2009, rel=1e-3)
    assert np.isnan(row["water_l"])
    assert worked.loads.empty
    assert (worked.totals["status"] == "for pricing only").any()


def test_a_fertiliser_without_a_moss_claim_is_for_pricing_only(lawn):
    row = lawn.work(
        lawn.zones(), lawn.choices(lawn.card(authorised_for_moss=False))
    ).step("iron_soluble")  # fmt: skip
    assert (row["status"], row["rule"]) == ("for pricing only", "iron_pricing_only")


@pytest.mark.parametrize(
    ("card", "rule"),
    [
        ({"user": "professional"}, "iron_card_user"),
        ({"country": "IE"}, "iron_card_country"),
    ],
)
def test_refused_with_the_reason_and_without_numbers(lawn, card, rule):
    row = lawn.work(lawn.zones(), lawn.choices(lawn.card(**card))).step("iron_soluble")
    assert (row["status"], row["rule"]) == ("not allowed", rule)
    assert np.isnan([row["dose"], row["amount"], row["water_l"], row["hours"]]).all()


def test_water_without_a_strip(lawn):
    zones = lawn.zones({"water_strip_from": "not set", "iron_area_m2": 0.0})
    row = lawn.work(zones, lawn.choices(lawn.iron)).step("iron_soluble")
    assert (row["status"], row["rule"]) == ("not set: do not apply", "not_set_water_strip")
    assert np.isnan(row["amount"])


def test_no_rate_on_the_card(lawn):
    row = lawn.work(lawn.zones(), lawn.choices(lawn.card(rate_printed=""))).step("iron_soluble")
    assert (row["status"], row["rule"]) == ("not set: do not apply", "iron_not_set")


def test_a_slipped_decimal(lawn):
    """31.25 g/m² of a 20.09 % salt is 6.28 g Fe/m², above 4.0: refused until typed twice."""
    slipped = {"rate_printed": "500 g in 10 l over 16 m²"}
    row = lawn.work(lawn.zones(), lawn.choices(lawn.card(**slipped))).step("iron_soluble")
    assert (row["status"], row["rule"]) == ("not allowed", "iron_above_limit")
    assert "3.12 times the published rate" in row["flag"]
    again = lawn.card(**slipped, rate_typed_again="31.25 g/m²")
    row = lawn.work(lawn.zones(), lawn.choices(again)).step("iron_soluble")
    assert (row["status"], row["rule"]) == ("do", "iron_above_published")
    assert "3.12 times" in row["flag"], "a label above the limit stays flagged"
    other = lawn.card(**slipped, rate_typed_again="3.125 g/m²")
    assert lawn.work(lawn.zones(), lawn.choices(other)).step("iron_soluble")["status"] == (
        "not allowed"
    )


def test_above_what_is_published_but_below_the_limit(lawn):
    row = lawn.work(
        lawn.zones(), lawn.choices(lawn.card(rate_printed="12 g/m²"))
    ).step("iron_soluble")  # fmt: skip
    assert (row["status"], row["rule"]) == ("do", "iron_above_published")
    assert "1.2 times" in row["flag"]


def test_two_rates_on_one_card_are_refused(lawn):
    with pytest.raises(InputRefused, match=r"3\.125 g/m² and the typed rate 3 g/m²"):
        lawn.work(lawn.zones(), lawn.choices(lawn.card(rate_g_m2=3.0)))


def test_a_label_without_an_area_names_the_card(lawn):
    with pytest.raises(InputRefused, match=r"products\.toml: Moss iron: .* names no area"):
        lawn.work(lawn.zones(), lawn.choices(lawn.card(rate_printed="50 g in 10 l")))


def test_what_the_card_does_not_say_is_flagged(lawn):
    card = lawn.card(use_by=None, user="", analysis_pct=None)
    row = lawn.work(lawn.zones(), lawn.choices(card)).step("iron_soluble")
    assert row["status"] == "do"
    for word in ("how much iron", "last day", "who may use it"):
        assert word in row["flag"]


def test_a_second_application_only_if_moss_is_still_green(lawn):
    card = lawn.card(most_doses_a_year=2, least_days_between=28)
    worked = lawn.work(lawn.zones({"moss_rating": 5}), lawn.choices(card))
    first, second = worked.steps[worked.steps["operation"] == "iron_soluble"].to_dict("records")
    assert (first["rule"], second["rule"]) == ("iron_label_rate", "iron_repeat")
    assert second["wait_days"] == 28
    assert worked.totals.set_index("product").loc["Moss iron", "amount"] == 1125
    assert worked.totals.set_index("product").loc["Moss iron", "amount_low"] == 562.5


@settings(max_examples=15, deadline=None)
@given(st.lists(st.floats(0, 100), min_size=2, max_size=8))
def test_more_moss_never_lowers_the_iron_of_a_season(lawn, covers):
    card = lawn.card(most_doses_a_year=2, least_days_between=28)
    zones = lawn.zones(*({"moss_rating": None, "moss_cover_pct": each} for each in sorted(covers)))
    rows = lawn.work(zones, lawn.choices(card)).steps
    iron = rows[rows["operation"] == "iron_soluble"].groupby("zone_id")["amount"].sum()
    season = iron.reindex(zones.index, fill_value=0.0)
    assert season.is_monotonic_increasing or (season.diff().dropna() > -1e-9).all()


@settings(max_examples=15, deadline=None)
@given(st.lists(st.floats(1, 5000), min_size=2, max_size=8), st.integers(0, 5))
def test_more_ground_never_takes_less_of_anything(lawn, areas, rating):
    zones = lawn.zones(*({"ground_area_m2": a, "moss_rating": rating} for a in sorted(areas)))
    rows = lawn.work(zones, lawn.choices(lawn.iron)).steps
    for operation in ("iron_soluble", "overseeding", "clearing"):
        needed = rows[rows["operation"] == operation].groupby("zone_id")["amount"].sum()
        steps = needed.reindex(zones.index, fill_value=0.0).diff().dropna()
        assert (steps > -1e-9).all()


@settings(max_examples=25, deadline=None)
@given(
    st.floats(0.01, 100), st.integers(0, 5), st.floats(1, 2000), st.integers(1, 6),
    st.integers(0, 60),
)  # fmt: skip
def test_no_plan_exceeds_the_label(lawn, rate, rating, area, most, between):
    card = lawn.card(
        rate_printed="", rate_g_m2=rate, most_doses_a_year=most, least_days_between=between
    )
    zones = lawn.zones({"moss_rating": rating, "ground_area_m2": area})
    rows = lawn.work(zones, lawn.choices(card)).steps
    iron = rows[rows["operation"] == "iron_soluble"]
    applied = iron[iron["status"] == "do"]
    assert (applied["dose"] == rate).all()
    assert (applied["amount"] <= rate * area * (1 + 1e-12)).all()
    assert len(applied) <= most
    assert (applied["iron_g_m2"] <= 4.0).all(), "only a label typed twice passes the limit"
