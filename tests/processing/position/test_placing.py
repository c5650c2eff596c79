"""Where a plan lies: by its CRS, the one that was said, control points, a picture, or nowhere."""

from dataclasses import replace

import numpy as np
import pyproj
import pytest
import shapely

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.found import Feature, Found, Heights
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame
from lawnmap.processing.position.control import Control, ControlPoint
from lawnmap.processing.position.placing import placing
from tests.processing.sites import EMPTY, box

RING = np.array([[0.0, 0], [40, 0], [40, 25], [0, 25], [0, 0]])
LEEDS = np.array([430_000.0, 433_000.0])  # in EPSG:27700
DRAWN = EMPTY.with_features([{"type": "Feature", "properties": {}, "geometry": box(0, 0, 9, 9)}])
UNPLACED = DRAWN.with_header(placed=False, anchor=[0.0, 0.0], origin=[20.0, 10.0])


def plan(ring=RING, **said):
    geometry = {"type": "Polygon", "coordinates": [ring.tolist()]}
    return Found((Feature(geometry, {}, "feature 1"),), said.pop("crs", None), **said)


def placed(found, placing_):
    shapes = np.array(
        [shapely.geometry.shape(each.geometry) for each in found.features], dtype=object
    )
    return placing_.to_lonlat(shapes)


def area(found, placing_):
    return float(areas(placed(found, placing_))[0])


def points(plan_, count=4):
    frame = Frame(1.9, 53.4)
    lonlat = frame.to_lonlat(RING[:count]).tolist()
    return Control(
        tuple(
            ControlPoint(f"P{number}", *xy, *at)
            for number, (xy, at) in enumerate(
                zip(plan_[:count].tolist(), lonlat, strict=True), start=1
            )
        )
    )


def test_nobody_says():
    with pytest.raises(CRSNeeded, match="does not say"):
        placing(EMPTY, plan(), None, None)


@pytest.mark.parametrize(
    ("said", "units", "expected"),
    [
        ({"local": True}, None, 1000),
        ({"local": True, "unit_m": 0.001}, None, 1000e-6),
        ({"local": True, "unit_m": 0.001}, "ft", 1000e-6),  # the reader has heeded it
        ({"local": True}, "yd", 1000 * 0.9144**2),
    ],
)
def test_a_local_plan_is_taken_without_asking(said, units, expected):
    found = plan(**said)
    made = placing(EMPTY, found, None, units)
    assert made.header["placed"] is False
    assert area(found, made) == pytest.approx(expected, rel=1e-7)


def test_unknown_units_are_refused_with_the_known():
    with pytest.raises(InputRefused, match="furlong") as told:
        placing(EMPTY, plan(local=True), None, "furlong")
    assert "ft" in told.value.remedy


def test_a_local_plan_joins_an_unplaced_site_and_no_placed_one():
    made = placing(UNPLACED, plan(local=True), None, None)
    assert made.header == {"placed": False, "anchor": [0.0, 0.0], "origin": [20.0, 10.0]}
    with pytest.raises(InputRefused, match="this plan has none") as told:
        placing(DRAWN, plan(local=True), None, None)
    assert "--control" in told.value.remedy
    with pytest.raises(InputRefused, match="the site has none"):
        placing(UNPLACED, plan(RING + LEEDS), "EPSG:27700", None)


def test_coordinates_like_those_of_a_national_grid_are_noticed():
    far = placing(EMPTY, plan(RING + LEEDS, local=True), None, None)
    assert "give --crs" in far.warnings[-1]
    near = placing(EMPTY, plan(RING + 9_000, local=True, unit_m=0.001), None, None)
    assert not any("give --crs" in text for text in near.warnings)


def test_a_drawing_in_millimetres_of_a_grid_is_brought_to_its_metres():
    found = plan((RING + LEEDS) * 1000, local=True, unit_m=0.001)
    made = placing(EMPTY, found, "EPSG:27700", None)
    proj = pyproj.Transformer.from_crs("EPSG:27700", "OGC:CRS84", always_xy=True)
    corner = shapely.get_coordinates(placed(found, made))[0]
    assert corner == pytest.approx(proj.transform(*LEEDS), abs=1e-10)
    assert made.header == {"placed": True}
    assert any("The plan is in mm" in text for text in made.warnings)


@pytest.mark.parametrize(("unit_m", "times"), [(None, 1.0), (0.3048, 1.0), (1.0, 0.3048)])
def test_a_crs_in_feet(unit_m, times):
    # EPSG:2263, New York Long Island (ftUS): about 985,000 by 211,000 ft in the middle of it.
    corner = np.array([985_000.0, 211_000.0])
    found = plan((RING + corner) * times, local=True, unit_m=unit_m)
    made = placing(EMPTY, found, "EPSG:2263", None)
    proj = pyproj.Transformer.from_crs("EPSG:2263", "OGC:CRS84", always_xy=True)
    there = shapely.get_coordinates(placed(found, made))[0]
    assert there == pytest.approx(proj.transform(*corner), abs=1e-5)
    assert not any("check --crs" in text for text in made.warnings)


