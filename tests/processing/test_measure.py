"""The step measure, against areas worked by hand."""

import numpy as np
import pandas as pd
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


def test_many_sites_at_once_are_as_each_alone():
    # The same garden twice on one spot, as two sites, and a third beside them.
    garden = (
        (box(0, 0, 20, 50), {"zone_id": "a", "outline_source": "tape", "slope_seen_deg": 5}),
        (box(18, 0, 40, 10), {"zone_id": "b", "outline_source": "gps", "outline_sigma_m": 2.0}),
        (box(5, 5, 9, 9), {"feature": "bed"}),
        ({"type": "Point", "coordinates": lonlat((12, 30))[0]}, {"feature": "tree", "stem_m": 1.0}),
    )
    other = ((box(1, 1, 7, 7), {"zone_id": "c"}), (box(2, 2, 3, 3), {"feature": "paving"}))
    sites = [take(EMPTY, found(*each), Reading()).site for each in (garden, garden, other)]
    alone = [measure(site.zones, site.features, SIGMAS) for site in sites]
    zones = pd.concat([site.zones for site in sites], ignore_index=True)
    features = pd.concat([site.features for site in sites], ignore_index=True)
    codes = [np.repeat([4, 9, 2], [len(t) for t in tables]) for tables in (
        [site.zones for site in sites], [site.features for site in sites]
    )]  # fmt: skip
    result = measure(zones, features, SIGMAS, sites=codes[0], features_sites=codes[1])
    expected = pd.concat([each.zones for each in alone], ignore_index=True)
    pd.testing.assert_frame_equal(result.zones, expected, rtol=1e-12)
    assert result.shared == [(0, 1, alone[0].shared[0][2]), (2, 3, alone[1].shared[0][2])]
