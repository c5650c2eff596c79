"""Control points from sheets and texts, and everything on a site moved by them."""

import sys
from pathlib import Path

import numpy as np
import pyproj
import pytest
import shapely

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.files.admit import admit
from lawnmap.found import Heights
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.uncertainty import area_sigmas
from lawnmap.jobs.control import chosen, from_sheet, from_texts
from lawnmap.jobs.place import place
from lawnmap.jobs.reading import Reading, found_in
from lawnmap.jobs.start import start
from lawnmap.processing.entering.outlines import Admission, shape_all
from lawnmap.processing.position.control import agree, with_sigmas
from lawnmap.processing.position.placing import placing
from lawnmap.store import heights
from lawnmap.store import site as site_store
from lawnmap.store.folder import find
from tests.processing.sites import EMPTY, box

SAMPLE = Path(__file__).parents[2] / "sample_geo"
PLANS = SAMPLE / "plans"
sys.path.insert(0, str(SAMPLE))
import garden  # noqa: E402

EARTH = Frame(*garden.ANCHOR)
DRAWN = EMPTY.with_features([{"type": "Feature", "properties": {}, "geometry": box(0, 0, 9, 9)}])
UNPLACED = DRAWN.with_header(placed=False, anchor=[0.0, 0.0], origin=[20.0, 10.0])


def sheet(tmp_path, *lines):
    path = tmp_path / "control.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_sheet_is_read_in_any_order_of_its_columns(tmp_path, separator):
    path = sheet(
        tmp_path,
        *(
            line.replace(",", separator)
            for line in ("Lat,note,LON,name,y,x", "53.4,old,1.9,gate,2,1", "53.5,,1.8,,4,3")
        ),
    )
    made = from_sheet(path, kind="affine")
    assert made.kind == "affine"
    assert made.points == (("gate", 1, 2, 1.9, 53.4), ("point 2", 3, 4, 1.8, 53.5))


def test_columns_and_rows_are_as_good_as_x_and_y(tmp_path):
    made = from_sheet(sheet(tmp_path, "column,row,lon,lat", "1,2,1.9,53.4", "5,6,1.8,53.5"))
    assert [point[1:3] for point in made.points] == [(1, 2), (5, 6)]


def test_east_and_north_in_a_grid(tmp_path):
    path = sheet(tmp_path, "x,y,east,north", "0,0,430000,433000", "10,0,430010,433000")
    with pytest.raises(CRSNeeded, match="nobody says in which CRS"):
        from_sheet(path)
    proj = pyproj.Transformer.from_crs("EPSG:27700", "OGC:CRS84", always_xy=True)
    made = from_sheet(path, crs="EPSG:27700")
    assert made.points[0][3:] == pytest.approx(proj.transform(430000, 433000), abs=1e-10)


def test_local_metres_are_those_of_the_unplaced_site(tmp_path):
    path = sheet(tmp_path, "x,y,east,north", "0,0,25,10", "100,0,25,20")
    reading = Reading(control=path, crs="local")
    made = chosen(reading, UNPLACED)
    there = Frame(0, 0).to_metres(np.array([point[3:] for point in made.points]))
    assert there == pytest.approx(np.array([[5, 0], [5, 10]]), abs=1e-6)
    assert made.header == {"placed": False, "anchor": [0.0, 0.0], "origin": [20.0, 10.0]}
    assert agree(made, unit_m=None).fit.scale == pytest.approx(0.1)
    assert chosen(reading, EMPTY).header == {
        "placed": False,
        "anchor": [0.0, 0.0],
        "origin": [25.0, 15.0],
    }
    with pytest.raises(InputRefused, match="has a place on the earth"):
        chosen(reading, DRAWN)


def test_points_on_earth_are_not_for_a_drawn_site_that_is_not():
    with pytest.raises(InputRefused, match="and the site is not"):
        chosen(Reading(control=PLANS / "control.csv"), UNPLACED)
    assert chosen(Reading(), UNPLACED) is None


