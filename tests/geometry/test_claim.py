"""Client's figures whose cause is known from public questions, and figures that agree."""

import pytest

from lawnmap.geometry.claim import cause


@pytest.mark.parametrize(
    ("claimed", "ours", "latitude", "words"),
    [
        # GIS Stack Exchange 31681: a traced 1 km square is 2.7 km² on a web map (52.5° N).
        (2_700_000, 1_000_000, 52.5, "web map"),
        # GIS Stack Exchange 286562: 1,049 m² against 666 m² in the register (37° N).
        (1049, 666, 37.2, "web map"),
        # GIS Stack Exchange 294908: 61 km² for a town of 28 km² (47.4° N).
        (61.1e6, 28e6, 47.4, "web map"),
        (1076.39, 100, 51, "square feet"),  # exact definition of the foot
        (119.6, 100, 20, "square yards"),
        (0.0405, 405, 51, "hectares"),
        (200, 100, 20, "paper size"),
        (137, 100, 51, "not plain"),
        (0, 100, 51, "not an area"),
    ],
)
def test_cause(claimed, ours, latitude, words):
    assert words in cause(claimed, ours, ours, latitude)


def test_agreement_is_silent():
    assert cause(1003, 1000, 1000, 51) == ""


def test_obstacles_kept_and_slope():
    assert "taken out" in cause(120, 100, 120, 51)
    assert "slope" in cause(103.1, 100, 100, 51, ground_area_m2=103.08)
