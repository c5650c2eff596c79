"""``lawnmap measure`` against Karney, through the command line."""

import json

import numpy as np
import pytest

from tests.cli.runner import SAMPLE, run
from tests.geometry.test_ellipsoid import LATITUDES, karney, random_lawn


def test_2000_lawns_through_the_command_line(tmp_path):
    # Reference: geographiclib (Karney 2013); its own round-off reaches 7.5e-5 m².
    rng = np.random.default_rng(52)
    truth, features = {}, []
    for number in range(2000):
        lon, lat = random_lawn(rng, LATITUDES[number % len(LATITUDES)], rng.uniform(50, 5000))
        lon = lon - lon.mean() + number * 0.17 - 179.5  # each apart, so that none is shared ground
        ring = np.column_stack([lon, lat]).tolist()
        truth[f"z{number}"] = karney(lon, lat)
        features.append(
            {
                "type": "Feature",
                "properties": {"zone_id": f"z{number}"},
                "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
            }
        )
    path = tmp_path / "lawns.geojson"
    path.write_text(
        json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8"
    )
    outcome = run("measure", path, "--json")
    assert outcome.code == 0, outcome.err
    found = {zone["zone_id"]: zone for zone in outcome.json["result"]}
    assert len(found) == 2000
    for zone_id, (area, perimeter) in truth.items():
        assert abs(found[zone_id]["plan_area_m2"] - area) <= 1e-4 + 1e-8 * area
        assert found[zone_id]["perimeter_m"] == pytest.approx(perimeter, rel=1e-9)


def test_facts_on_disk_keep_full_doubles(tmp_path):
    site = tmp_path / "garden"
    assert run("start", site).code == 0
    assert run("read", SAMPLE / "plan.geojson", "--into", site).code == 0
    given = json.loads((SAMPLE / "plan.geojson").read_text(encoding="utf-8"))["features"]
    kept = json.loads((site / "site.geojson").read_text(encoding="utf-8"))["features"]
    assert [each["geometry"] for each in kept] == [each["geometry"] for each in given]


def test_from_standard_input():
    data = (SAMPLE / "plan.geojson").read_bytes()
    outcome = run("measure", "-", "--json", stdin=data)
    assert outcome.code == 0
    names = {zone["zone_id"] for zone in outcome.json["result"]}
    assert {"front-west", "pond-side"} <= names


def test_the_json_has_the_contracted_fields():
    zone = run("measure", SAMPLE / "plan.geojson", "--json").json["result"][0]
    assert {"zone_id", "plan_area_m2", "ground_area_m2", "area_sigma_m2", "perimeter_m"} <= set(
        zone
    )
