"""Every step in the GIS gives what the command line gives for the same file, to the last digit."""

import json
import re
import shutil

import pytest

from tests.cli.runner import run
from tests.desktop.gis.conftest import TODAY, differing

pytestmark = pytest.mark.gis
NEW = "TEMPORARY_OUTPUT"
BOTH = {"ZONES": "@zones", "FEATURES": ["@features"]}
DAY = ("--today", TODAY)


@pytest.fixture(scope="module")
def given(choices):
    """Return the inputs of a step that plans."""
    return {**BOTH, "SITE": str(choices), "DEPOT": str(choices), "TODAY": TODAY}


@pytest.fixture(scope="module")
def theirs(gis):
    """Return the layer of zones as it is."""
    return gis.shown("zones")


@pytest.fixture(scope="module")
def planned(lawnmap):
    """Return the plan of the command line."""
    return lawnmap("plan", *DAY)


@pytest.fixture(scope="module")
def exported(gis, site, room):
    """Return the function that shows a layer of what the command line exports, in that CRS."""
    path = room / "exported.gpkg"
    done = run("export", site, "--to", "gpkg", "--crs", "EPSG:27700", "-o", path, *DAY)
    assert done.code == 0, done.err

    def shown(name):
        gis.layer(f"exported {name}", f"{path}|layername={name}")
        return gis.shown(f"exported {name}")

    return shown


def kept(found, theirs):
    """Check that the rows, shapes and fields of the layer are in a result as they were."""
    assert found["shapes"] == theirs["shapes"]
    assert (found["crs"], found["kind"]) == (theirs["crs"], theirs["kind"])
    names = theirs["fields"]
    assert found["fields"][: len(names)] == names
    assert [{n: row[n] or None for n in names} for row in found["rows"]] == [
        {name: row[name] or None for name in names} for row in theirs["rows"]
    ]


def alike(found, told):
    """Check that a layer of lawnmap's came through whole: shapes, and every cell."""
    assert found["shapes"] == told["shapes"]
    assert len(found["rows"]) == len(told["rows"]) > 0
    for ours, row in zip(found["rows"], told["rows"], strict=True):
        assert {name: value for name, value in row.items() if name != "fid"} == {
            name: value for name, value in ours.items() if name != "fid"
        }


def test_every_step_is_there_under_its_own_name_and_icon(gis):
    told = gis.steps()
    assert set(told["steps"]) == {
        f"lawnmap:{name}"
        for name in (
            "measure", "assess", "sun", "plan", "strips", "pass_lines", "loads", "export_map",
        )
    }  # fmt: skip
    titles = [each["title"] for each in told["steps"].values()]
    assert len(set(titles)) == len(titles)
    assert all(each["icon"] for each in told["steps"].values())
    assert not told["icon"]
    for name, each in told["steps"].items():
        safety = "Quantities are for planning." in each["help"]
        assert safety == (name.partition(":")[2] not in {"measure", "assess", "sun"}), name


def test_measure(gis, lawnmap, theirs):
    found = gis.step("measure", **BOTH, RESULT=NEW)["RESULT"]
    assert differing(found, lawnmap("measure")) == {}
    kept(found, theirs)


def test_assess(gis, planned, theirs, given):
    found = gis.step("assess", **given, RESULT=NEW)["RESULT"]
    ours = set(found["fields"]) - set(theirs["fields"])
    assert {"moss_low_pct", "moss_class", "thatch_class", "verdict", "causes"} <= ours
    told = [
        {name: value for name, value in row.items() if name in ours or name == "zone_id"}
        for row in planned["zones"]
    ]
    assert differing(found, told) == {}
    assert all(len(row) > 10 for row in told)
    kept(found, theirs)


def test_sun(gis, theirs, given, site, room):
    days = {"FIRST": "2026-05-01", "LAST": "2026-05-03", "DISTANCE": 2.0}
    found = gis.step("sun", **given, **days, RESULT=NEW, POINTS=NEW)
    options = ("--from", "2026-05-01", "--to", "2026-05-03", "--step", "2")
    # On a copy: hours that are kept in a site are used by its plans.
    path = room / "points.csv"
    copy = shutil.copytree(site, room / "sunny")
    crs = ("--crs", "EPSG:27700")
    told = run("sun", copy, *options, *DAY, *crs, "-o", path, "--json").json["result"]
    names = {"zone_id", "sun_hours", "sun_low_h", "sun_high_h"}
    rows = [{name: row[name] for name in names & row.keys()} for row in told["zones"]]
    assert differing(found["RESULT"], rows) == {}
    kept(found["RESULT"], theirs)
    head, *lines = path.read_text(encoding="utf-8-sig").splitlines()
    place = {name: head.split(",").index(name) for name in ("zone_id", "sun_hours")}
    cells = [line.split(",") for line in lines]
    points = found["POINTS"]
    assert len(points["rows"]) == len(cells) > 100
    assert [[row["zone_id"], row["sun_hours"]] for row in points["rows"]] == [
        [row[place["zone_id"]], float(row[place["sun_hours"]])] for row in cells
    ]
    assert points["crs"] == "EPSG:27700"


