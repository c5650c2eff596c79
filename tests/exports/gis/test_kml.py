"""KML, read back by GDAL, the standard library and our own reader."""

import html
from dataclasses import replace
from xml.etree import ElementTree as ET

import geopandas as gpd
import pyogrio
import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.exports.drawing.themes import PALETTES
from lawnmap.exports.gis import kml
from lawnmap.files.admit import Source
from lawnmap.readers import kml as reader
from tests.exports.papers import FEATURES, dated, paper

K = f"{{{kml.SPACE}}}"


def marks(data, folder):
    (found,) = (
        each
        for each in ET.fromstring(data).iter(f"{K}Folder")
        if each.find(f"{K}name").text == folder
    )
    return found.findall(f"{K}Placemark")


def test_gdal_finds_the_zones_where_they_are(tmp_path):
    made = paper()
    path = tmp_path / "plan.kml"
    path.write_bytes(kml.render(made))
    layers = [name for name, _ in pyogrio.list_layers(path)]
    assert layers[0] == "Zones"
    assert {"Building", "Water", "Tree", "Hedge", "Way in"} <= set(layers)
    zones = pyogrio.read_dataframe(path, layer="Zones")
    assert list(zones["Name"]) == list(made.plan.zones["name"])
    for ours, theirs in zip(zones.geometry, made.plan.zones.geometry, strict=True):
        assert shapely.hausdorff_distance(shapely.force_2d(ours), theirs) < 2e-8
    assert sum(pyogrio.read_info(path, layer=each)["features"] for each in layers[1:]) == len(
        FEATURES
    )


def test_our_own_reader_takes_zones_with_their_facts():
    made = paper()
    found = reader.read(Source("plan.kml", kml.render(made), "kml"), layer="Zones")
    assert [each.properties["zone_id"] for each in found.features] == list(made.plan.zones.index)
    assert [each.properties["name"] for each in found.features] == list(made.plan.zones["name"])
    assert float(found.features[6].properties["moss_cover_pct"]) == 62.0


def test_a_zone_is_coloured_by_its_moss_and_every_style_is_there():
    data = kml.render(paper())
    root = ET.fromstring(data)
    styles = {each.get("id"): each for each in root.iter(f"{K}Style")}
    used = {each.text.removeprefix("#") for each in root.iter(f"{K}styleUrl")}
    assert used <= set(styles)
    by_name = {each.find(f"{K}name").text: each for each in marks(data, "Zones")}
    assert by_name["Side lawn"].find(f"{K}styleUrl").text == "#moss-5"
    assert by_name["Orchard"].find(f"{K}styleUrl").text == "#moss-none"
    colour = styles["moss-5"].find(f"{K}PolyStyle/{K}color").text
    blue, green, red = colour[2:4], colour[4:6], colour[6:8]  # aabbggrr
    assert f"#{red}{green}{blue}" == PALETTES["moss"][5]


def test_a_zone_says_what_is_done_when():
    by_name = {
        each.find(f"{K}name").text: each for each in marks(kml.render(dated(paper())), "Zones")
    }
    about = by_name["Great lawn"].find(f"{K}description").text
    assert "Number 7 on the plan" in about
    assert "Overseeding: Monday 30 August 2027" in about
    assert "Cores of 3 November lie in the shed." in about


def test_holes_and_several_parts_and_cores():
    ring = shapely.Point(0, 0).buffer(20).difference(shapely.Point(0, 0).buffer(8))
    both = shapely.MultiPolygon([shapely.box(40, 0, 50, 10), shapely.box(60, 0, 70, 10)])
    made = paper(["Ring", "Two"], shapes=[ring, both], features=False)
    cores = gpd.GeoDataFrame(
        {"zone_id": ["z0"], "number": [1]}, geometry=[shapely.Point(3, 55)], crs="OGC:CRS84"
    )
    data = kml.render(made.of(plan=replace(made.plan, layers={"core_places": cores})))
    first, second = marks(data, "Zones")
    assert len(first.findall(f".//{K}innerBoundaryIs")) == 1
    assert len(second.findall(f"{K}MultiGeometry/{K}Polygon")) == 2
    (core,) = marks(data, "Where to take cores")
    assert core.find(f"{K}name").text == "Core z0, place 1"
    assert core.find(f"{K}Point/{K}coordinates").text == "3.00000000,55.00000000"


@pytest.mark.parametrize(
    "said", ["<img src=x onerror=alert(1)>", "$[name] &lt;b&gt;", "a\x00\x0bb\ufffe"]
)
def test_what_is_shown_as_html_holds_no_markup_of_anybody(said):
    for mark in marks(kml.render(paper([said] * 12, title=said, said=said)), "Zones"):
        about = mark.find(f"{K}description").text
        assert "<" not in about.replace("<br>", "")
        assert "$[" not in about
        assert said.replace("\x00\x0b", "").replace("\ufffe", "") in html.unescape(about)


@pytest.mark.parametrize("changes", [{"schematic": True}, {"header": {"placed": False}}])
def test_without_a_position_there_is_nothing_to_export(changes):
    with pytest.raises(InputRefused, match="no position to export"):
        kml.render(paper(**changes))


def test_the_same_paper_gives_the_same_bytes():
    assert kml.render(paper()) == kml.render(paper())
