"""Generic machines stand in for a depot without any."""

from lawnmap.model import Machine
from lawnmap.processing.machines import generic, named


def test_generic_machines_carry_no_rate_of_their_own():
    found = generic()
    assert {"scarifying rake", "petrol scarifier", "watering can, 10 l"} <= set(found)
    assert all(each.area_m2_h is None and each.field_efficiency is None for each in found.values())
    assert found["watering can, 10 l"].tank_l == 10


def test_ones_own_comes_first(lawn):
    mine = Machine("petrol scarifier", "petrol", width_m=0.5)
    assert named("petrol scarifier", lawn.choices(own=[mine])).width_m == 0.5
    assert named("petrol scarifier", lawn.choices()).width_m == 0.38
    assert named("no such", lawn.choices()) is None
