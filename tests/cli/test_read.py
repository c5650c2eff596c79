"""``lawnmap start``, ``read``, ``assess``, ``place`` and ``check``, as a person types them."""

import json

import pytest

from tests.cli.runner import SAMPLE, run


@pytest.fixture
def garden(tmp_path):
    site = tmp_path / "garden"
    assert run("start", site, "--title", "Back garden", "--timezone", "Europe/London").code == 0
    return site


def document(site):
    return json.loads((site / "site.geojson").read_text(encoding="utf-8"))


def test_layers_are_listed_and_asked_for(garden):
    outcome = run("read", SAMPLE / "plan.gpkg", "--into", garden)
    assert outcome.code == 3
    assert "zones" in outcome.err
    assert "features" in outcome.err
    assert "--layer" in outcome.err
    assert document(garden)["features"] == []


def test_reading_a_layer_saves_a_revision(garden):
    outcome = run("read", SAMPLE / "plan.gpkg", "--layer", "zones", "--into", garden, "--json")
    assert outcome.code == 0
    assert outcome.json["result"]["saved"]
    assert document(garden)["lawnmap"]["revision"] == 2
    assert len(document(garden)["features"]) == 12


def test_a_dry_run_saves_nothing(garden):
    outcome = run("read", SAMPLE / "plan.geojson", "--into", garden, "--dry-run")
    assert outcome.code == 0
    assert "Nothing was saved" in outcome.out
    assert document(garden)["features"] == []


def test_without_into_it_prints_geojson_that_reads_back():
    outcome = run("read", SAMPLE / "plan.kml", "--layer", "Zones", "-q")
    assert outcome.code == 0
    again = run("measure", "-", "--json", stdin=outcome.out.encode())
    assert len(again.json["result"]) == 12


def test_a_plan_without_a_place_is_not_printed_as_if_it_had_one():
    outcome = run("read", SAMPLE / "plans" / "tape.csv")
    assert (outcome.code, outcome.out) == (3, "")
    assert "no place on the earth" in outcome.err
    assert "--into" in outcome.err


def test_a_refused_plan_leaves_the_site_as_it_was(garden, tmp_path):
    run("read", SAMPLE / "plan.geojson", "--into", garden)
    before = (garden / "site.geojson").read_bytes()
    bad = tmp_path / "bad.geojson"
    bad.write_text(
        '{"type":"Feature","properties":{"zone_id":"main","moss_rating":9},"geometry":'
        '{"type":"Polygon","coordinates":[[[0,51],[1e-3,51],[1e-3,51.001],[0,51]]]}}',
        encoding="utf-8",
    )
    outcome = run("read", bad, "--into", garden)
    assert outcome.code == 3
    assert "moss_rating is 9" in outcome.err
    assert (garden / "site.geojson").read_bytes() == before


def test_assess_from_options_and_from_a_sheet(garden, tmp_path):
    run("read", SAMPLE / "plan.gpx", "--layer", "*", "--as", "zone", "--into", garden)
    one = run(
        "assess", garden, "--zone", "orchard", "--set", "moss_rating=2", "--set", "thatch_mm=8"
    )
    assert one.code == 0
    sheet = tmp_path / "sheet.csv"
    sheet.write_text(
        "zone_id;moss_rating;drainage\nmain-lawn;4;slow\norchard;-;\n", encoding="utf-8"
    )
    assert run("assess", garden, "--sheet", sheet).code == 0
    facts = {
        each["properties"]["zone_id"]: each["properties"] for each in document(garden)["features"]
    }
    assert facts["main-lawn"]["moss_rating"] == 4
    assert facts["main-lawn"]["drainage"] == "slow"
    assert "moss_rating" not in facts["orchard"]
    assert facts["orchard"]["thatch_mm"] == 8
    wrong = run("assess", garden, "--zone", "nowhere", "--set", "moss_rating=2")
    assert wrong.code == 3
    assert "nowhere" in wrong.err


def test_a_local_plan_is_placed_later(garden, tmp_path):
    plan = tmp_path / "plan.csv"
    plan.write_text('name,wkt\nlawn,"POLYGON((0 0,40 0,40 25,0 25,0 0))"\n', encoding="utf-8")
    asked = run("read", plan, "--into", garden)
    assert asked.code == 3
    assert "--crs local" in asked.err
    assert run("read", plan, "--crs", "local", "--into", garden).code == 0
    before = run("measure", garden, "--json").json["result"][0]["plan_area_m2"]
    assert before == pytest.approx(1000, abs=1e-4)
    placed = run("place", garden, "--at", "0,0=1.9,53.4", "--at", "40,0=1.9006,53.4", "--json")
    assert placed.code == 0, placed.err
    told = placed.json
    assert any("no check" in text for text in told["warnings"])
    after = run("measure", garden, "--json").json["result"][0]["plan_area_m2"]
    assert after == pytest.approx(before * told["result"]["scale"] ** 2, rel=1e-6)
    assert document(garden)["lawnmap"]["placed"] is True
    assert run("place", garden, "--at", "0,0=1,1", "--at", "1,1=2,2").code == 3


