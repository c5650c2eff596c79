"""Nitrogen against extension examples."""

import pytest

from lawnmap.agronomy import feeding

POUND_1000 = 4.88243  # g/m² in one lb on 1000 ft²


def test_a_whole_lawn():
    # Univ. of Nebraska: 6,000 ft² takes 21.42 lb (exactly 21.43), 9.72 kg on 557.4 m².
    rate = feeding.feed_rate(POUND_1000, 28)
    assert float(rate) * 557.4 / 1000 == pytest.approx(9.72, abs=0.005)


def test_two_runs_under_a_cap():
    # Rutgers Snyder Farm: New Jersey's 0.9 lb in two passes is 0.45 lb, 2.197 g/m², each.
    cap = 0.9 * POUND_1000
    assert cap == pytest.approx(4.39, abs=0.005)
    assert float(feeding.still_wanted(9.8, 0, cap)) / 2 == pytest.approx(2.197, abs=5e-4)


def test_lawn_sand_counts():
    # Gale's 1 : 3 : 20 at 140 g/m² brings 3.71 g/m² of nitrogen.
    assert feeding.still_wanted(4.9, [0, 3.71, 6.36]).tolist() == pytest.approx([4.9, 1.19, 0])


@pytest.mark.parametrize("percent", [0, -1, 101])
def test_a_feed_without_nitrogen(percent):
    with pytest.raises(ValueError, match="nitrogen"):
        feeding.feed_rate(1, percent)
