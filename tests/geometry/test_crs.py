"""What is a projection, and what is not; worked examples are in tests/published."""

import os

import numpy as np
import pyproj
import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.geometry import crs


def test_lonlat_is_left_as_it_is():
    shapes = np.array([shapely.Point(-1.55, 53.8)])
    for code in ("OGC:CRS84", "EPSG:4326"):
        assert crs.to_lonlat(shapes, code) is shapes


@pytest.mark.parametrize(
    "text",
    [
        "",
        "EPSG:999999",
        "nonsense",
        "http://example.org/crs",
        "/etc/passwd",
        "+proj=longlat",
        "proj=utm zone=30",
        "type=crs proj=pipeline step proj=utm zone=30",
        "EPSG:27700\0",
        "EPSG:\u202e27700",
        "\ud800",
        "EPSG:4978",
        "EPSG:5703",
        "ETRS89 / UTM zone 3",  # PROJ takes the nearest name, which is that of zone 33
        "GS 84",
    ],
)
def test_what_is_no_crs_for_a_plan(text):
    with pytest.raises(InputRefused):
        crs.known(text)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("British National Grid", "27700"),
        ("osgb36/british national grid", "27700"),
        ("ETRS89 / UTM zone 32N", "25832"),
        ("WGS84", "4326"),
        ("27700", "27700"),
        ("urn:ogc:def:crs:EPSG::27700", "27700"),
    ],
)
def test_a_crs_may_be_named_in_full(text, code):
    assert crs.known(text).to_authority() == ("EPSG", code)


SPHERE = (
    'PROJCS["on a sphere",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]'
    '],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Mercator_1SP"],'
    'PARAMETER["central_meridian",0],PARAMETER["scale_factor",1],UNIT["metre",1],'
    'EXTENSION["PROJ4","+proj=merc +a=6378137 +b=6378137 +units=m +wktext {}"]]'
)


def test_a_file_that_a_crs_names_is_never_opened(tmp_path):
    pipe = tmp_path / "grid"
    os.mkfifo(pipe)  # to open it would wait without end
    init = tmp_path / "init"
    init.write_text("<foo> +proj=utm +zone=30 +datum=WGS84 <>\n", encoding="ascii")
    shifted = pyproj.CRS("EPSG:4277").to_wkt()
    for text in (
        f"init={init}:foo",
        f" INIT = {init}:foo",
        SPHERE.format(f"+nadgrids={pipe}"),
        SPHERE.format(f"+nadgrids=@null,{pipe}"),
        SPHERE.format(f"+init={init}:foo"),
        f'BOUNDCRS[SOURCECRS[{shifted}],TARGETCRS[{shifted}],ABRIDGEDTRANSFORMATION["shift",'
        f'METHOD["NTv2"],PARAMETERFILE["Latitude and longitude difference file","{pipe}"]]]',
    ):
        with pytest.raises(InputRefused, match="is not a CRS"):
            crs.known(text)
    assert crs.known(SPHERE.format("+nadgrids=@null")).is_projected


def test_every_name_in_the_register_is_still_a_name():
    names = [each.name for each in pyproj.database.query_crs_info()]
    assert len(names) > 5_000
    assert [name for name in names if crs.FOLLOWED.match(name)] == []


def test_the_horizontal_part_of_a_compound_crs():
    assert crs.known("EPSG:27700+5701").to_authority() == ("EPSG", "27700")


def test_a_missing_grid_is_told():
    assert crs.uncertain_by_metres("EPSG:27700")
    assert not crs.uncertain_by_metres("EPSG:4326")


def test_coordinates_off_the_earth_are_refused():
    with pytest.raises(InputRefused, match="no place"):
        crs.to_lonlat(np.array([shapely.Point(1e30, 1e30)]), "EPSG:27700")


def test_a_projection_that_proj_has_no_formula_for_is_refused():
    wkt = pyproj.CRS("EPSG:27700").to_wkt().replace("Transverse Mercator", "No Such Method")
    wkt = wkt.replace('ID["EPSG",9807]', 'ID["EPSG",99999]')
    square = np.array([shapely.box(0, 0, 1, 1)], dtype=object)
    for ask in (crs.uncertain_by_metres, lambda text: crs.to_lonlat(square, text)):
        with pytest.raises(InputRefused, match="no way from"):
            ask(wkt)


# Of Britain, Switzerland, Bavaria (each with a shift by numbers), UTM, a geographic CRS, feet.
@pytest.mark.parametrize(
    ("code", "place", "spread"),
    [
        ("EPSG:27700", (430_000, 450_000), 500),
        ("EPSG:2056", (2_600_000, 1_200_000), 500),
        ("EPSG:31468", (4_468_000, 5_334_000), 500),
        ("EPSG:32633", (500_000, 5_300_000), 500),
        ("EPSG:4258", (9, 50), 0.005),
        ("EPSG:2263", (1_000_000, 200_000), 1500),
    ],
)
def test_what_came_in_from_a_crs_lies_there_again(code, place, spread):
    given = np.random.default_rng(7).uniform(-spread, spread, (300, 2)) + place
    shapes = np.array([shapely.LineString(given), shapely.Point(given[0])])
    lonlat = crs.to_lonlat(shapes, code)
    assert shapely.get_coordinates(lonlat)[:, 1].max() < 90
    again = crs.from_lonlat(lonlat, code)
    off = np.abs(shapely.get_coordinates(again) - shapely.get_coordinates(shapes)).max()
    assert off < 3e-8


def test_what_goes_out_is_left_as_it_is_in_longitude_and_latitude():
    shapes = np.array([shapely.Point(-1.55, 53.8)])
    assert crs.from_lonlat(shapes, "EPSG:4326") is shapes


def test_a_place_that_a_crs_does_not_reach_is_refused():
    with pytest.raises(InputRefused, match="no place in"):
        crs.from_lonlat(np.array([shapely.Point(100, 0)]), "EPSG:32633")
