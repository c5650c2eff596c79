"""Codes against the definitions that PROJ carries from the EPSG dataset."""

import pyproj
import pytest

from lawnmap.readers.authority import stated


@pytest.mark.parametrize("code", [27700, 25832, 2056, 32630, 3857, 4258, 4326])
@pytest.mark.parametrize("form", ["WKT1_ESRI", "WKT1_GDAL", "WKT2_2019", "PROJJSON"])
def test_a_definition_spelt_out_is_told_by_its_code(code, form):
    crs = pyproj.CRS(code)
    spelt = crs.to_json_dict() if form == "PROJJSON" else crs.to_wkt(form)
    assert stated(spelt) == (f"EPSG:{code}", [])


@pytest.mark.parametrize(
    ("code", "horizontal"),
    [("EPSG:7405", "EPSG:27700"), ("EPSG:4979", "EPSG:4326"), ("EPSG:5698", "EPSG:2154")],
)
def test_heights_are_left_aside(code, horizontal):
    assert stated(pyproj.CRS(code).to_json_dict()) == (horizontal, [])


def test_a_definition_that_differs_is_not_taken_for_the_one_of_the_register():
    spelt = pyproj.CRS(27700).to_wkt().replace("400000", "400001")
    told, warnings = stated(spelt)
    assert told.startswith("PROJCRS[")
    assert "400001" in told
    assert warnings == []


@pytest.mark.parametrize("spelt", ["nonsense", "EPSG:999999", {"type": "x"}, {}, {"type": ["CRS"]}])
def test_what_is_no_crs_is_none_and_said(spelt):
    assert stated(spelt) == (None, ["The CRS that the file names is not understood."])


def test_a_projection_that_nobody_knows_is_not_understood():
    """Found by mutants of a .prj: PROJ parses the name of any method."""
    spelt = pyproj.CRS(32631).to_wkt("WKT1_ESRI").replace("Transverse_Mercator", "Trans_Mercator")
    assert stated(spelt) == (None, ["The CRS that the file names is not understood."])


@pytest.mark.parametrize("kind", ["ENGCRS", "LOCAL_CS"])
def test_a_local_system_has_no_place_on_the_earth(kind):
    spelt = {
        "ENGCRS": 'ENGCRS["Site grid",EDATUM["peg 1"],CS[Cartesian,2],AXIS["x",east],'
        'AXIS["y",north],LENGTHUNIT["metre",1]]',
        "LOCAL_CS": 'LOCAL_CS["Site grid",UNIT["metre",1],AXIS["x",EAST],AXIS["y",NORTH]]',
    }[kind]
    told, warnings = stated(spelt)
    assert told is None
    assert "'Site grid', which has no place on the earth" in warnings[0]


def test_another_file_is_not_followed():
    grid = "+proj=tmerc +lat_0=49 +lon_0=-2 +ellps=airy +nadgrids=/etc/hostname +type=crs"
    for spelt in (grid, pyproj.CRS(grid).to_wkt(), pyproj.CRS(grid).to_json_dict()):
        told, warnings = stated(spelt)
        assert told is None
        assert "depends on another file" in warnings[0]
