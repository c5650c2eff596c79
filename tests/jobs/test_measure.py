"""Areas of a site, and outlines that have none."""

from __future__ import annotations

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.measure import measure
from lawnmap.model import Site

SQUARE = [[0, 0], [0.0002, 0], [0.0002, 0.0002], [0, 0.0002], [0, 0]]
BOW_TIE = [[0.0003, 0], [0.0005, 0.0002], [0.0005, 0], [0.0003, 0.0002], [0.0003, 0]]


def site(*rings: list[list[float]], feature: str = "zone") -> Site:
    features = [
        {
            "type": "Feature",
            "properties": {
                "feature": "zone" if number == 0 else feature,
                "zone_id": f"z{number}",
                "name": f"Lawn {number}",
            },
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        }
        for number, ring in enumerate(rings)
    ]
    header = {"format": 1, "title": "Invented", "revision": 1, "timezone": "UTC"}
    return Site({"type": "FeatureCollection", "lawnmap": header, "features": features})


@pytest.mark.parametrize("feature", ["zone", "water"])
def test_an_outline_that_crosses_itself_has_no_area(feature):
    with pytest.raises(InputRefused) as caught:
        measure(site(SQUARE, BOW_TIE, feature=feature))
    assert caught.value.place == f"{feature} Lawn 1"
    assert "0.0004 0.0001" in caught.value.problem  # where the two edges cross
    assert len(measure(site(SQUARE)).zones) == 1


@pytest.mark.parametrize("feature", ["zone", "bed"])
def test_an_outline_round_the_earth_has_no_area(feature):
    """A site file written by hand may hold what no reader lets in."""
    earth = [[-180, -80], [180, -80], [180, 80], [-180, 80], [-180, -80]]
    with pytest.raises(InputRefused, match="180° meridian") as caught:
        measure(site(SQUARE, earth, feature=feature))
    assert caught.value.place == f"{feature} Lawn 1"
