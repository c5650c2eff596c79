"""What is said of a zone in words."""

import pytest

from lawnmap.exports.wording.zone_text import sun


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"sun_hours_seen": 5.5, "sun_hours": 12.0}, "5.5 h a day"),
        ({"sun_hours_seen": None, "sun_hours": 9.876}, "9.9 h a day under a clear sky, worked out"),
        ({"sun_hours_seen": float("nan")}, ""),
        ({}, ""),
    ],
)
def test_the_sun_is_told_as_seen_else_as_worked_out(row, said):
    assert sun(row, "metric") == said