@pytest.mark.parametrize(
    ("lines", "crs", "words"),
    [
        (("x,y,lon,lat", '1,2,"1,9",53.4'), None, "line 2: lon: '1,9' has a decimal comma"),
        (("x;y;lon;lat", "1;2;1,9;53,4"), None, "line 2: lon: '1,9' has a decimal comma"),
        (("x,y,lon,lat", "1,2,1,9,53,4"), None, "line 2: has 6 cells under 4"),
        (("x,y,lon,lat", "", "1,2,,53.4"), None, "line 3: lon is empty"),
        (("x,y,lon,lat", "1,2,1.9,1e999"), None, "line 2: lat: '1e999' is not a finite number"),
        (("x,y,lon,lat", "1,2,1,2", "1,2,3,4"), None, "line 3, 'point 2': has the place in the pl"),
        (("x,y,lon,lat", "1,2,1,2", "3,4,1,2"), None, "line 3, 'point 2': has the place on the gr"),
        (("name,x,y,lon,lat", "a,1,2,1,2", "A,3,4,3,4"), None, "line 3, 'A': has the name of 'a'"),
        (("x,y,longitude,latitude", "1,2,3,4"), None, "lacks columns of control points"),
        (("x,y,lon,lat", "1,2,3,4"), "EPSG:27700", "--crs says something else"),
        (("x,y,lon,lat", "1,2,3,4"), "local", "the control points have no place"),
        (("x,y,east,north", "1,2,3,4"), "local", "the control points have no place"),
        (("x,y,east,north", "1,2,3,4"), "EPSG:1", "is not known"),
        (("x,y,east,north", "1,2,1e30,4"), "EPSG:27700", "have no place in OSGB36"),
    ],
)
def test_what_is_wrong_in_a_sheet_is_told_with_its_line(tmp_path, lines, crs, words):
    with pytest.raises(InputRefused) as told:
        from_sheet(sheet(tmp_path, *lines), crs=crs)
    assert words in str(told.value)
    assert str(told.value).startswith("control.csv: ")


def test_what_is_no_table_is_refused(tmp_path):
    path = tmp_path / "control.csv"
    path.write_bytes(b"%PDF-1.7\n")
    with pytest.raises(InputRefused):
        from_sheet(path)
    with pytest.raises(InputRefused, match="the fit is 'round'"):
        from_sheet(PLANS / "control.csv", kind="round")


def test_texts():
    made = from_texts(("12.5,40=-1.5501,53.8002", " 0 , 0 = 1 , 2 "))
    assert made.points[0] == ("point 1", 12.5, 40, -1.5501, 53.8002)
    assert made.points[1][1:] == (0, 0, 1, 2)
    for wrong in ("", "1,2", "1,2=3", "1,2,3=4,5", "12,5,40=1,2", "a,b=c,d", "1,2=3,4=5"):
        with pytest.raises(InputRefused, match="is not a control point"):
            from_texts((wrong,))


@pytest.mark.parametrize("kind", ["similarity", "affine"])
def test_the_sample_sheets_say_what_the_garden_says(kind):
    made = agree(from_sheet(PLANS / "control.csv", kind=kind))
    corners = np.array([[0.0, 0], [12, 9], [14, 30]])
    there = EARTH.to_metres(made.to_lonlat(corners))
    true = np.array([garden.turned(*point) for point in corners.tolist()])
    assert np.abs(there - true).max() < 1.96 * made.sigma_m
    assert made.suspect is None


def test_the_slip_in_the_sample_sheet_is_found_and_of_three_points_none():
    made = agree(from_sheet(PLANS / "control_slip.csv"))
    assert made.names[made.suspect.which] == "back wall"
    assert agree(from_sheet(PLANS / "control_three.csv")).suspect is None


