"""1 mm on 1 m² is 1 l."""

import pytest

from lawnmap.agronomy import watering


def test_a_day():
    litres = watering.litres_a_day([180, 900], 5)
    assert litres.tolist() == [900, 4500]
    assert watering.tap_minutes(litres, 15).tolist() == [60, 300]
    with pytest.raises(ValueError, match="tap"):
        watering.tap_minutes(litres, 0)