def test_backups_can_be_listed_and_gone_back_to(garden):
    run("read", SAMPLE / "plan.geojson", "--into", garden)
    run("assess", garden, "--zone", "main", "--set", "moss_rating=1")
    listed = run("check", garden, "--backups", "--json").json["result"]
    assert [each["revision"] for each in listed] == [2, 1]
    (garden / "site.geojson").write_bytes(b"")
    damaged = run("measure", garden)
    assert damaged.code == 4
    assert "--restore" in damaged.err
    restored = run("check", garden, "--restore")
    assert restored.code == 0
    assert len(document(garden)["features"]) == 42


def test_about_and_plugins_tell_what_is_here():
    about = run("about", "--paths", "--json").json["result"]
    assert about["versions"]["GDAL"]
    assert about["limits"]["zones"] == 10_000
    assert "log of faults" in about["folders"]
    listed = run("plugins", "--json").json["result"]
    assert {"readers", "treatments", "exports", "commands"} == {each["group"] for each in listed}
    assert not [each for each in listed if "problem" in each]


PLANS = SAMPLE / "plans"
WRONG = {
    "another kind of feature": (("lawns.geojson", "--as", "lawn"), 2, "zone, tree"),
    "an unknown unit": (("outlines.csv", "--crs", "local", "--units", "furlong"), 2, "m, cm"),
    "a fit of nothing": (("lawns.geojson", "--fit", "affine"), 2, "leave --fit out"),
    "a preview of a list": (("lawns.geojson", "--layers", "--preview", "p.png"), 2, "only lists"),
    "a preview that is no PNG": (("lawns.geojson", "--preview", "p.gif"), 2, "such as preview.png"),
    "no such file": (("nowhere.geojson",), 3, "Check the path"),
    "a folder": ((".",), 3, "Give a file in it"),
    "no site": (("lawns.geojson", "--into", "nowhere"), 3, "lawnmap start"),
    "no such layer": (("garden.dxf", "--layer", "LAWNS"), 3, '"LAWN" (3'),
    "no such page": (("garden.pdf", "--layer", "page 9"), 3, "leave --layer out"),
    "a layer of nothing known": (("garden.dxf", "--layer", "LAWN=lawn"), 2, "It can be: zone"),
    "no layer": (("garden.dxf",), 3, "Choose with --layer (--layers lists them)"),
    "no such CRS": (("outlines.csv", "--crs", "nonsense"), 3, "EPSG:27700"),
    "needless control points": (
        ("lawns.geojson", "--control", "control.csv"),
        3,
        "Leave --control out",
    ),
    "a picture of nowhere": (("garden.png",), 3, "Give --control"),
    "no such sheet": (("garden.png", "--control", "no.csv"), 3, "Check the path"),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_is_typed_wrong_is_told_in_one_line_with_a_remedy(case, tmp_path):
    (name, *options), code, remedy = WRONG[case]
    paths = [str(PLANS / each) if (PLANS / each).is_file() else each for each in options]
    outcome = run("read", PLANS / name, *paths, "-q")
    assert outcome.code == code
    assert remedy in outcome.err
    assert "Traceback" not in outcome.err
    assert outcome.out == ""
    if "Usage:" not in outcome.err:
        assert len(outcome.err.splitlines()) == 1


def test_a_second_reading_says_what_would_change(garden, tmp_path):
    plan = tmp_path / "plan.csv"
    plan.write_text(
        'name,wkt\nlawn,"POLYGON((0 0,40 0,40 25,0 25,0 0))"\n'
        'strip,"POLYGON((50 0,53 0,53 25,50 25,50 0))"\n',
        encoding="utf-8",
    )
    run("read", plan, "--crs", "local", "--into", garden)
    plan.write_text('name,wkt\nmain,"POLYGON((0 0,41 0,41 25,0 25,0 0))"\n', encoding="utf-8")
    before = (garden / "site.geojson").read_bytes()
    dry = run("read", plan, "--crs", "local", "--into", garden, "--dry-run", "-q")
    lines = [line.split() for line in dry.out.splitlines()]
    assert ["updated", "zone", "lawn", "1,025.0", "1,000.0"] in lines
    assert ["kept", "zone", "strip", "75.0"] in lines
    assert "lawn: moved by up to 1.00 m; name lawn → main." in dry.out
    assert max(map(len, dry.out.splitlines())) <= 80
    assert (garden / "site.geojson").read_bytes() == before
    real = run("read", plan, "--crs", "local", "--into", garden, "--json").json["result"]
    assert real["changes"][0]["facts"] == {"name": ["lawn", "main"]}
    assert real["changes"][0]["moved_m"] == pytest.approx(1)
    assert [each["what"] for each in real["changes"]] == ["updated", "kept"]
