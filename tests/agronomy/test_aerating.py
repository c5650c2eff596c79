"""Holes and cores by geometry."""

import pytest

from lawnmap.agronomy import aerating


def test_cores():
    # Cylinders: 100 holes of 12 mm to 75 mm are 100 × π/4 × 1.2² × 7.5 cm³ = 0.848 l.
    holes = aerating.holes_per_m2(100, 100)
    assert holes == 100
    assert aerating.cores_l_m2(holes, 12, 75) == pytest.approx(0.848, abs=5e-4)
    with pytest.raises(ValueError, match="spacing"):
        aerating.holes_per_m2(0, 50)
