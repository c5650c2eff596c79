"""Loads against the worked can."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.logistics.loads import loads, trips


def test_a_lawn_by_the_can():
    # Cornwall Cricket Groundsmen's can does 16 m²; 180 m² are 11 cans and a quarter, 4 m².
    full, last = loads(180, 16)
    assert float(full) == 11
    assert float(last) * 16 == pytest.approx(4)


def test_no_part_load_from_rounding():
    full, last = loads(0.3, 0.1)
    assert float(full) == 3
    assert float(last) == pytest.approx(0, abs=1e-12)


@given(st.floats(0, 1e5), st.floats(0.1, 1e4))
def test_loads_add_up(area, each):
    full, last = loads(area, each)
    assert 0 <= float(last) < 1
    assert float(full + last) * each == pytest.approx(area, rel=1e-6, abs=1e-6)


def test_trips_by_what_fills_up_first():
    # 36 m³ at 148 to 231 kg/m³: a 7 m³ vehicle is full of loose moss, one of 800 kg by weight.
    found = trips([36_000, 36_000], [5328, 8316], volume_l=7000, payload_kg=800)
    assert found.tolist() == [7, 11]
    with pytest.raises(ValueError, match="hold something"):
        trips(1, 1, volume_l=0, payload_kg=1)
