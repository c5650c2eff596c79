"""Dressing against suppliers' and USGA figures."""

import pytest

from lawnmap.agronomy import top_dressing


def test_a_quarter_inch_in_metres():
    assert float(top_dressing.volume_m3(92.9, 6.35)) == pytest.approx(0.590, abs=5e-4)


def test_weight():
    # 300 m² at 3 mm is 0.900 m³, 1.44 t at 1.60 t/m³, 1.58 t with 10 % more.
    volume = top_dressing.volume_m3(300, 3)
    assert float(volume) == pytest.approx(0.9)
    assert float(top_dressing.mass_t(volume, 1600)) == pytest.approx(1.44)
    assert float(top_dressing.mass_t(volume * 1.1, 1600)) == pytest.approx(1.58, abs=0.005)


def test_light_dressing():
    # USGA (J. Daniels, 2018): dry sand weighs 100 lb/ft³, 1,602 kg/m³; 100 lb on 1000 ft² is
    # 0.488 kg/m², 0.305 mm deep.
    assert float(
        top_dressing.mass_t(top_dressing.volume_m3(1, 0.305), 1602)
    ) * 1000 == pytest.approx(0.488, abs=1e-3)


def test_barrows():
    assert float(top_dressing.barrows(0.9, 80)) == 12
    with pytest.raises(ValueError, match="barrow"):
        top_dressing.barrows(1, 0)