def test_a_header_in_millimetres_over_numbers_in_metres_is_refused():
    found = plan(RING + LEEDS, local=True, unit_m=0.001)
    with pytest.raises(
        InputRefused, match="its numbers as metre, and its header says another"
    ) as told:
        placing(EMPTY, found, "EPSG:27700", None)
    assert "--units" in told.value.remedy
    heeded = plan(RING + LEEDS, local=True, unit_m=1.0)  # as the reader returns it with --units m
    assert area(heeded, placing(EMPTY, heeded, "EPSG:27700", "m")) == pytest.approx(1000, rel=2e-3)


def test_a_plan_outside_the_area_of_its_crs_is_told():
    said = placing(EMPTY, plan(RING, local=True), "EPSG:32631", None).warnings
    assert any("check --crs" in text for text in said)


def test_units_have_no_place_with_degrees_or_a_file_that_says():
    with pytest.raises(InputRefused, match="degrees"):
        placing(EMPTY, plan(RING / 1e5, local=True), "EPSG:4326", "m")
    with pytest.raises(InputRefused, match="--units"):
        placing(EMPTY, plan(RING + LEEDS, crs="EPSG:27700"), None, "m")


def test_control_points_place_a_local_plan():
    found = plan(RING * 1000, local=True, unit_m=0.001)
    made = placing(DRAWN, found, None, None, points(RING * 1000))
    assert made.header == {"placed": True}
    assert area(found, made) == pytest.approx(1000, rel=1e-7)
    assert made.agreement is not None
    assert made.sigma_m == made.agreement.sigma_m
    assert made.scale_sigma == made.agreement.scale_sigma
    assert made.warnings == ()


def test_control_points_place_a_table_that_does_not_say_its_unit():
    found = plan(RING / 0.3048)
    made = placing(EMPTY, found, None, None, points(RING / 0.3048))
    assert area(found, made) == pytest.approx(1000, rel=1e-7)
    assert made.warnings == ("One unit of the plan comes out as 0.3048 m: it is in ft.",)
    assert placing(EMPTY, plan(), None, None, points(RING)).warnings == ()


def test_control_points_are_not_for_a_file_that_says_where_it_lies():
    with pytest.raises(InputRefused, match="says itself where it lies") as told:
        placing(EMPTY, plan(RING + LEEDS, crs="EPSG:27700"), None, None, points(RING))
    assert "--control" in told.value.remedy


def test_a_plan_far_outside_its_control_points_is_told():
    found = plan(RING * 10 - 100, local=True)
    said = placing(EMPTY, found, None, None, points(RING)).warnings
    assert any("round the whole site" in text for text in said)


class Pixels:
    """A picture whose pixels are 0.1 m, north up."""

    sigma_m = 0.07
    scale_sigma = None

    def to_lonlat(self, column_row):
        return Frame(1.9, 53.4).to_lonlat(column_row * [0.1, -0.1])


def test_columns_and_rows_of_a_plan_picture():
    found = plan(RING * 10)
    made = placing(DRAWN, found, "picture:scan", None, pictures={"scan": Pixels()})
    assert area(found, made) == pytest.approx(1000, rel=1e-7)
    assert (made.sigma_m, made.outline_source, made.header) == (0.07, "plan picture", {})


@pytest.mark.parametrize(
    ("found", "units", "pictures", "remedy"),
    [
        (plan(), None, {"scan": Pixels(), "page": Pixels()}, "It has: scan, page."),
        (plan(), None, None, "Read the picture into the site first."),
        (plan(), "m", {"other": Pixels()}, "Leave --units out."),
        (plan(crs="EPSG:27700"), None, {"other": Pixels()}, "Leave --crs out."),
    ],
)
def test_a_picture_that_is_not_there(found, units, pictures, remedy):
    with pytest.raises(InputRefused) as told:
        placing(EMPTY, found, "picture:other", units, pictures=pictures)
    assert told.value.remedy == remedy


def test_heights_alone_have_an_extent():
    heights = Heights(np.column_stack([RING, RING[:, 0]]))
    found = replace(plan(local=True), features=(), heights=heights)
    made = placing(EMPTY, found, None, None)
    assert made.header["origin"] == [20.0, 12.0]
    assert made.warnings[0].startswith("The plan is 40.0 by 25.0 m over all")
