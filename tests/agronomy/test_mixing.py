"""Cans, knapsacks and what dissolves, against worked examples."""

import numpy as np
import pytest

from lawnmap.agronomy import mixing
from lawnmap.reference import tables

TEMPERATURES = [row.water_c for row in tables.solubility()]
CEILINGS = [row.ceiling_g_l for row in tables.solubility()]


def test_a_can_and_its_pegged_ground():
    # Cornwall Cricket Groundsmen, 28 January 2019: 50 g in 10 l over 16 m².
    load = mixing.container_load(10, 3.125, 0.625)
    assert load == (50, 10, 16)
    assert mixing.pegged(load.area_m2, 2) == (2, 8)


def test_a_knapsack_of_iron():
    # By the area method of Amenity Academy's note: 1 l covers 25 m², 15 l tank, 2.5 g/m².
    load = mixing.container_load(15, 2.5, 0.04)
    assert load.area_m2 == pytest.approx(375)
    assert load.product == pytest.approx(937.5)
    assert float(mixing.concentration(2.5, 0.04)) == pytest.approx(62.5)
    assert float(mixing.concentration(5, 0.04)) == pytest.approx(125)


@pytest.mark.parametrize(
    ("dose", "water", "share", "answer"),
    [
        # 5 g/m² in 1 l/m² is 1.7 % of what dissolves at 0 °C.
        (5, 1, 0.017, "dissolves"),
        # 14.58 g/m² in 430 l/ha is 339 g/l: more than dissolves at 0 °C.
        (14.58, 0.043, 1.185, "will not dissolve"),
        (5, 0.023, 0.760, "near the limit"),
    ],
)
def test_what_dissolves_in_cold_water(dose, water, share, answer):
    strength = mixing.concentration(dose, water)
    cold = mixing.ceiling(0, TEMPERATURES, CEILINGS)
    assert float(strength / cold) == pytest.approx(share, abs=1e-3)
    assert str(mixing.dissolving(strength, cold, 0.7)) == answer


def test_the_table_is_read_on_the_cold_side():
    found = mixing.ceiling([-5, 0, 9.9, 10, 24, 80, np.nan], TEMPERATURES, CEILINGS)
    assert found.tolist() == [286, 286, 286, 366, 366, 940, 286]


@pytest.mark.parametrize("row", tables.solubility(), ids=lambda row: f"{row.water_c:g} °C")
def test_ceilings_are_the_printed_dry_salt_as_heptahydrate(row):
    # An encyclopedia's table prints the dry salt; molar masses 278.006 and 151.901 g/mol.
    assert row.ceiling_g_l == pytest.approx(row.printed_g_100ml * 10 * 278.006 / 151.901, rel=2e-3)


def test_no_water_is_no_mix():
    assert np.isinf(mixing.concentration(5, 0))
    assert str(mixing.dissolving(np.inf, 286, 0.7)) == "will not dissolve"
    assert str(mixing.dissolving(np.nan, 286, 0.7)) == "will not dissolve"
    with pytest.raises(ValueError, match="water"):
        mixing.container_load(10, 5, 0)
    with pytest.raises(ValueError, match="width"):
        mixing.pegged(16, 0)
