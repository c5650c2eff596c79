"""``lawnmap place`` as a person types it."""

import json
from pathlib import Path

import pytest

from lawnmap.jobs.start import start
from lawnmap.store import site as site_store
from lawnmap.store.folder import find
from tests.cli.runner import run

PLANS = Path(__file__).parents[2] / "sample_geo" / "plans"


@pytest.fixture
def site(tmp_path):
    folder = tmp_path / "garden"
    start(folder, title="Garden")
    made = site_store.load(find(folder))
    ring = [[0, 0], [3e-4, 0], [3e-4, 2e-4], [0, 2e-4], [0, 0]]
    zone = {
        "type": "Feature",
        "properties": {"feature": "zone", "zone_id": "lawn", "name": "Lawn"},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    unplaced = made.with_features([zone]).with_header(
        placed=False, anchor=[0.0, 0.0], origin=[0.0, 0.0]
    )
    site_store.save(find(folder), unplaced)
    return folder


def test_a_sheet_places_a_site(site):
    outcome = run("place", site, "--sheet", PLANS / "control.csv")
    assert outcome.code == 0, outcome.err
    assert "No point stands out" in outcome.out
    assert "m² before" in outcome.out
    assert "Saved as revision 3." in outcome.out
    assert json.loads((site / "site.geojson").read_text(encoding="utf-8"))["lawnmap"]["placed"]


def test_east_and_north_take_a_crs(site):
    points = ("--at", "0,0=430000,433000", "--at", "40,0=430040,433000")
    outcome = run("place", site, *points, "--crs", "EPSG:27700", "--dry-run", "--json")
    assert outcome.code == 0, outcome.err
    assert outcome.json["result"]["saved"] is False
    assert outcome.json["result"]["scale"] == pytest.approx(1, abs=1e-3)
    assert any("no check" in text for text in outcome.json["warnings"])


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        ((), 2, "either --sheet or two or more --at"),
        (("--at", "0,0=1,1"), 3, "at least two control points are needed (point 1)"),
        (("--at", "0,0=1.9,53.4", "--at", "9,0=53.4,1.9"), 3, "km from the others"),
        (("--sheet", PLANS / "garden.png"), 3, "not a table"),
    ],
)
def test_what_is_wrong_is_told(site, options, code, words):
    before = (site / "site.geojson").read_bytes()
    outcome = run("place", site, *options)
    assert outcome.code == code
    assert words in outcome.err
    assert (site / "site.geojson").read_bytes() == before
