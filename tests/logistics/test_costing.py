"""Cost and price, by hand."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.logistics.costing import binned, carried, days, exact, hire, priced

pct = st.floats(0, 100).map(lambda each: round(each, 2))
money = st.floats(0, 1e6)


def test_days_of_hire():
    # practice.md, change 18: 6,000 m² × 2 passes ÷ 798 m²/h = 15.04 h: three days of 7 h.
    assert days(6000 * 2 / 798, 7) == 3
    # 0.1 + 0.2 h is 0.30000000000000004 h in a computer, and one day of 0.3 h.
    assert days(0.1 + 0.2, 0.3) == 1
    assert days(3, 7, least=2) == 2
    # 3 days × 60 + 25 for bringing it.
    assert hire(3, 60, delivery=25) == 205
    assert hire(0, 60, delivery=25) == 0
    with pytest.raises(ValueError, match="hours"):
        days(1, 0)


def test_loads_by_volume_and_by_payload():
    """practice.md, change 19: 900 m² give 5.4 m³, which weigh 0.8 to 1.2 t at 148 to 231 kg/m³."""
    light, heavy = 5.4 * 148, 5.4 * 231
    assert (light, heavy) == (pytest.approx(799.2), pytest.approx(1247.4))
    # 5400 / 3000 = 1.8 loads by volume. By weight 799.2 / 500 = 1.6; 1247.4 / 500 = 2.5.
    assert carried(5400, light, volume_l=3000, payload_kg=500) == (2, "volume")
    assert carried(5400, heavy, volume_l=3000, payload_kg=500) == (3, "weight")
    assert carried(5400, heavy, volume_l=3000, payload_kg=None) == (2, "volume")
    assert carried(5400, heavy, volume_l=None, payload_kg=500) == (3, "weight")
    assert carried(0, 0, volume_l=3000, payload_kg=500) == (0, "volume")
    with pytest.raises(ValueError, match="not known"):
        carried(1, 1, volume_l=None, payload_kg=None)


def test_an_estate_fills_skips():
    # 6,000 m² give 36 m³, 5.3 to 8.3 t (practice.md, change 19). A skip of 6 m³ and 5 t: six.
    assert carried(36_000, 36 * 231, volume_l=6000, payload_kg=5000) == (6, "volume")
    # Cores of soil (1,305 kg/m³) fill it by weight: 8 m³ weigh 10.4 t, three skips and not two.
    assert carried(8000, 8 * 1305, volume_l=6000, payload_kg=5000) == (3, "weight")


def test_bins_of_a_home_lawn():
    """practice.md, change 19: 180 m² = 1,080 l = 4.5 wheeled bins, two months of fortnights."""
    assert binned(1080, 240, weeks=2) == (5, 10)
    assert binned(1080, 240, bins=2, weeks=2) == (5, 6)
    assert binned(0, 240) == (0, 0)
    with pytest.raises(ValueError, match="bin"):
        binned(1, 240, weeks=0)


def test_a_price_by_hand():
    # 412.50 × 1.15 = 474.375; 38 × 1.15 = 43.70; 61.20 × 1.15 = 70.38. Sum 588.46.
    # 20 % of it is 117.692; together 706.15.
    found = priced([412.50, 38.0, 61.20], mark_up_pct=15, tax_pct=20)
    assert [str(each) for each in found.lines] == ["474.38", "43.70", "70.38"]
    assert [str(each) for each in found[1:]] == ["0.00", "588.46", "117.69", "706.15"]


def test_the_least_charge_is_a_line_of_its_own():
    # 20 + 10 = 30; 50 are asked at least, so 20 are added; 7.7 % of 50 is 3.85.
    found = priced([20, 10], least_charge=50, tax_pct=7.7)
    assert (found.made_up, found.net, found.tax, found.total) == tuple(
        Decimal(each) for each in ("20.00", "50.00", "3.85", "53.85")
    )
    assert priced([60], least_charge=50).made_up == 0


def test_a_half_goes_up_as_on_paper():
    # 2.675 is 2.67499… in a computer; on paper it is 2.68. 0.5 yen is one yen.
    assert priced([2.675]).total == Decimal("2.68")
    assert priced([0.5], decimals=0).total == 1


@given(st.lists(money, max_size=8), pct, money, pct, st.integers(0, 3))
def test_lines_add_up_exactly(costs, mark_up, least, tax, decimals):
    found = priced(costs, mark_up_pct=mark_up, least_charge=least, tax_pct=tax, decimals=decimals)
    assert sum(found.lines) + found.made_up == found.net
    assert found.net + found.tax == found.total
    place = Decimal(1).scaleb(-decimals)
    assert all(each == each.quantize(place) for each in (*found.lines, *found[1:]))
    assert found.net >= exact(least).quantize(place) - place
    # No line is off by more than half of the smallest coin.
    for line, cost in zip(found.lines, costs, strict=True):
        assert abs(line - exact(cost) * (100 + exact(mark_up)) / 100) <= place / 2
    assert abs(found.tax - found.net * exact(tax) / 100) <= place / 2


@given(st.floats(0, 1e6), st.floats(0, 1e6), st.floats(1, 1e5), st.floats(1, 1e5))
def test_no_load_is_over_full(litres, kilograms, volume, payload):
    number, full_by = carried(litres, kilograms, volume_l=volume, payload_kg=payload)
    assert number * volume >= litres - 1e-3
    assert number * payload >= kilograms - 1e-3
    shares = {"volume": litres / volume, "weight": kilograms / payload}
    assert number - 1 < shares[full_by] + 1e-6
    assert shares[full_by] == max(shares.values())


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_figures_no_price_is_made_of(bad):
    with pytest.raises(ValueError, match="finite"):
        priced([bad])
    with pytest.raises(ValueError, match="finite"):
        priced([1], tax_pct=bad)
