"""A plan read a second time: what moved is updated, what is gone is kept, the rest stays."""

import json
import sys
from pathlib import Path

import pytest

from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start

PLANS = Path(__file__).parents[2] / "sample_geo" / "plans"
sys.path.insert(0, str(PLANS.parent))
import garden  # noqa: E402

DRAWING = Reading(
    layers=("LAWN=zone", "BED=bed", "BUILDING=building", "PATH=paving", "POND=water", "TREE=tree")
)
KINDS = {
    "drawing": ("garden.dxf", DRAWING),
    "map data": ("garden.fgb", Reading()),
    "open map data": ("garden.osm", Reading(layers=("*",))),
    "tape": ("tape.csv", Reading()),
    "walk": ("walk.gpx", Reading(layers=("*",), kind="zone")),
    "walk, GPX 1.0": ("walk10.gpx", Reading(layers=("*",), kind="zone")),
    "walk, table": ("walk.csv", Reading(kind="zone")),
    "GeoJSON": ("lawns.geojson", Reading()),
    "table, local": ("outlines.csv", Reading(crs="local")),
    "table, control": ("outlines.csv", Reading(control=PLANS / "control.csv")),
}


@pytest.fixture
def site(tmp_path):
    folder = tmp_path / "garden"
    start(folder, title="Invented garden")
    return folder


def stored(site):
    return (site / "site.geojson").read_bytes()


def whats(reply):
    return {change.name: change.what for change in reply.changes}


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_plan_twice_changes_nothing(kind, site):
    name, reading = KINDS[kind]
    first = read(PLANS / name, reading, into=site)
    assert first.saved
    before = stored(site)
    again = read(PLANS / name, reading, into=site)
    assert {change.what for change in again.changes} == {"unchanged"}
    assert len(again.changes) == len(first.changes)
    assert not again.saved
    assert stored(site) == before


def outlines(path, zones, **more):
    """Write a plan of the garden's lawns in its own metres, without ids."""
    path.write_text(
        json.dumps(
            {
                "type": "FeatureCollection",
                "features": [
                    {
                        "type": "Feature",
                        "properties": {"name": name, **more.get(name.split()[0], {})},
                        "geometry": {
                            "type": "Polygon",
                            "coordinates": [[_lonlat(*corner) for corner in (*ring, ring[0])]],
                        },
                    }
                    for name, ring in zones.items()
                ],
            }
        ),
        encoding="utf-8",
    )
    return path


def _lonlat(x, y):
    # A small flat piece of the earth is enough here: metres to degrees at 53.4 N, roughly.
    return [1.9 + x / 66_500, 53.4 + y / 111_300]


@pytest.fixture
def changed(site, tmp_path):
    """Read a plan into a site, and change something of everything in the plan."""
    read(outlines(tmp_path / "first.geojson", garden.ZONES), into=site)
    front, back = garden.ZONES["Front lawn"], garden.ZONES["Back lawn"]
    zones = {
        "Front lawn": [(x + 0.5 * (x > 10), y) for x, y in front],  # its east side moved out
        "Great lawn": back,  # renamed
        "New corner": [(20, -14), (25, -14), (25, -9), (20, -9)],
    }  # and the side strip is gone
    return site, outlines(tmp_path / "second.geojson", zones, Front={"moss_rating": 3})


def test_a_changed_plan_says_what_is_updated_added_and_kept(changed):
    site, plan = changed
    reply = read(plan, into=site)
    assert whats(reply) == {
        "front-lawn": "updated",
        "back-lawn": "updated",
        "new-corner": "added",
        "side-strip": "kept",
    }
    front, back, *_, strip = reply.changes
    assert front.area_before_m2 == pytest.approx(garden.area(garden.ZONES["Front lawn"]), rel=0.005)
    assert front.area_m2 - front.area_before_m2 == pytest.approx(0.5 * 11, abs=0.1)
    assert front.moved_m == pytest.approx(0.5, abs=0.01)
    assert dict(front.facts) == {"moss_rating": (None, 3)}
    assert dict(back.facts) == {"name": ("Back lawn", "Great lawn")}
    assert back.moved_m is None
    assert strip.area_m2 == pytest.approx(60, rel=0.005)
    assert set(reply.site.zones.index) == set(whats(reply))
    again = read(plan, into=site)
    assert set(whats(again).values()) == {"unchanged", "kept"}
    assert not again.saved


