"""The step measure, against areas worked by hand."""

import pytest

from lawnmap.jobs.features import take
from lawnmap.jobs.reading import Reading
from lawnmap.model import Site
from lawnmap.processing.measure import largest_span_km, measure
from tests.processing.sites import EMPTY, box, found, lonlat

SIGMAS = {"tape": 0.05, "gps": 3.0}


def measured(*features):
    site = take(EMPTY, found(*features), Reading()).site
    return measure(site.zones, site.features, SIGMAS)


def test_obstacles_come_off_and_slope_adds():
    result = measured(
        (box(0, 0, 20, 50), {"zone_id": "a", "slope_seen_deg": 20, "outline_source": "tape"}),
        (box(5, 5, 9, 9), {"feature": "bed"}),
        ({"type": "Point", "coordinates": lonlat((12, 30))[0]}, {"feature": "tree", "stem_m": 1.0}),
        ({"type": "Point", "coordinates": lonlat((15, 40))[0]}, {"feature": "tree"}),
        (box(0, 48, 40, 60), {"feature": "paving"}),
    )
    zone = result.zones.loc["a"]
    taken = 16 + 3.14159 / 4 + 40
    assert zone["outline_area_m2"] == pytest.approx(1000, abs=0.01)
    assert zone["obstacle_area_m2"] == pytest.approx(taken, abs=0.01)
    assert zone["plan_area_m2"] == pytest.approx(1000 - taken, abs=0.01)
    assert zone["ground_area_m2"] == pytest.approx((1000 - taken) * 1.06418, abs=0.02)
    assert zone["perimeter_m"] == pytest.approx(140, abs=0.001)
    assert zone["area_sigma_m2"] == pytest.approx(2.693 * 1.06418, abs=0.01)


def test_a_walked_outline_is_as_unsure_as_its_walk():
    walk = measured((box(0, 0, 20, 50), {"zone_id": "a", "outline_source": "gps"}))
    properties = {"feature": "zone", "zone_id": "a", "outline_source": "gps"}  # no sigma of its own
    feature = {"type": "Feature", "geometry": box(0, 0, 20, 50), "properties": properties}
    site = Site({**EMPTY.document, "features": [feature]})
    assert site.zones["outline_sigma_m"].isna().all()
    result = measure(site.zones, site.features, {"tape": 0.05, "gps": 5.0})
    expected = walk.zones.loc["a", "area_sigma_m2"]
    assert walk.zones.loc["a", "outline_sigma_m"] != pytest.approx(5.0, rel=0.05)
    assert result.zones.loc["a", "area_sigma_m2"] == pytest.approx(expected, rel=1e-3)


def test_shared_ground_is_told_and_counted_once():
    result = measured((box(0, 0, 20, 10), {"zone_id": "a"}), (box(18, 0, 40, 10), {"zone_id": "b"}))
    ((one, other, area),) = result.shared
    assert (one, other) == ("a", "b")
    assert area == pytest.approx(20, abs=0.01)
    assert result.zones["plan_area_m2"].tolist() == pytest.approx([200, 200], abs=0.01)
    assert result.zones["shared_area_m2"].tolist() == pytest.approx([0, 20], abs=0.01)


def test_two_hemispheres_are_each_measured_where_they_lie():
    south = {
        "type": "Polygon",
        "coordinates": [[[151.2, -33.9], [151.2002, -33.9], [151.2002, -33.8998], [151.2, -33.9]]],
    }
    result = measured((box(0, 0, 20, 50), {"zone_id": "north"}), (south, {"zone_id": "south"}))
    assert result.zones.loc["north", "plan_area_m2"] == pytest.approx(1000, abs=0.01)
    assert largest_span_km(result.zones) > 10_000


def test_an_empty_site():
    result = measure(EMPTY.zones, EMPTY.features, SIGMAS)
    assert len(result.zones) == 0
    assert result.shared == []
