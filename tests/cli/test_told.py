"""Numbers as a terminal shows them."""

import pytest

from lawnmap.cli import told


@pytest.mark.parametrize(
    ("low", "high", "shown"),
    [
        (1.2, 2.9, "1.2–2.9"),
        (0.11, 0.14, "0.1"),  # no range that reads as none
        (2.0, 2.0, "2.0"),
        (float("nan"), 1250.0, "1,250.0"),
        (1.0, float("nan"), ""),
    ],
)
def test_a_range_is_shown_where_both_ends_read_unlike(low, high, shown):
    assert told.between(low, high) == shown
