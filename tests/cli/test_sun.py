"""``lawnmap sun`` as a person types it."""

import csv
import io
import math

import pytest
from shapely import box

from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder
from tests.cli.runner import run
from tests.processing.sun.garden import building, feature, site, zone


@pytest.fixture(scope="module")
def garden(tmp_path_factory):
    folder = Folder(tmp_path_factory.mktemp("sun") / "garden")
    shed = feature(box(40, 0, 44, 3), feature="building", name="Shed")
    lawn = zone(box(0, 0, 20, 24), "lawn", name="Lawn", sun_hours_seen=12)
    site_store.create(folder, site(lawn, building(box(-40, -9, 60, -0.1), 9), shed))
    return folder.path


def test_it_tells_place_days_and_what_is_left_out(garden):
    outcome = run("sun", garden, "--today", "2026-11-26", "--step", "1")
    assert outcome.code == 0, outcome.err
    head, names, lawn, how = outcome.out.splitlines()
    assert head.endswith("mean of the growing season, 2026-04-01 to 2026-09-30, at 53.8° N")
    assert names.split()[:3] == ["zone", "name", "sun"]
    assert lawn.startswith("lawn  Lawn")
    assert "open ground has 15.1 h" in how
    assert "building Shed (no height)" in outcome.err


def test_as_json_with_a_proposal(garden):
    outcome = run(
        "sun", garden, "--from", "2026-03-20", "--step", "1", "--suggest", "--under", "6", "--json",
        "-q",
    )  # fmt: skip
    result = outcome.json["result"]
    assert (result["from"], result["to"], result["season"]) == ("2026-03-20", "2026-03-20", False)
    assert result["open_ground_h"] == pytest.approx(12.12, abs=0.03)
    (zone_,) = result["zones"]
    assert zone_["sun_low_h"] < zone_["sun_hours"] < zone_["sun_high_h"]
    (part,) = result["shade"]["cut"]
    assert part["shade"]["area_m2"] + part["rest"]["area_m2"] == pytest.approx(480, abs=0.5)
    assert (part["made"], result["shade"]["revision"]) == ([], None)


def test_points_go_to_standard_output_and_nothing_else_does(garden):
    outcome = run("sun", garden, "--from", "2026-03-20", "--step", "1", "-o", "-")
    rows = list(csv.DictReader(io.StringIO(outcome.out)))
    assert len(rows) == pytest.approx(480, abs=45)
    assert {row["zone_id"] for row in rows} == {"lawn"}
    assert all(0 <= float(row["sun_hours"]) <= 12.2 for row in rows)


def test_points_may_lie_in_another_crs(garden):
    words = ("sun", garden, "--from", "2026-03-20", "--step", "2", "-o", "-")
    plain = list(csv.DictReader(io.StringIO(run(*words).out)))
    moved = list(csv.DictReader(io.StringIO(run(*words, "--crs", "EPSG:3857").out)))
    assert list(moved[0]) == ["zone_id", "x", "y", "sun_hours"]
    radius = 6378137.0  # of the sphere of that projection, whose x is the longitude on it
    for one, other in zip(plain, moved, strict=True):
        assert float(other["x"]) == pytest.approx(
            radius * math.radians(float(one["lon"])), abs=0.002
        )
        assert one["sun_hours"] == other["sun_hours"]
    refused = run(*words, "--crs", "EPSG:0")
    assert refused.code == 3
    assert refused.out == ""


def test_split_saves_and_says_what_is_made(garden, tmp_path):
    copy = Folder(tmp_path / "copy")
    site_store.create(copy, site_store.load(Folder(garden)))
    words = ("--from", "2026-03-20", "--step", "1", "--under", "6")
    shown = run("sun", copy.path, *words)
    assert "Do it with --split" in shown.out
    outcome = run("sun", copy.path, *words, "--split")
    assert "now lawn-shade and lawn-sun" in outcome.out
    assert "Saved as revision 2." in outcome.out
    assert list(site_store.load(copy).zones.index) == ["lawn-shade", "lawn-sun"]


def test_refusals_are_told_in_plain_words(garden):
    assert run("sun", garden, "--to", "2026-03-20").code == 2
    fine = run("sun", garden, "--step", "0.05")
    assert fine.code == 2
    assert "Traceback" not in fine.err