def test_a_dry_run_of_it_says_the_same_and_saves_nothing(changed):
    site, plan = changed
    before = stored(site)
    files = sorted(path.name for path in site.iterdir())
    dry = read(plan, into=site, dry_run=True)
    assert stored(site) == before
    assert sorted(path.name for path in site.iterdir()) == files
    assert dry.changes == read(plan, into=site).changes


def test_what_was_found_on_site_stays_when_the_plan_comes_again(changed):
    site, plan = changed
    document = json.loads(stored(site))
    for each in document["features"]:
        each["properties"]["thatch_mm"] = 12
    (site / "site.geojson").write_text(json.dumps(document), encoding="utf-8")
    reply = read(plan, into=site)
    assert reply.site.zones["thatch_mm"].drop("new-corner").eq(12).all()


def test_a_narrow_zone_that_moved_far_is_known_by_its_name(site, tmp_path):
    strip = garden.ZONES["Side strip"]
    read(outlines(tmp_path / "a.geojson", {"Side strip": strip}), into=site)
    aside = [(x + 1.5, y) for x, y in strip]  # half its width: the grounds share a third
    (change,) = read(outlines(tmp_path / "b.geojson", {"Side strip": aside}), into=site).changes
    assert (change.what, change.name) == ("updated", "side-strip")
    assert change.moved_m == pytest.approx(1.5, abs=0.02)


def test_plans_with_axes_of_their_own_that_do_not_lie_on_each_other_are_told(tmp_path):
    """A tape survey and a drawing of one garden, each turned its own way."""
    folder = tmp_path / "unplaced"
    start(folder)
    read(PLANS / "tape.csv", into=folder)
    layers = Reading(layers=("LAWN=zone", "BED=bed"))
    told = read(PLANS / "garden.dxf", layers, into=folder, dry_run=True).warnings
    assert any("nothing says that this plan has the axes" in each for each in told)
    assert not any("the axes" in each for each in read(PLANS / "tape.csv", into=folder).warnings)


def test_one_name_in_two_places_is_two_zones_and_said(site, tmp_path):
    strip = garden.ZONES["Side strip"]
    read(outlines(tmp_path / "a.geojson", {"Lawn": strip}), into=site)
    away = [(x + 30, y) for x, y in strip]
    reply = read(outlines(tmp_path / "b.geojson", {"Lawn": away}), into=site)
    assert whats(reply) == {"lawn-2": "added"}
    assert any("lawn has the same name and lies elsewhere" in each for each in reply.warnings)


def test_swapped_names_stay_on_their_ground(site, tmp_path):
    front, back = garden.ZONES["Front lawn"], garden.ZONES["Back lawn"]
    read(outlines(tmp_path / "a.geojson", {"Front": front, "Back": back}), into=site)
    reply = read(outlines(tmp_path / "b.geojson", {"Back": front, "Front": back}), into=site)
    assert {change.name: change.moved_m for change in reply.changes} == {
        "front": None,
        "back": None,
    }
    assert reply.site.zones.loc["front", "name"] == "Back"


def test_two_zones_on_one_ground_are_met_one_each(site, tmp_path):
    ring = garden.ZONES["Front lawn"]
    plan = outlines(tmp_path / "a.geojson", {"One": ring, "Two": ring})
    read(plan, into=site)
    assert set(whats(read(plan, into=site)).values()) == {"unchanged"}


def test_another_route_to_the_same_garden_doubles_nothing(site):
    read(PLANS / "garden.fgb", into=site)
    reply = read(PLANS / "garden.osm", Reading(layers=("*",)), into=site)
    assert {change.what for change in reply.changes if change.kind == "tree"} == {"updated"}
    assert len(reply.site.zones) == len(garden.ZONES)


def test_an_id_in_other_letters_is_the_same_zone(site, tmp_path):
    ring = garden.ZONES["Front lawn"]
    for name in ("A1", "a1"):
        plan = outlines(tmp_path / f"{name}.geojson", {"Lawn": ring}, Lawn={"zone_id": name})
        reply = read(plan, into=site)
    assert list(reply.site.zones.index) == ["A1"]
    assert whats(reply) == {"A1": "unchanged"}