@pytest.mark.parametrize("kind", ["similarity", "affine"])
def test_areas_of_a_plan_with_control_points_are_within_what_is_claimed(kind):
    reading = Reading(control=PLANS / "control.csv", fit=kind)
    found = found_in(admit(PLANS / "outlines.csv"), reading)
    made = placing(EMPTY, found, None, None, chosen(reading, EMPTY))
    zones = with_sigmas(shape_all(found, made.to_lonlat, Admission()), made)
    assert [each.properties["name"] for each in zones] == list(garden.ZONES)
    for each in zones:
        outline = np.array([each.shape], dtype=object)
        (area,), (sigma,) = (
            areas(outline),
            area_sigmas(outline, np.array([each.properties["outline_sigma_m"]])),
        )
        true = garden.area(garden.ZONES[each.properties["name"]])
        assert abs(area - true) < 1.96 * sigma
        assert sigma < 0.02 * true


@pytest.fixture
def site(tmp_path):
    """Return the folder of an unplaced site with the garden's zones in their own metres."""
    folder = tmp_path / "garden"
    start(folder, title="Garden")
    made = site_store.load(find(folder))
    frame, origin = Frame(0, 0), np.array([6.0, 9.0])
    features = [
        {
            "type": "Feature",
            "properties": {"feature": "zone", "zone_id": f"z{number}", "name": name},
            "geometry": {
                "type": "Polygon",
                "coordinates": [frame.to_lonlat(np.array([*ring, ring[0]]) - origin).tolist()],
            },
        }
        for number, (name, ring) in enumerate(garden.ZONES.items())
    ]
    unplaced = made.with_features(features).with_header(
        placed=False, anchor=[0.0, 0.0], origin=origin.tolist()
    )
    site_store.save(find(folder), unplaced)
    return folder


def test_a_site_is_placed(site):
    reply = place(site, from_sheet(PLANS / "control.csv"))
    assert reply.saved
    assert reply.site.placed
    assert "origin" not in reply.site.header
    scale = reply.agreement.fit.scale
    assert reply.area_after_m2 == pytest.approx(reply.area_before_m2 * scale**2, rel=1e-7)
    assert reply.area_before_m2 == pytest.approx(sum(map(garden.area, garden.ZONES.values())))
    zones = site_store.load(find(site)).zones
    for zone in zones.itertuples():
        true = np.array([garden.turned(*point) for point in garden.ZONES[zone.name]])
        there = EARTH.to_metres(shapely.get_coordinates(zone.geometry)[:-1])
        assert shapely.Polygon(there).symmetric_difference(shapely.Polygon(true)).area < 3


def test_a_dry_run_saves_nothing(site):
    before = (site / "site.geojson").read_bytes()
    reply = place(site, from_sheet(PLANS / "control_slip.csv"), dry_run=True)
    assert not reply.saved
    assert any("back wall" in text for text in reply.warnings)
    assert (site / "site.geojson").read_bytes() == before


def test_a_placed_site_is_not_placed_again(site):
    place(site, from_sheet(PLANS / "control.csv"))
    before = (site / "site.geojson").read_bytes()
    with pytest.raises(InputRefused, match="has a place already"):
        place(site, from_sheet(PLANS / "control.csv"))
    assert (site / "site.geojson").read_bytes() == before


def test_heights_move_with_the_site(site):
    metres = np.array([[0.0, 0], [12, 0], [12, 9]])
    lonlat = Frame(0, 0).to_lonlat(metres - [6.0, 9.0])
    points = np.column_stack([lonlat, [1.0, 2, 3]])
    (site / heights.NAME).write_bytes(heights.encode(Heights(points)))
    place(site, from_sheet(PLANS / "control.csv"))
    moved = heights.read(find(site)).points
    true = np.array([garden.turned(*point) for point in metres.tolist()])
    assert EARTH.to_metres(moved[:, :2]) == pytest.approx(true, abs=0.1)
    assert moved[:, 2].tolist() == [1, 2, 3]
