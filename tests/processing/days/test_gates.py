"""Go or no-go."""

import pytest

from lawnmap.processing.days.gates import gates
from lawnmap.processing.days.waits import ROLE
from lawnmap.reference import tables


def test_spray_and_lawn_sand_have_gates_of_their_own():
    """Practice.md change 7 and 13: the leaf dry for a spray, the turf damp for lawn sand."""
    spray, sand = " ".join(gates("iron_soluble")), " ".join(gates("lawn_sand"))
    assert "Leaf dry" in spray
    assert "Turf damp" in sand
    assert "not waterlogged" in spray
    assert "not frozen" in sand


def test_wind_is_as_published():
    # Department of Health, Victoria, "Beaufort wind scale for pesticide spraying": force 2 ideal
    # (6 to 11 km/h), force 4 do not apply.
    wind = gates("iron_liquid")[0]
    assert "force 2, 6 to 11 km/h" in wind
    assert "From force 4" in wind
    assert tables.value("wind_best_force").number == 2
    assert tables.value("wind_stop_force").number == 4


def test_the_form_decides_for_iron_of_others():
    assert gates("brushing", "granule") == gates("lawn_sand")
    assert gates("brushing", "liquid") == gates("iron_liquid")
    assert gates("brushing") == ()
    assert gates("scarifying", "liquid") == gates("raking")


@pytest.mark.parametrize(
    "operation", [each for each in ROLE if each not in ("clearing", "watering")]
)
def test_every_operation_on_the_ground_has_gates(operation):
    assert len(gates(operation)) >= 1


def test_every_gate_is_reached():
    said = {each for operation in ROLE for each in gates(operation)}
    assert {each.sentence for each in tables.gates()} == said
