"""Fillings of a spreader: exact sums over both runs, full by litres or by weight."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.model import Machine
from lawnmap.processing.buying.hopper_loads import hopper_load


def step(**changes):
    return {
        "zone_id": "a", "operation": "lawn_sand", "sequence": 2, "product": "Sand",
        "machine": "mine", "area_m2": 180.0, "dose": 140.0, **changes,
    }  # fmt: skip


@pytest.fixture
def load(lawn):
    def work(machine=None, card=None, **changes):
        own = {"box_l": 10.0, **(machine or {})}
        label = lawn.card(**{"name": "Sand", "form": "lawn sand", **(card or {})})
        choices = lawn.choices(label, own=[Machine("mine", "spreader", **own)])
        return hopper_load(step(**changes), choices)

    return work


def test_lawn_sand_by_the_density_of_the_card(load):
    """By hand: 10 l at 1.2 kg/l are 12 kg; at half of 140 g/m² they do 171.4 m² of 180 m²."""
    found = load(card={"bulk_kg_l": 1.2})
    assert (found["runs"], found["full_loads"]) == (2, 1)
    assert found["full_product"] == pytest.approx(12_000)
    assert found["full_area_m2"] == pytest.approx(12_000 / 70)
    assert found["last_product"] == pytest.approx(180 * 70 - 12_000)
    assert found["last_area_m2"] == pytest.approx(180 - 12_000 / 70)
    assert found["remark"] == "a full hopper is 10 l at 1.2 kg/l, by its card"


def test_what_a_litre_weighs_is_the_least_that_is_published(load):
    # Dry sand 1,602 kg/m³: USGA. Granules from 44 lb in a cubic foot (705 kg/m³).
    assert load()["full_product"] == pytest.approx(16_020)
    found = load(card={"form": "granule"}, dose=30.0)
    assert found["full_product"] == pytest.approx(7050)
    assert "granules (published): weigh a litre of yours" in found["remark"]


def test_full_by_weight_before_it_is_full_by_litres(load):
    found = load({"hopper_kg": 8.0})
    assert found["full_product"] == pytest.approx(8000)
    assert "a full hopper is 4.99 l" in found["remark"]


def test_a_hopper_of_kilograms_needs_no_density(load):
    found = load({"box_l": None, "hopper_kg": 8.0}, card={"form": "soluble"})
    assert found["full_product"] == pytest.approx(8000)
    assert "nobody said what a litre weighs" in found["remark"]


def test_dressing_is_poured_by_the_litre_in_one_run(load):
    """By hand: 60 l at 5 l/m² do 12 m²; 90 kg of 1.305 kg/l are 69 l, so litres come first."""
    found = load({"box_l": 60.0, "hopper_kg": 90.0}, card={"form": "dressing"},
                 operation="top_dressing", dose=5.0, area_m2=30.0)  # fmt: skip
    assert (found["runs"], found["product_unit"], found["full_loads"]) == (1, "l", 2)
    assert (found["full_product"], found["full_area_m2"]) == (pytest.approx(60), pytest.approx(12))
    assert found["last_product"] == pytest.approx(30)


def test_nothing_is_guessed_of_a_hopper(load, lawn):
    assert load({"box_l": None}) == {}
    assert load(card={"form": "soluble"}) == {}
    assert load(dose=float("nan")) == {}
    rake = lawn.choices(own=[Machine("mine", "rake", box_l=10.0)])
    assert hopper_load(step(), rake) == {}
    assert hopper_load(step(machine=""), rake) == {}


@given(st.floats(1, 5000), st.floats(1, 200), st.floats(2, 200))
def test_runs_and_loads_add_up_to_the_dose(lawn, area, dose, box):
    choices = lawn.choices(
        lawn.card(name="Sand", form="lawn sand"), own=[Machine("mine", "spreader", box_l=box)]
    )
    found = hopper_load(step(area_m2=area, dose=dose), choices)
    a_run = found["full_loads"] * found["full_product"] + found["last_product"]
    assert found["runs"] * a_run == pytest.approx(area * dose, rel=1e-6)
    covered = found["full_loads"] * found["full_area_m2"] + found["last_area_m2"]
    assert covered == pytest.approx(area, rel=1e-6)


def test_loads_stand_in_the_order_of_the_steps(lawn):
    sand = lawn.card(name="Sand", form="lawn sand", rate_printed="140 g/m²")
    feed = lawn.card(name="Feed", form="feed", rate_printed="", nitrogen_pct=6.0)
    chosen = lawn.choices(sand, feed, lawn.iron, products={"iron": "Sand", "feed": "Feed"})
    worked = lawn.work(lawn.zones({}, {}), chosen)
    order = list(zip(worked.loads["zone_id"], worked.loads["sequence"], strict=True))
    assert order == sorted(order)
    for load in worked.loads.to_dict("records"):
        row = worked.step(load["operation"], load["zone_id"])
        summed = load["full_loads"] * load["full_product"] + load["last_product"]
        assert load["runs"] * summed == pytest.approx(row["amount"])