def test_plan(gis, planned, theirs, given):
    results = dict.fromkeys(("RESULT", "STEPS", "TOTALS", "LOADS"), NEW)
    found = gis.step("plan", **given, **results)
    assert found["STEPS"]["rows"] == planned["steps"]
    assert found["TOTALS"]["rows"] == planned["totals"]
    assert found["LOADS"]["rows"] == planned["loads"]
    assert len(planned["steps"]) > 50
    fields = set(found["RESULT"]["fields"])
    ours = [{name: row[name] for name in row if name in fields} for row in planned["zones"]]
    assert differing(found["RESULT"], ours, set(theirs["fields"]) - {"zone_id"}) == {}
    # What is not in the layer is facts that nobody gave, and what a phone's fixes are off by, which
    # lawnmap adds when it reads them.
    missing = {n for row in planned["zones"] for n, v in row.items() if n not in fields and v}
    assert missing <= {"outline_sigma_m"}
    kept(found["RESULT"], theirs)


def test_strips(gis, exported, given):
    found = gis.step("strips", **given, KEPT_CLEAR=NEW, TREATABLE=NEW)
    alike(found["KEPT_CLEAR"], exported("kept_clear"))
    alike(found["TREATABLE"], exported("treatable"))
    assert found["KEPT_CLEAR"]["crs"] == found["TREATABLE"]["crs"] == "EPSG:27700"


def test_pass_lines(gis, exported, given):
    found = gis.step("pass_lines", **given, LINES=NEW, PASSES=NEW)
    alike(found["LINES"], exported("bouts"))
    alike(found["PASSES"], exported("passes"))
    assert found["LINES"]["crs"] == "EPSG:27700"
    assert found["PASSES"]["shapes"] == [None] * len(found["PASSES"]["rows"])


def test_loads(gis, exported, given):
    found = gis.step("loads", **given, AREAS=NEW, REFILLS=NEW, LOADS=NEW)
    alike(found["AREAS"], exported("load_areas"))
    alike(found["LOADS"], exported("loads"))
    alike(found["REFILLS"], exported("refills"))
    assert found["AREAS"]["crs"] == found["REFILLS"]["crs"] == "EPSG:27700"


def data_of(page):
    """Return the data of a map."""
    (text,) = re.findall(r'<script type="application/json"[^>]*>(.*?)</script>', page, re.DOTALL)
    return json.loads(text)


def test_export_map(gis, given, site, room):
    path, other = room / "Karte ü.html", room / "other.html"
    found = gis.step("export_map", **given, HTML=str(path))
    assert found["HTML"] == str(path)
    assert run("export", site, "--to", "map", "-o", other, *DAY).code == 0
    assert path.read_bytes() == other.read_bytes()
    assert len(data_of(path.read_text(encoding="utf-8"))) > 3


def test_a_site_folder_alone(gis, lawnmap, site, planned):
    """Without layers a step runs on the site as it is, and leaves it so."""
    before = {path: path.read_bytes() for path in site.rglob("*") if path.is_file()}
    found = gis.step("measure", SITE=str(site), RESULT=NEW)["RESULT"]
    assert differing(found, lawnmap("measure")) == {}
    assert found["crs"] == "EPSG:4326"
    results = dict.fromkeys(("RESULT", "STEPS", "TOTALS", "LOADS"), NEW)
    found = gis.step("plan", SITE=str(site), TODAY=TODAY, **results)
    assert found["STEPS"]["rows"] == planned["steps"]
    after = {path: path.read_bytes() for path in site.rglob("*") if path.is_file()}
    assert {path for path in after if ".lawnmap" not in path.parts} == {
        path for path in before if ".lawnmap" not in path.parts
    }
    assert all(after[path] == before[path] for path in before)
